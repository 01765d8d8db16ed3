"""HEAD, conditional requests, caching, other origins (RFC 9110, RFC 8288, Fetch standard)."""

import json
import re
from pathlib import Path
from typing import get_args

import pytest
from web_asking import FRIEND, JSON, LIBRARY, ask, check

from upfeed.answering.library import open_library
from upfeed.knowledge.partfile import RELATIONS
from upfeed.web.app import create_app
from upfeed.web.examples import example_builds
from upfeed.web.known import RelationName
from upfeed.web.limits import Limits

GETS = [
    "/openapi.json",
    "/v1/parts",
    "/v1/parts?kind=lifter&limit=2",
    "/v1/parts/BW-118",
    "/v1/families",
    "/v1/families/tarn-v8",
    "/v1/rules",
    "/v1/rules/no-way-up",
]
REFERENCE = example_builds()["reference"]


def test_health_tells_what_is_answered_from() -> None:
    told = ask("/health").json
    assert told["status"] == "ok"
    answered = check(REFERENCE).json["digests"]
    assert {name: told[name] for name in ("program", "knowledge", "rules")} == {
        name: answered[name] for name in ("program", "knowledge", "rules")
    }
    assert ask("/health").headers["cache-control"] == "no-store"


@pytest.mark.parametrize("target", GETS)
def test_a_second_request_gets_304(target: str) -> None:
    first = ask(target)
    assert first.status == 200
    tag = first.headers["etag"]
    assert re.fullmatch(r'"[0-9a-f]{40}"', tag)
    for wanted in (tag, f"W/{tag}", f'"other", {tag}', "*"):
        again = ask(target, headers={"if-none-match": wanted})
        assert (again.status, again.body) == (304, b"")
        assert again.headers["etag"] == tag
        assert again.headers["cache-control"] == first.headers["cache-control"]
        assert again.headers["vary"] == first.headers["vary"]
        assert "content-type" not in again.headers
    for other in ('"other"', tag.strip('"'), "", tag[:-1]):
        assert ask(target, headers={"if-none-match": other}).status == 200


@pytest.mark.parametrize("target", [*GETS, "/health", "/nowhere", "/v1/parts?a=1"])
def test_head_is_get_without_a_body(target: str) -> None:
    got, headed = ask(target), ask(target, "HEAD")
    assert headed.body == b""
    assert (headed.status, headed.headers) == (got.status, got.headers)
    assert headed.headers["content-length"] == str(len(got.body))


def test_a_tag_is_no_reason_to_refuse_a_check() -> None:
    first = check(REFERENCE)
    again = ask(
        "/v1/checks", "POST", JSON | {"if-none-match": first.headers["etag"]}, json.dumps(REFERENCE).encode()
    )
    assert (again.status, again.body) == (200, first.body)


def test_nothing_missing_is_304() -> None:
    assert ask("/v1/parts/none", headers={"if-none-match": "*"}).status == 404


def test_tags_are_all_different() -> None:
    tags = {ask(target).headers["etag"] for target in GETS}
    assert len(tags) == len(GETS)


def test_order_of_parameters_does_not_matter() -> None:
    one, other = ask("/v1/parts?kind=lifter&limit=2"), ask("/v1/parts?limit=2&kind=lifter")
    assert (one.body, one.headers["etag"]) == (other.body, other.headers["etag"])


def test_other_knowledge_has_another_tag(tmp_path: Path) -> None:
    (tmp_path / "more.yaml").write_text(
        "format: 1\nsources: [{source: shop-bench, title: Our bench, kind: bench}]\n"
    )
    app = create_app(open_library([tmp_path]))
    for target in ("/v1/parts/BW-118", "/v1/rules"):
        mine, base = ask(target, app=app), ask(target)
        assert mine.body == base.body
        assert mine.headers["etag"] != base.headers["etag"]


def test_a_contract_with_other_limits_has_another_tag() -> None:
    mine, base = ask("/openapi.json", app=create_app(LIBRARY, limits=Limits(body=1000))), ask("/openapi.json")
    assert mine.body != base.body
    assert mine.headers["etag"] != base.headers["etag"]


def test_figures_are_of_the_type_that_their_reader_knows() -> None:
    # Prometheus' exposition formats: the text format 0.0.4, in UTF-8
    assert ask("/metrics").headers["content-type"] == "text/plain; version=0.0.4; charset=utf-8"


@pytest.mark.parametrize("method", ["GET", "HEAD", "OPTIONS", "PUT"])
@pytest.mark.parametrize("target", ["/health", "/v1/parts", "/nowhere", "/v1/parts?x=1"])
@pytest.mark.parametrize("origin", [None, FRIEND, "https://other.example"])
def test_vary_always(target: str, method: str, origin: str | None) -> None:
    headers = ask(target, method, {"origin": origin} if origin else {}).headers
    assert headers["vary"] == "Accept-Encoding, Origin"
    assert not any(name.startswith("x-") for name in headers)


