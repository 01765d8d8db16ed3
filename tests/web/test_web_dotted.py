"""A build in the query: the same build both ways, the same answer as by body, faults by the parameter's name."""

import json
import re
from typing import Any
from urllib.parse import quote

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from web_asking import BUILDS, JSON, LIBRARY, Reply, ask

from upfeed.reading.jsontree import read_json
from upfeed.web.asked import BUILD_IN_QUERY
from upfeed.web.body import canonical
from upfeed.web.dotted import TOP, build_of, pairs_of, query_of_build, tables_of
from upfeed.web.examples import example_builds

EXAMPLES: dict[str, Any] = example_builds(path.stem for path in BUILDS)
TABLES = tables_of(LIBRARY.vocabulary)
KINDS = LIBRARY.vocabulary.kinds


def by_query(query: str, **headers: str) -> Reply:
    return ask(f"/v1/checks?{query}", headers=headers)


def by_body(build: Any) -> Reply:
    return ask("/v1/checks?samples=0", "POST", JSON, json.dumps(build).encode())


def back(build: Any) -> Any:
    return build_of(pairs_of(build), TABLES).build


def wrong(reply: Reply, status: int) -> dict[str, str]:
    assert reply.status == status, reply.body
    assert {error["in"] for error in reply.json["errors"]} == {"query"}
    return {error["pointer"]: error["found"] for error in reply.json["errors"]}


def meaning(build: Any) -> Any:
    """What the reader of builds is given, with numbers as the text that they are written as."""
    faults: list[Any] = []
    node = read_json(json.dumps(build), faults)
    assert node is not None
    assert not faults
    return json.loads(json.dumps(canonical(node)).replace('["number", ', '["text", '))


def test_no_attribute_is_called_what_says_more_about_a_part_or_a_value() -> None:
    names = {name for kind in KINDS.values() for name in kind.attributes}
    assert not names & {"name", "fill_from", "is", "plus_minus", "standing", "source", "note"}
    slots = {slot for family in LIBRARY.knowledge.families.values() for slot in family.plan.slots}
    assert not slots & {*TOP, "units", "samples", "mends"}
    for name in names | slots:
        assert re.fullmatch(BUILD_IN_QUERY.pattern, name)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_example_comes_back_from_its_query(name: str) -> None:
    build = EXAMPLES[name]
    assert meaning(back(build)) == meaning(build)
    assert all(re.fullmatch(BUILD_IN_QUERY.pattern, key) for key, _ in pairs_of(build))


@pytest.mark.parametrize(
    "name", ["reference", "blind-lifter", "preload-lost", "one-odd-lifter", "feed-hole-unknown"]
)
def test_the_same_bytes_as_by_body(name: str) -> None:
    build = EXAMPLES[name]
    posted, got = by_body(build), by_query(f"samples=0&{query_of_build(build)}")
    assert (got.status, got.body) == (200, posted.body)
    assert got.headers["cache-control"] == posted.headers["cache-control"]
    again = by_query(f"samples=0&{query_of_build(build)}", **{"if-none-match": got.headers["etag"]})
    assert (again.status, again.body) == (304, b"")


def test_the_form_that_people_write() -> None:
    told = (
        "family=tarn-v8&lifter=BW-118&lifter.feed_hole=0.052 in&lifter.feed_hole.plus_minus=0.001 in"
        "&pushrod@3-intake=PR-7&pushrod@exhaust.bore=&settings.preload=30 thou&points.hot_idle.speed=650 rpm"
        "&open=rocker,oil&name=a swap&accepts.1.finding=a@b&accepts.1.by=M. P."
    )
    pairs = [tuple(pair.split("=", 1)) for pair in told.split("&")]
    assert build_of(pairs, TABLES).build == {  # type: ignore[arg-type]
        "format": 1,
        "family": "tarn-v8",
        "name": "a swap",
        "slots": {
            "lifter": {
                "part": "BW-118",
                "has": {"feed_hole": {"is": "0.052 in", "plus_minus": "0.001 in"}},
            },
            "pushrod": [{"at": "3 intake", "part": "PR-7"}, {"at": "exhaust", "has": {"bore": None}}],
        },
        "settings": {"preload": "30 thou"},
        "points": {"hot_idle": {"speed": "650 rpm"}},
        "open": ["rocker", "oil"],
        "accepts": [{"finding": "a@b", "by": "M. P."}],
    }


