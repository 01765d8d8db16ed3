"""What is known, resource by resource: narrowed lists, pages, relations, guides, all of it at once."""

import gzip
import json
import re
from typing import Any
from urllib.parse import quote

import pytest
from web_asking import LIBRARY, Reply, ask

from upfeed.answering.library import open_library
from upfeed.knowledge.relations import PartGraph
from upfeed.reading.folders import data_folder
from upfeed.reading.units import parse
from upfeed.web.app import create_app
from upfeed.web.limits import Limits

PARTS = LIBRARY.knowledge.parts
SHOP = "format: 1\nsources: [{source: shop-bench, title: Our bench, kind: bench}]\n"


@pytest.fixture(scope="module")
def changed(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """A service that knows one source more."""
    folder = tmp_path_factory.mktemp("shop")
    (folder / "more.yaml").write_text(SHOP)
    return create_app(open_library([folder]))


def listed(query: str) -> list[str]:
    reply = ask(f"/v1/parts?limit=500&{query}")
    assert reply.status == 200, reply.body
    return [part["id"] for part in reply.json["parts"]]


def size(id_: str, name: str) -> Any:
    value = PARTS[id_].has.get(name)
    return value.magnitude if value else None


def refused(reply: Reply, status: int, kind: str) -> list[str]:
    assert (reply.status, reply.json["type"]) == (status, f"/v1/problems/{kind}"), reply.body
    return [error["pointer"] for error in reply.json["errors"]]


def test_parts_in_a_range_of_sizes() -> None:
    low, high = parse("0.04 in", "length"), parse("0.06 in", "length")
    found = listed(f"lifter.feed_hole={quote('0.04 in..0.06 in')}")
    within = [
        id_ for id_, part in PARTS.items() if part.kind == "lifter" and size(id_, "feed_hole") is not None
    ]
    within = [id_ for id_ in within if low <= size(id_, "feed_hole") <= high]
    assert found == sorted(within)
    assert 0 < len(found) < len(listed("kind=lifter"))
    above = listed(f"lifter.feed_hole={quote('0.06 in..')}")
    below = listed("lifter.feed_hole=..0.04%20in")
    known = [id_ for id_ in listed("kind=lifter") if size(id_, "feed_hole") is not None]
    assert set(found) | set(above) | set(below) == set(known)


def test_one_size_in_whatever_unit() -> None:
    # 1 in = 25.4 mm exactly (international yard and pound agreement, 1959): 0.052 in = 1.3208 mm
    inches, millimetres = listed("lifter.feed_hole=0.052%20in"), listed("lifter.feed_hole=1.3208%20mm")
    assert "BW-118" in inches
    assert inches == millimetres


def test_choices_and_several_ranges_at_once() -> None:
    disc = listed("lifter.metering=disc")
    assert disc == sorted(id_ for id_, part in PARTS.items() if size(id_, "metering") == "disc")
    choices = LIBRARY.vocabulary.kinds["lifter"].attributes["metering"].choices or {}
    known = [id_ for id_ in listed("kind=lifter") if size(id_, "metering") is not None]
    assert listed(f"lifter.metering={','.join(choices)}") == known
    both = listed("lifter.metering=disc&lifter.feed_hole=..0.052%20in&family=tarn-v8")
    assert set(both) == set(disc) & set(listed("lifter.feed_hole=..0.052%20in")) & set(
        listed("family=tarn-v8")
    )
    assert listed("lifter.metering=disc&kind=pushrod") == []


@pytest.mark.parametrize(
    ("query", "status", "kind", "pointer"),
    [
        ("lifter.feed_hole=0.04..0.06", 400, "unreadable-query", "/lifter.feed_hole"),
        ("lifter.feed_hole=", 400, "unreadable-query", "/lifter.feed_hole"),
        ("lifter.feed_hole=0.06 in..0.04 in", 400, "unreadable-query", "/lifter.feed_hole"),
        ("lifter.feed_hole=0.06 psi", 400, "unreadable-query", "/lifter.feed_hole"),
        ("lifter.metering=disk", 400, "unreadable-query", "/lifter.metering"),
        ("lifter.feed_hle=1 mm", 404, "not-found", "/lifter.feed_hle"),
        ("camshaft.intake_table=1 mm", 404, "not-found", "/camshaft.intake_table"),
        ("lifter.feed.hole=1 mm", 400, "unreadable-query", "/lifter.feed.hole"),
        ("Lifter.feed_hole=1 mm", 400, "unreadable-query", "/Lifter.feed_hole"),
    ],
)
def test_ranges_that_are_none(query: str, status: int, kind: str, pointer: str) -> None:
    assert refused(ask(f"/v1/parts?{quote(query, safe='=&')}"), status, kind) == [pointer]


def test_pages_of_a_narrowed_list_hold_each_part_once() -> None:
    narrowed, seen = "kind=lifter&lifter.feed_hole=0.1%20mm..", []
    target = f"/v1/parts?limit=3&{narrowed}"
    while target:
        reply = ask(target)
        page = reply.json
        seen += [part["id"] for part in page["parts"]]
        assert reply.headers.get("link") == (f'<{page["next"]}>; rel="next"' if page["next"] else None)
        target = page["next"]
    assert seen == listed(narrowed)


def test_a_cursor_goes_with_one_state_of_the_knowledge(changed: Any) -> None:
    following = ask("/v1/parts?limit=2").json["next"]
    same = ask(following, app=create_app(LIBRARY))
    assert same.body == ask(following).body
    assert refused(ask(following, app=changed), 400, "stale-cursor") == ["/cursor"]


@pytest.mark.parametrize("cursor", ["x", "QlctMTE4", "AAAA", "__-_", "a" * 200])
def test_cursors_that_are_none(cursor: str) -> None:
    assert refused(ask(f"/v1/parts?cursor={cursor}"), 400, "unreadable-query") == ["/cursor"]


def test_how_a_part_stands_to_others() -> None:
    graph = PartGraph(LIBRARY.knowledge)
    told = {id_: ask(f"/v1/parts/{id_}/relations").json for id_ in PARTS}
    for id_, one in told.items():
        assert one["part"] == id_
        assert one["same_envelope"] == list(graph.same_envelope(id_))
        for relation in one["names"]:
            for other in relation["to"]:
                if other in told:
                    named = {r["relation"]: r["to"] for r in told[other]["named_by"]}
                    assert id_ in named[relation["relation"]]
        for supplied in one["supplied_for_it"]:
            chain = supplied["chain"]
            assert (chain[0], chain[-1]) == (id_, supplied["part"])
    assert any(one["supplied_for_it"] for one in told.values())


def test_two_parts_and_stand_ins_as_the_command_line_has_them(upfeed: Any) -> None:
    differ = upfeed("differ", "BW-118", "BW-133", "--family", "tarn-v8", "--format", "json")
    assert ask("/v1/parts/BW-118/differences/BW-133?family=tarn-v8").body == differ.out
    instead = upfeed("instead", "BW-110", "--family", "tarn-v8", "--format", "json")
    assert ask("/v1/parts/BW-110/stand-ins?family=tarn-v8").body == instead.out
    assert instead.code == 0


@pytest.mark.parametrize("path", ["parts/BW-118", "families/tarn-v8", "rules/no-way-up"])
def test_one_of_them_as_the_command_line_shows_it(upfeed: Any, path: str) -> None:
    told = upfeed("show", path.partition("/")[2], "--format", "json")
    assert (told.code, told.out) == (0, ask(f"/v1/{path}").body)


def test_a_number_is_no_id(upfeed: Any) -> None:
    told = upfeed("show", "4118", "--format", "json")
    assert (told.code, told.out) == (2, b"")
    assert '"4118", a number' in told.err


@pytest.mark.parametrize(
    ("path", "status", "kind", "pointer"),
    [
        ("BW-118/differences/BW-1333", 404, "not-found", "/other"),
        ("BW-1188/differences/BW-133", 404, "not-found", "/part"),
        ("BW-118/differences/BW-133?family=tarn-v9", 404, "not-found", "/family"),
        ("BW-1188/stand-ins", 404, "not-found", "/part"),
        ("BW-118/stand-ins?family=x", 404, "not-found", "/family"),
        ("BW-1188/relations", 404, "not-found", "/part"),
    ],
)
def test_parts_that_there_are_none_of(path: str, status: int, kind: str, pointer: str) -> None:
    assert refused(ask(f"/v1/parts/{path}"), status, kind) == [pointer]


def test_parts_of_two_kinds() -> None:
    other = next(id_ for id_, part in PARTS.items() if part.kind == "pushrod")
    assert refused(ask(f"/v1/parts/BW-118/differences/{other}"), 422, "two-kinds") == ["/other"]


@pytest.mark.parametrize("path", ["BW-118/differences/BW-133", "BW-118/stand-ins"])
def test_the_trials_of_parts_may_be_too_much_work(path: str, monkeypatch: pytest.MonkeyPatch) -> None:
    graph = PartGraph(LIBRARY.knowledge)
    instead = {*graph.supplied_for("BW-118"), *graph.same_envelope("BW-118")}
    tried = 2 if "differences" in path else 1 + len(instead)
    for name in ("two_parts", "stand_ins"):
        monkeypatch.setattr(f"upfeed.web.relating.{name}", lambda *_: ())
    # each part beside the reference, at 4 points, intake and exhaust
    for states, status in ((16 * tried - 1, 422), (16 * tried, 200)):
        app = create_app(LIBRARY, limits=Limits(states=states))
        reply = ask(f"/v1/parts/{path}?family=tarn-v8", app=app)
        assert reply.status == status, reply.body
        assert status == 200 or refused(reply, 422, "too-much-work") == ["/family"]


def test_which_knowledge_is_answered_from(changed: Any) -> None:
    told, health = ask("/v1/knowledge").json, ask("/health").json
    assert all(told[name] == health[name] for name in ("version", "program", "knowledge", "rules"))
    assert told["counts"]["parts"] == len(PARTS) == sum(layer["parts"] for layer in told["layers"])
    assert told["counts"]["rules"] == len(LIBRARY.rulebook.rules)
    more = ask("/v1/knowledge", app=changed).json
    assert more["counts"]["sources"] == told["counts"]["sources"] + 1
    assert more["knowledge"] != told["knowledge"]


def test_all_of_it_at_once() -> None:
    reply = ask("/v1/knowledge/whole", headers={"accept-encoding": "gzip"})
    whole = json.loads(gzip.decompress(reply.body))
    assert len(reply.body) < len(gzip.decompress(reply.body)) / 5
    assert whole["identity"] == ask("/v1/knowledge").json
    assert whole["vocabulary"] == ask("/v1/vocabulary").json
    assert whole["sources"] == ask("/v1/sources").json["sources"]
    for name, step in (("parts", 7), ("families", 1), ("rules", 11)):
        ids = [one["id"] for one in whole[name]]
        assert ids == sorted(ids)
        for one in whole[name][::step]:
            assert one == ask(f"/v1/{name}/{one['id']}").json
    again = ask(
        "/v1/knowledge/whole", headers={"accept-encoding": "gzip", "if-none-match": reply.headers["etag"]}
    )
    assert (again.status, again.body) == (304, b"")


def test_every_source_that_is_named_is_listed() -> None:
    known = {source["id"] for source in ask("/v1/sources").json["sources"]}
    assert known == set(LIBRARY.knowledge.sources)
    named = {value.source for part in PARTS.values() for value in part.has.values() if value.source}
    assert named <= known


@pytest.mark.parametrize("guide", ["measuring", "rules"])
def test_guides_are_those_in_the_repository(guide: str) -> None:
    reply = ask(f"/v1/guides/{guide}")
    assert reply.body == (data_folder("shared") / "guides" / f"{guide}.md").read_bytes()
    # RFC 7763: text/markdown needs its charset
    assert reply.headers["content-type"] == "text/markdown; charset=utf-8"
    assert ask(f"/v1/guides/{guide}", headers={"accept": "application/json"}).status == 406
    again = ask(f"/v1/guides/{guide}", headers={"if-none-match": reply.headers["etag"]})
    assert again.status == 304


def test_the_vocabulary_says_how_everything_is_measured() -> None:
    told = {kind["kind"]: kind for kind in ask("/v1/vocabulary").json["kinds"]}
    assert set(told) == set(LIBRARY.vocabulary.kinds)
    hole = next(a for a in told["lifter"]["attributes"] if a["name"] == "feed_hole")
    known = LIBRARY.vocabulary.kinds["lifter"].attributes["feed_hole"]
    assert (hole["definition"], hole["how"], hole["unit"]) == (known.definition, known.how, "m")
    quantities = {one["quantity"]: one for one in ask("/v1/vocabulary").json["quantities"]}
    assert {"in", "mm", "thou"} <= set(quantities["length"]["written_in"])
    used = {a["quantity"] for kind in told.values() for a in kind["attributes"] if a["quantity"]}
    assert used <= set(quantities)


def test_a_rule_has_its_cases() -> None:
    for id_, record in list(LIBRARY.rulebook.rules.items())[::9]:
        told = ask(f"/v1/rules/{id_}").json
        assert [case["case"] for case in told["cases"]] == [case.case for case in record.cases]
        assert {case["expect"] for case in told["cases"]} == {"fires", "quiet", "unknown"}
        for case in told["cases"]:
            assert (case["says"] is not None) == (case["expect"] == "fires")
            assert {fact["name"]: fact["value"] for fact in case["facts"]} == next(
                known.facts for known in record.cases if known.case == case["case"]
            )


def test_a_size_in_a_case_has_its_unit() -> None:
    facts = [
        fact
        for id_ in LIBRARY.rulebook.rules
        for case in ask(f"/v1/rules/{id_}").json["cases"]
        for fact in case["facts"]
    ]
    holes = [fact for fact in facts if re.fullmatch(r"(reference\.)?lifter\.feed_hole", fact["name"])]
    assert holes
    assert {fact["unit"] for fact in holes} == {"m"}