@pytest.mark.parametrize("target", ["/v1/parts", "/nowhere", "/health"])
def test_only_listed_origins_may_read(target: str) -> None:
    friend = ask(target, headers={"origin": FRIEND}).headers
    assert friend["access-control-allow-origin"] == FRIEND
    assert friend["access-control-expose-headers"] == "ETag, Link, Retry-After"
    for origin in (
        "https://other.example",
        "null",
        f"{FRIEND}.evil.example",
        "http://shop.example",
        FRIEND.upper(),
    ):
        headers = ask(target, headers={"origin": origin}).headers
        assert not any(name.startswith("access-control") for name in headers)
    assert not any(name.startswith("access-control") for name in ask(target).headers)


def test_a_304_may_be_read_too() -> None:
    tag = ask("/v1/parts").headers["etag"]
    again = ask("/v1/parts", headers={"origin": FRIEND, "if-none-match": tag})
    assert again.status == 304
    assert again.headers["access-control-allow-origin"] == FRIEND


def test_preflight() -> None:
    asking = {"access-control-request-method": "POST", "access-control-request-headers": "content-type"}
    granted = ask("/v1/checks", "OPTIONS", {"origin": FRIEND, **asking})
    assert (granted.status, granted.body) == (204, b"")
    assert granted.headers["access-control-allow-origin"] == FRIEND
    assert granted.headers["access-control-allow-methods"] == "GET, HEAD, OPTIONS, POST"
    assert granted.headers["access-control-allow-headers"] == "Content-Encoding, Content-Type, If-None-Match"
    refused = ask("/v1/checks", "OPTIONS", {"origin": "https://other.example", **asking})
    assert not any(name.startswith("access-control") for name in refused.headers)


@pytest.mark.parametrize(
    "origin",
    ["*", "shop.example", "https://shop.example/", "https://Shop.example", "ftp://shop.example", "null", ""],
)
def test_an_origin_that_is_none(origin: str) -> None:
    with pytest.raises(ValueError, match="expected scheme and host"):
        create_app(LIBRARY, origins=[origin])


def test_pages_of_parts_hold_each_part_once() -> None:
    seen: list[str] = []
    target = "/v1/parts?limit=7"
    while target:
        reply = ask(target)
        page = reply.json
        assert len(page["parts"]) <= 7
        seen += [part["id"] for part in page["parts"]]
        link = reply.headers.get("link")
        assert link == (f'<{page["next"]}>; rel="next"' if page["next"] else None)
        target = page["next"]
    assert seen == sorted(LIBRARY.knowledge.parts)


def test_parts_are_narrowed_together() -> None:
    lifters = ask("/v1/parts?kind=lifter&limit=500").json["parts"]
    assert {part["kind"] for part in lifters} == {"lifter"}
    designed = ask("/v1/parts?kind=lifter&family=tarn-v8&limit=500").json["parts"]
    assert [part for part in lifters if "tarn-v8" in part["designed_for"]] == designed != []
    assert len(designed) < len(lifters)


def test_a_part_is_found_by_the_number_it_is_sold_under() -> None:
    assert "4118" in ask("/v1/parts/BW-118").json["numbers"]
    for number in ("4118", "BW-118"):
        assert [part["id"] for part in ask(f"/v1/parts?number={number}").json["parts"]] == ["BW-118"]
    assert ask("/v1/parts?number=none%20such").json == {"parts": [], "next": None}
    assert ask("/v1/parts?number=4118&kind=pushrod").json["parts"] == []


def test_every_relation_is_shown() -> None:
    assert get_args(RelationName) == tuple(RELATIONS)
    shown = ask("/v1/parts/BW-118").json["relations"]
    record = LIBRARY.knowledge.parts["BW-118"].relations
    assert {relation["relation"]: tuple(relation["to"]) for relation in shown} == record


def test_a_part_has_its_values_in_si() -> None:
    part = ask("/v1/parts/BW-118").json
    hole = next(value for value in part["has"] if value["name"] == "feed_hole")
    # 1 in = 25.4 mm exactly (international yard and pound agreement, 1959)
    assert hole["value"] == pytest.approx(0.052 * 0.0254, rel=1e-12)
    assert hole["plus_minus"] == pytest.approx(0.001 * 0.0254, rel=1e-12)
    assert (hole["unit"], hole["shown"], hole["standing"]) == ("m", "0.052 in", "measured")
    assert hole["from"]["file"] == "kb/demo/lifters.yaml"


def test_every_part_family_and_rule_can_be_asked_for() -> None:
    knowledge = LIBRARY.knowledge
    for path, ids in (
        ("parts", knowledge.parts),
        ("families", knowledge.families),
        ("rules", LIBRARY.rulebook.rules),
    ):
        assert all(ask(f"/v1/{path}/{id_}").json["id"] == id_ for id_ in ids)
        listed = ask(f"/v1/{path}").json[path]
        assert [item["id"] for item in listed] == sorted(ids)[: 100 if path == "parts" else None]


def test_a_rule_says_its_sentence_with_names_in_braces() -> None:
    rule = ask("/v1/rules/solid-pushrod-ends-the-way").json
    assert "{pushrod.name}" in rule["says"]
    lines = [part["line"] for part in rule["when"]["parts"]]
    assert (rule["when"]["by"], rule["when"]["form"]) == ("all", "group")
    assert "ways_up == 0" in lines