def test_a_table() -> None:
    table = [["-74 deg", "0 mm"], ["-70 deg", "0.05 mm"]]
    build = {"format": 1, "family": "tarn-v8", "slots": {"camshaft": {"has": {"intake_table": table}}}}
    assert ("camshaft.intake_table", "-74 deg,0 mm;-70 deg,0.05 mm") in pairs_of(build)
    assert back(build) == build


def test_order_of_parameters_and_spelling_of_blanks_change_nothing() -> None:
    one = by_query("samples=0&family=tarn-v8&settings.preload=30%20thou&lifter=BW-121")
    other = by_query("lifter=BW%2D121&settings.preload=30+thou&family=tarn-v8&samples=0&format=1")
    assert one.status == 200
    assert (one.body, one.headers["etag"]) == (other.body, other.headers["etag"])


def test_ways_out_by_query() -> None:
    reply = by_query("samples=0&mends=true&family=tarn-v8&lifter=BW-121")
    body = json.dumps({"format": 1, "family": "tarn-v8", "slots": {"lifter": "BW-121"}}).encode()
    assert reply.body == ask("/v1/checks?samples=0&mends=true", "POST", JSON, body).body


@pytest.mark.parametrize(
    ("query", "faults"),
    [
        ("", {"": "family: nothing"}),
        ("family=tarn-v9", {"/family": '"tarn-v9"'}),
        ("family=tarn-v8&settings.preload=30", {"/settings.preload": '"30" without a unit'}),
        ("family=tarn-v8&settings.preloed=30", {"/settings.preloed": 'the unknown key "preloed"'}),
        ("family=tarn-v8&lifter.feed_hole=9 in", {"/lifter.feed_hole": '"9 in"'}),
        (
            "family=tarn-v8&lifter.feed_hole=9&lifter.feed_hole.source=x",
            {"/lifter.feed_hole": '"9" without a unit', "/lifter.feed_hole.source": '"x"'},
        ),
        ("family=tarn-v8&lifter=XX-1", {"/lifter": '"XX-1"'}),
        ("family=tarn-v8&lifter=", {"/lifter": "nothing"}),
        ("family=tarn-v8&liffter=BW-118", {"/liffter": '"liffter"'}),
        ("family=tarn-v8&lifter@9=BW-118", {"/lifter@9": '"9"'}),
        ("family=tarn-v8&lifter=BW-118&lifter@all=BW-121", {"/lifter@all": "a second lifter at all"}),
        ("family=tarn-v8&lifter=BW-118&slots.lifter=BW-121", {"/slots.lifter": "a second lifter at all"}),
        ("family=tarn-v8&points.hot_idle=650 rpm", {"/points.hot_idle": 'the text "650 rpm"'}),
        ("family=tarn-v8&points=1", {"/points": 'the text "1"'}),
        ("family=tarn-v8&name.x=a", {"/name.x": "a mapping"}),
        ("family=tarn-v8&lifter.feed_hole=1 mm&lifter.feed_hole.is=2 mm", {"/lifter.feed_hole.is": "a list"}),
        ("family=tarn-v8&name=a%0A%00", {"/name": 'hidden characters in "a\\u000a\\u0000"'}),
        ("family=tarn-v8&format=2", {"/format": 'the text "2"'}),
        ("family=tarn-v8&lifter=BW-118&slots=", {"/slots": '"slots"'}),
        ("family=tarn-v8&open=lifter,x", {"/open": '"x"'}),
    ],
)
def test_what_is_wrong_is_told_by_the_parameter(query: str, faults: dict[str, str]) -> None:
    assert wrong(by_query(quote(query, safe="=&%")), 422) == faults


@pytest.mark.parametrize("name", ["Lifter", "a..b", ".a", "a.", "a b", "a/b", "unitz@", "@a", "9", "a~b"])
def test_names_that_are_none(name: str) -> None:
    assert list(wrong(by_query(f"family=tarn-v8&{quote(name)}=1"), 400)) == [
        "/" + name.replace("~", "~0").replace("/", "~1")
    ]


def test_a_name_only_once() -> None:
    assert wrong(by_query("family=tarn-v8&lifter=BW-118&lifter=BW-118"), 400) == {"/lifter": "lifter 2 times"}


TEXT = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=12).filter(
    str.strip
)
IDENT = st.from_regex(r"[A-Z]{2}-[0-9]{1,4}", fullmatch=True)


