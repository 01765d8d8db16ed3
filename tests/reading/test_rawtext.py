import pytest

from upfeed.reading.faults import Fault, Origin
from upfeed.reading.rawtext import LARGEST, plain_text


def read(raw: str | bytes) -> tuple[str | None, list[Fault]]:
    faults: list[Fault] = []
    return plain_text(raw, Origin("base", "a.yaml"), faults), faults


@pytest.mark.parametrize("raw", ["", "a\tb\r\nc", "30 µm × 2", "a" * LARGEST])
def test_text_is_kept(raw: str) -> None:
    assert read(raw) == read(raw.encode()) == (raw, [])


@pytest.mark.parametrize(
    ("raw", "line", "found"),
    [
        (b"\xff", 1, "the byte 0xff"),
        (b"a\nb\n\xc3(", 3, "the byte 0xc3"),
        ("a: 1\n".encode("utf-16"), 1, "the byte 0xff"),
        (b"\xed\xa0\x80", 1, "the byte 0xed"),
        ("a\n\ud800", 2, "the byte 0xed"),
        (b"\xef\xbb\xbfa: 1", 1, "a byte order mark"),
        ("a: 1\n\ufeff", 2, "a byte order mark"),
        ("a\x00", 1, "the hidden character U+0000"),
        ("a\n\n\x1b[2J", 3, "the hidden character U+001B"),
        ("a\x7f", 1, "the hidden character U+007F"),
        ("a\x0c", 1, "the hidden character U+000C"),
        ("a\x85", 1, "the hidden character U+0085"),
        ("a\u2028", 1, "the hidden character U+2028"),
        ("a\uffff", 1, "the hidden character U+FFFF"),
    ],
)
def test_other_bytes_and_hidden_characters_are_refused(raw: str | bytes, line: int, found: str) -> None:
    text, faults = read(raw)
    assert text is None
    assert [(fault.origin, fault.found) for fault in faults] == [(Origin("base", "a.yaml", line), found)]


@pytest.mark.parametrize("raw", ["a" * (LARGEST + 1), "µ" * (LARGEST // 2 + 1)])
def test_oversized_text_is_refused(raw: str) -> None:
    assert [fault.expected for fault in read(raw)[1]] == ["at most 4 MiB"]
