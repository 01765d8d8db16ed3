import pytest

from upfeed.reading.plain import plain_form, why_refused


@pytest.mark.parametrize(
    "text", ["tRUE", "nULL", "yES", "0XfF", "+5", "5.", ".5", "007", "4118E3", "0_1", "12:30:45.5"]
)
def test_odd_spellings_are_refused(text: str) -> None:
    assert plain_form(text) == "refused"


@pytest.mark.parametrize(
    "text", ["5/16 in", "-", "...", "+-", "1.2.3", "2026-11-01", "1 000", "BW-118", "e3", "_1", "truly"]
)
def test_what_only_begins_like_a_number_or_word_is_text(text: str) -> None:
    assert plain_form(text) == "text"


@pytest.mark.parametrize(
    ("text", "expected", "advice"),
    [
        ("Yes", "true, false or text in quotes", 'It is true to some readers. Write true, or "Yes" as text.'),
        ("N", "true, false or text in quotes", 'It is false to some readers. Write false, or "N" as text.'),
        ("tRUE", "true, false or text in quotes", "It is true to some readers."),
        ("nULL", "null or text in quotes", 'Write null, or "nULL" as text.'),
        ("<<", "a value written out", "It merges another mapping"),
        ("=", "a value written out", "It is a default value"),
        ("-.Inf", "a plain decimal number", "It is infinite or no number to some readers."),
        ("1:30", "a plain decimal number", "It is a number to base sixty to some readers."),
        ("0o17", "a plain decimal number", "It is hexadecimal, octal or binary to some"),
        ("010", "a plain decimal number", "It is octal to some readers."),
        ("1e-3", "a plain decimal number", "It is text to some readers. Write a number such as 8"),
    ],
)  # fmt: skip
def test_the_reason_and_the_way_out_are_told(text: str, expected: str, advice: str) -> None:
    told_expected, told_advice = why_refused(text)
    assert told_expected == expected
    assert told_advice.startswith(advice)
