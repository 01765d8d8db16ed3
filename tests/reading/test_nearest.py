import pytest

from upfeed.reading.nearest import did_you_mean, either, nearest

KINDS = ["lifter", "pushrod", "rocker", "rocker_shaft", "block"]


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("liftr", ("lifter",)),
        ("LIFTER", ("lifter",)),
        ("rockers", ("rocker", "rocker_shaft")),
        ("piston", ()),
        ("", ()),
    ],
)
def test_the_likest_comes_first(word: str, found: tuple[str, ...]) -> None:
    assert nearest(word, KINDS) == found


def test_the_order_and_number_of_the_known_words_do_not_matter() -> None:
    known = ["ab", "ac", "ad", "ae"]
    assert nearest("a", known, n=2) == nearest("a", [*reversed(known), *known], n=2) == ("ab", "ac")


def test_words_are_joined_as_in_speech() -> None:
    assert [either(words) for words in ("a", "ab", "abc")] == ["a", "a or b", "a, b or c"]


def test_the_question_names_what_is_near_or_nothing() -> None:
    assert did_you_mean("rockers", KINDS) == "Did you mean rocker or rocker_shaft?"
    assert did_you_mean("piston", KINDS) == ""
