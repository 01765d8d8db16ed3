"""The hosts that are answered for (RFC 9110, 7.4; RFC 9112, 3.2)."""

import pytest
from web_asking import FRIEND, LIBRARY, ask

from upfeed.web.app import create_app
from upfeed.web.hosts import LOOPBACK, hosts_at

APP = create_app(LIBRARY, origins=[FRIEND], hosts=["oil.example", "127.0.0.1", "[::1]"])


@pytest.mark.parametrize(
    "host", ["oil.example", "OIL.example:8080", "oil.example.", "127.0.0.1:1", "[::1]:8080", "[::1]"]
)
def test_hosts_that_are_answered_for(host: str) -> None:
    assert ask("/health", headers={"host": host}, app=APP).status == 200


@pytest.mark.parametrize(
    "host",
    [
        "other.example",
        "oil.example.other.example",
        "xoil.example",
        "oil.example:8080.other.example",
        "127.0.0.2",
    ],
)
@pytest.mark.parametrize("target", ["/health", "/nowhere", "/v1/parts?x=1"])
def test_other_hosts(host: str, target: str) -> None:
    reply = ask(target, headers={"host": host, "origin": FRIEND}, app=APP)
    is_host = ":8080." not in host
    assert reply.status == (421 if is_host else 400)
    assert reply.json["type"] == f"/v1/problems/{'wrong-host' if is_host else 'unreadable-request'}"
    assert [error["pointer"] for error in reply.json["errors"]] == ["/host"]
    assert reply.headers["content-type"] == "application/problem+json"
    assert reply.headers["cache-control"] == "no-store"
    assert reply.headers["vary"] == "Accept-Encoding, Origin"


@pytest.mark.parametrize("headers", [{}, {"host": ""}, {"host": "a b"}, {"host": "oil.example, oil.example"}])
def test_no_host(headers: dict[str, str]) -> None:
    assert ask("/health", headers=headers, app=APP).status == 400


def test_head_has_no_body_here_either() -> None:
    reply = ask("/health", "HEAD", headers={"host": "other.example"}, app=APP)
    assert (reply.status, reply.body) == (421, b"")


@pytest.mark.parametrize("host", ["*", "oil.example:80", "http://oil.example", "oil example", "", ".example"])
def test_a_host_that_is_none(host: str) -> None:
    with pytest.raises(ValueError, match="expected a name or an address without a port"):
        create_app(LIBRARY, hosts=[host])


def test_hosts_that_hold_where_none_are_given() -> None:
    assert set(hosts_at("127.0.0.1", ())) == set(hosts_at("::1", ())) == set(LOOPBACK)
    assert "127.0.0.9" in hosts_at("127.0.0.9", ())
    assert hosts_at("0.0.0.0", ()) == hosts_at("::", ()) == hosts_at("10.0.0.7", ()) == ()
    assert hosts_at("127.0.0.1", ("oil.example",)) == ("oil.example",)