def optional(**keys: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({}, optional=keys)


def value_of(name: str) -> st.SearchStrategy[Any]:
    size = st.from_regex(r"[0-9]{1,3}\.[0-9]{1,3} (?:mm|in|thou|psi)", fullmatch=True)
    row = st.tuples(size, size).map(list)
    bare = st.lists(row, min_size=1, max_size=3) if name in TABLES else size | TEXT
    more = optional(plus_minus=size, standing=st.just("measured"), source=IDENT, note=TEXT)
    full = st.builds(lambda is_, more: {"is": is_, **more}, bare, more.filter(bool))
    return st.none() | bare | full


def values_of(kind: str) -> st.SearchStrategy[dict[str, Any]]:
    names = st.lists(st.sampled_from(sorted(KINDS[kind].attributes)), min_size=1, max_size=3, unique=True)
    return names.flatmap(lambda found: st.fixed_dictionaries({name: value_of(name) for name in found}))


@st.composite
def fittings(draw: st.DrawFn, kind: str) -> Any:
    """A mapping that is more than a part's id, which a query can't tell from the id alone."""
    more = draw(optional(name=TEXT, fill_from=IDENT, has=values_of(kind)).filter(bool))
    return draw(optional(part=IDENT)) | more


@st.composite
def slots_of(draw: st.DrawFn, kind: str) -> Any:
    placed = st.sampled_from(["all", "intake", "exhaust", "3", "3 second intake"])
    one = IDENT.map(lambda id_: {"part": id_}) | fittings(kind)
    ats = draw(st.lists(placed, unique=True, max_size=3))
    many = [{"at": at, **draw(one)} for at in ats]
    return many or draw(IDENT | fittings(kind))


@st.composite
def builds(draw: st.DrawFn) -> dict[str, Any]:
    """Builds as JSON has them, everything that can be said, whatever it means."""
    parts = sorted(set(KINDS) - {"points", "settings"})
    kinds = draw(st.lists(st.sampled_from(parts), unique=True, max_size=3))
    acceptance = st.fixed_dictionaries(dict.fromkeys(("finding", "reason", "by", "until"), TEXT))
    point = st.dictionaries(
        st.sampled_from(sorted(LIBRARY.vocabulary.points)), values_of("points"), min_size=1
    )
    told = draw(
        optional(
            build=IDENT,
            name=TEXT,
            as_of=st.just("2026-11-30"),
            settings=values_of("settings"),
            points=point,
            open=st.lists(st.sampled_from(parts), min_size=1, unique=True),
            accepts=st.lists(acceptance, min_size=1, max_size=12),
        )
    )
    slots = {kind: draw(slots_of(kind)) for kind in kinds}
    return {"format": 1, "family": draw(IDENT), **told} | ({"slots": slots} if slots else {})


@given(build=builds())
@settings(max_examples=150)
def test_a_build_comes_back_from_its_query(build: dict[str, Any]) -> None:
    assert back(build) == build
    assert all(re.fullmatch(BUILD_IN_QUERY.pattern, name) for name, _ in pairs_of(build))


STEPS = [
    "family",
    "name",
    "lifter",
    "lifter@all",
    "lifter@3-intake",
    "slots",
    "points",
    "hot_idle",
    "settings",
]
STEPS += ["preload", "feed_hole", "intake_table", "is", "plus_minus", "accepts", "1", "2", "open", "x"]
NAMES = (
    st.lists(st.sampled_from(STEPS), min_size=1, max_size=4)
    .map(".".join)
    .filter(lambda name: re.fullmatch(BUILD_IN_QUERY.pattern, name) is not None)
)


@given(pairs=st.dictionaries(NAMES, TEXT | st.just(""), max_size=6))
@settings(max_examples=200)
def test_nothing_that_a_query_says_is_lost(pairs: dict[str, str]) -> None:
    told = build_of(pairs.items(), TABLES)
    texts = {node for node in walk(told.build) if isinstance(node, str)}
    for name, text in pairs.items():
        assert name in told.names.values()
        pieces = {piece.strip() for piece in re.split("[,;]", text)}
        assert text in texts or not text or pieces <= texts


def walk(node: Any) -> Any:
    yield node
    below = node.values() if isinstance(node, dict) else node if isinstance(node, list) else ()
    for item in below:
        yield from walk(item)
