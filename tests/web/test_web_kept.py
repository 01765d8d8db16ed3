"""Answers are kept by what they follow from, within so many bytes."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from web_asking import LIBRARY, ask, check

from upfeed.answering.library import open_library
from upfeed.web.app import create_app
from upfeed.web.current import Current
from upfeed.web.examples import example_builds
from upfeed.web.kept import Kept

REFERENCE: dict[str, Any] = example_builds()["reference"]
PUTS = st.lists(st.tuples(st.sampled_from("abcdef"), st.binary(max_size=600)), max_size=40)


@given(puts=PUTS, most=st.integers(0, 3000))
def test_never_more_bytes_than_there_is_room_for(puts: list[tuple[str, bytes]], most: int) -> None:
    kept, last = Kept(most), dict(puts)
    for key, content in puts:
        kept.put(key, content)
        assert kept.size <= most
    there = {key: found for key in last if (found := kept.get(key)) is not None}
    assert all(len(found) <= most for found in there.values())
    assert sum(map(len, there.values())) <= kept.size


def test_the_latest_content_of_a_key() -> None:
    kept = Kept(10_000)
    kept.put("a", b"1")
    kept.put("a", b"22")
    assert kept.get("a") == b"22"
    one = Kept(10_000)
    one.put("a", b"22")
    assert kept.size == one.size


def test_what_was_not_asked_for_longest_goes_first() -> None:
    kept = Kept(2 * 1400)
    for key in "ab":
        kept.put(key, bytes(1000))
    assert kept.get("a")
    kept.put("c", bytes(1000))
    assert [bool(kept.get(key)) for key in "abc"] == [True, False, True]
    kept.put("d", bytes(5000))
    assert [bool(kept.get(key)) for key in "acd"] == [True, True, False]


def counting(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    from upfeed.web import checks  # noqa: PLC0415

    done: list[str] = []
    whole = checks.check

    def noted(*asked: Any) -> Any:
        done.append(asked[1].knowledge.digest)
        return whole(*asked)

    monkeypatch.setattr(checks, "check", noted)
    return done


def test_the_same_request_is_computed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    done, app = counting(monkeypatch), create_app(LIBRARY)
    first = check(REFERENCE, app=app)
    again = [check(REFERENCE, app=app), check(json.dumps(REFERENCE, indent=3), app=app)]
    packed = [check(REFERENCE, "", app, **{"accept-encoding": "gzip"}) for _ in range(2)]
    assert [reply.body for reply in again] == [first.body] * 2
    assert packed[0] == packed[1]
    assert len(done) == 1
    assert check(REFERENCE, "?units=si", app).body != first.body
    assert len(done) == 2


def test_without_room_everything_is_computed(monkeypatch: pytest.MonkeyPatch) -> None:
    done, app = counting(monkeypatch), create_app(LIBRARY, kept_bytes=0)
    assert check(REFERENCE, app=app).body == check(REFERENCE, app=app).body
    assert len(done) == 2


def test_faults_are_told_again(monkeypatch: pytest.MonkeyPatch) -> None:
    app = create_app(LIBRARY)
    assert check({**REFERENCE, "a": 1}, app=app).body == check({**REFERENCE, "a": 1}, app=app).body
    assert check({**REFERENCE, "a": 1}, app=app).status == 422


def test_answers_are_from_the_knowledge_that_they_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same application, its library swapped and swapped back."""
    made: list[Current] = []
    monkeypatch.setattr("upfeed.web.app.Current", lambda library: made.append(Current(library)) or made[0])
    done, app = counting(monkeypatch), create_app(LIBRARY)
    (tmp_path / "more.yaml").write_text(
        "format: 1\nsources: [{source: shop-bench, title: Our bench, kind: bench}]\n"
    )
    other = open_library([tmp_path])
    replies = []
    for library in (LIBRARY, other, LIBRARY):
        made[0].renew(lambda _, library=library: library)
        reply = check(REFERENCE, app=app)
        assert reply.json["digests"]["knowledge"] == library.knowledge.digest
        assert ask("/ready", app=app).json["knowledge"] == library.knowledge.digest
        replies.append(reply)
    assert replies[0] == replies[2]
    assert replies[0].headers["etag"] != replies[1].headers["etag"]
    assert done == [LIBRARY.knowledge.digest, other.knowledge.digest]
