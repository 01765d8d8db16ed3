"""Which type and coding is sent, and gzip either way (RFC 9110, 8.4, 12.5; RFC 1952)."""

import gzip
import json
import zlib

import pytest
from web_asking import FRIEND, JSON, Reply, ask, check

from upfeed.web.examples import example_builds
from upfeed.web.limits import DEFAULTS
from upfeed.web.negotiation import accepts, coding

REFERENCE = example_builds()["reference"]
BODY = json.dumps(REFERENCE).encode()


def kind(reply: Reply) -> tuple[int, str, list[str]]:
    """A problem's status, its kind, and where its faults stand."""
    assert reply.headers["content-type"] == "application/problem+json"
    told = reply.json
    return reply.status, told["type"].rpartition("/")[2], [error["pointer"] for error in told["errors"]]


# RFC 9110, 12.5.3: its own examples of the field, and what the text says of each case.
@pytest.mark.parametrize(
    ("field", "found"),
    [
        ("", "identity"),
        ("compress, gzip", "gzip"),
        ("*", "gzip"),
        ("compress;q=0.5, gzip;q=1.0", "gzip"),
        ("gzip;q=1.0, identity; q=0.5, *;q=0", "gzip"),
        ("gzip;q=0.5, identity", "identity"),
        ("br", "identity"),
        ("br;q=1.0, *;q=0", None),
        ("identity;q=0", None),
        ("gzip;q=0", "identity"),
        ("gzip;q=0, *", "identity"),
        ("GZIP", "gzip"),
        ("gzip;q=0.001", "gzip"),
        ("gzip;q=7", "identity"),
        ("gzip;q=", "identity"),
        (";;,,", "identity"),
    ],
)
def test_the_coding_that_is_wanted(field: str, found: str | None) -> None:
    assert coding(field) == found


# RFC 9110, 12.5.1: the most specific range decides.
@pytest.mark.parametrize(
    ("field", "taken"),
    [
        ("", True),
        ("*/*", True),
        ("application/*", True),
        ("application/json", True),
        ("Application/JSON;q=0.1", True),
        ("text/html, */*;q=0.8", True),
        ("text/html", False),
        ("text/*", False),
        ("application/json;q=0", False),
        ("application/json;q=0, */*", False),
        ("*/*;q=0, application/json", True),
        ("application/*;q=0, */*", False),
        ("application/problem+json", False),
        (";q=1", False),
    ],
)
def test_the_type_that_is_taken(field: str, taken: bool) -> None:
    assert accepts(field, "application/json") is taken


@pytest.mark.parametrize("target", ["/v1/parts", "/v1/rules/no-way-up", "/openapi.json", "/v1/problems"])
def test_each_coding_has_a_tag_of_its_own(target: str) -> None:
    plain, packed = ask(target), ask(target, headers={"accept-encoding": "gzip"})
    assert "content-encoding" not in plain.headers
    assert packed.headers["content-encoding"] == "gzip"
    assert gzip.decompress(packed.body) == plain.body
    assert int(packed.headers["content-length"]) == len(packed.body) < len(plain.body)
    assert packed.headers["etag"] == plain.headers["etag"][:-1] + '-gzip"'
    assert packed.headers["vary"] == plain.headers["vary"] == "Accept-Encoding, Origin"
    for field, tag, other in (("gzip", packed, plain), ("identity", plain, packed)):
        asked = {"accept-encoding": field, "origin": FRIEND}
        again = ask(target, headers=asked | {"if-none-match": tag.headers["etag"]})
        assert (again.status, again.body) == (304, b"")
        assert again.headers["etag"] == tag.headers["etag"]
        assert again.headers["access-control-allow-origin"] == FRIEND
        assert "content-encoding" not in again.headers
        assert ask(target, headers=asked | {"if-none-match": other.headers["etag"]}).status == 200


def test_an_answer_that_was_computed_has_both_too() -> None:
    plain, packed = check(BODY), check(BODY, **{"accept-encoding": "gzip"})
    assert gzip.decompress(packed.body) == plain.body
    assert packed.headers["etag"] == plain.headers["etag"][:-1] + '-gzip"'
    assert check(BODY, **{"accept-encoding": "gzip"}).body == packed.body


def test_problems_are_never_coded() -> None:
    assert "content-encoding" not in ask("/nowhere", headers={"accept-encoding": "gzip"}).headers


@pytest.mark.parametrize("target", ["/health", "/v1/parts", "/v1/parts?limit=0"])
def test_nothing_that_is_accepted(target: str) -> None:
    refused = ask(target, headers={"accept": "text/html", "accept-encoding": "br, *;q=0"})
    assert kind(refused) == (406, "not-acceptable", ["/accept", "/accept-encoding"])
    assert kind(ask(target, headers={"accept": "image/*"})) == (406, "not-acceptable", ["/accept"])


def test_a_body_may_be_coded() -> None:
    assert check(gzip.compress(BODY), **{"content-encoding": "gzip"}).body == check(BODY).body
    assert check(gzip.compress(BODY), **{"content-encoding": "GZIP"}).status == 200
    assert check(BODY, **{"content-encoding": "identity"}).status == 200


@pytest.mark.parametrize("field", ["br", "deflate", "gzip, gzip", "x-gzip", "gzip, br", ""])
def test_other_codings_of_a_body(field: str) -> None:
    reply = check(gzip.compress(BODY), **{"content-encoding": field})
    assert kind(reply) == (415, "wrong-content", ["/content-encoding"])
    assert reply.headers["accept-encoding"] == "gzip"


def test_bombs_are_not_unpacked() -> None:
    room = DEFAULTS.body - len(BODY)
    assert check(gzip.compress(BODY + b" " * room), **{"content-encoding": "gzip"}).status == 200
    one_more = gzip.compress(BODY + b" " * (room + 1))
    ten_million = gzip.compress(b" " * 10_000_000)
    assert len(ten_million) < DEFAULTS.body
    for bomb in (one_more, ten_million):
        assert kind(check(bomb, **{"content-encoding": "gzip"})) == (413, "too-large", [""])
    packed_again = gzip.compress(ten_million)
    assert kind(check(packed_again, **{"content-encoding": "gzip"}))[0] == 400


@pytest.mark.parametrize(
    "body",
    [
        b"",
        BODY,
        b"\x1f\x8b",
        gzip.compress(BODY)[:-1],
        gzip.compress(BODY)[:-8] + bytes(8),
        gzip.compress(BODY) + b"x",
        gzip.compress(BODY) * 2,
        zlib.compress(BODY),
    ],
    ids=["empty", "plain", "head", "cut", "sum", "more", "two", "zlib"],
)
def test_bodies_that_are_not_coded_as_they_say(body: bytes) -> None:
    assert kind(ask("/v1/checks", "POST", JSON | {"content-encoding": "gzip"}, body)) == (
        400,
        "unreadable-body",
        [""],
    )
