"""Every kind of problem has an address, and every status one kind at least (RFC 9457, 3.1.1)."""

from web_asking import ask

from upfeed.web.problemtypes import PROBLEM_TYPES


def test_every_kind_can_be_asked_for() -> None:
    listed = ask("/v1/problems").json["problems"]
    assert [kind["id"] for kind in listed] == list(PROBLEM_TYPES)
    assert [kind["status"] for kind in listed] == sorted(kind["status"] for kind in listed)
    for kind in listed:
        assert ask(f"/v1/problems/{kind['id']}").json == kind
        assert all(isinstance(text, str) and text for name, text in kind.items() if name != "status")


def test_a_kind_that_is_none() -> None:
    (error,) = ask("/v1/problems/not-fuond").json["errors"]
    assert (error["in"], error["pointer"], error["advice"]) == ("path", "/problem", "Did you mean not-found?")
