"""JSON Schemas of what is known and asked: files of parts, families and sources, and builds."""

from upfeed.judging.lexicon import NO_SLOTS
from upfeed.knowledge.partfile import RELATIONS
from upfeed.knowledge.valvesfile import VALVE_NAME
from upfeed.knowledge.vocabulary import Kind, Vocabulary
from upfeed.schemas.schemawords import (
    Schema,
    closed,
    date,
    file_format,
    has,
    ident,
    listed,
    mapping,
    one_of,
    provenance,
    quantities,
    ref,
    text,
    values,
)

_POSITION = f"^({VALVE_NAME}|[1-9][0-9]*( {VALVE_NAME})?)$"
_VALVE: Schema = {"type": "string", "pattern": f"^[1-9][0-9]* {VALVE_NAME}$"}
_PORT = r"^[a-z][a-z0-9_]*\.[a-z][a-z0-9_]*$"


def knowledge(vocabulary: Vocabulary) -> Schema:
    """A file of parts, families and sources."""
    content = {
        "format": file_format(),
        **provenance(),
        "sources": listed(_source(), "where values come from"),
        "parts": listed(ref("part"), "parts of any kind"),
        "families": listed(ref("family"), "engine families"),
    }
    own = {"part": _part(vocabulary), "family": _family(vocabulary), "intents": _intents(vocabulary)}
    return {**closed(content, ["format"]), "$defs": {**_shared(vocabulary), **own}}


def build(vocabulary: Vocabulary) -> Schema:
    """A build: a family, and what differs from its reference build."""
    content = {
        "format": file_format(),
        "build": ident("id of the build"),
        "name": text("what it is, in a line"),
        "family": ident("the engine family whose reference build fills every slot not named here"),
        "as_of": date("the day on which acceptances are judged, as 2026-11-30"),
        "slots": _slots(vocabulary),
        "settings": ref("has_settings", vocabulary.kinds["settings"].definition),
        "points": _points(vocabulary, []),
        "open": listed(one_of(_kinds(vocabulary)), "slots left empty on purpose"),
        "accepts": listed(_acceptance(), "findings that somebody takes on until a day"),
    }
    accepting: Schema = {
        "required": ["accepts"],
        "properties": {"accepts": {"type": "array", "minItems": 1}},
    }
    dated: Schema = {"required": ["as_of"], "properties": {"as_of": {"type": "string"}}}
    shape = {**closed(content, ["format", "family"]), "if": accepting, "then": dated}
    return {**shape, "$defs": _shared(vocabulary)}


def _kinds(vocabulary: Vocabulary) -> dict[str, Kind]:
    return {name: kind for name, kind in vocabulary.kinds.items() if name not in NO_SLOTS}


def _shared(vocabulary: Vocabulary) -> dict[str, Schema]:
    known = {f"has_{name}": has(kind) for name, kind in vocabulary.kinds.items()}
    fittings = {f"fitting_{name}": _fitting(name) for name in _kinds(vocabulary)}
    placed = {f"fitting_{name}_at": _fitting(name, placed=True) for name in _kinds(vocabulary)}
    return {**quantities(), **values(), **known, **fittings, **placed}


def _source() -> Schema:
    content = {"source": ident("id of the source"), "title": text("its title"), "kind": text("what it is")}
    return closed(content, ["source", "title", "kind"])


def _part(vocabulary: Vocabulary) -> Schema:
    kinds = _kinds(vocabulary)
    known: Schema = {"type": "object", "description": "what is known of it"}
    content = {
        "part": ident("id of the part"),
        "kind": one_of(kinds, "what it is"),
        "name": text("what it is called"),
        "maker": text("who makes it"),
        "numbers": listed(text(), "numbers it is sold under; a number goes in quotes"),
        "relations": closed({n: listed(ident(), f"{to} ids") for n, to in RELATIONS.items()}),
        "intents": ref("intents"),
        "has": known,
        **provenance(),
    }
    by_kind = [_when({"kind": {"const": kind}}, {"has": _nullable(f"has_{kind}")}) for kind in kinds]
    return {**closed(content, ["part", "kind", "name", "maker"]), "allOf": by_kind}


def _when(given: Schema, then: Schema) -> Schema:
    return {"if": {"properties": given, "required": list(given)}, "then": {"properties": then}}


def _nullable(name: str) -> Schema:
    return {"anyOf": [ref(name), {"type": "null"}]}


def _intents(vocabulary: Vocabulary) -> Schema:
    names = [f"{kind.name}.{name}" for kind in vocabulary.kinds.values() for name in kind.attributes]
    about = listed(one_of(names), "attributes it is about")
    return listed(
        closed({"about": about, "says": text("the reason, in a sentence or two")}, ["says"]),
        "why it was made so",
    )


def _family(vocabulary: Vocabulary) -> Schema:
    content = {
        "family": ident("id of the family"),
        "name": text("what it is called"),
        "maker": text("who makes it"),
        "plan": _plan(vocabulary),
        "reference": closed(
            {"slots": _slots(vocabulary), "settings": ref("has_settings")},
            description="the engine as it was designed, complete",
        ),
        "points": _points(vocabulary, list(vocabulary.points)),
        "intents": ref("intents"),
    }
    return closed(content, ["family", "name", "maker", "plan", "reference", "points"])


def _plan(vocabulary: Vocabulary) -> Schema:
    slot = closed({"kind": one_of(_kinds(vocabulary)), "each": one_of(["engine", "valve"])}, ["kind"])
    end: Schema = {"type": "string", "pattern": _PORT}
    pair: Schema = {"type": "array", "items": end, "minItems": 2, "maxItems": 2}
    content = {
        "cylinders": {"type": "integer", "minimum": 1},
        "valves": _valves(vocabulary),
        "firing_order": listed({"type": "integer", "minimum": 1}, "cylinders in the order they fire"),
        "firing_angles": listed(
            ref("angle"), "crank angle of each firing in that order, where they are not evenly spaced"
        ),
        "slots": mapping("^[a-z][a-z0-9_]*$", slot, "places for parts: one an engine, or one a valve"),
        "joins": listed(pair, "ports that meet, as [oil_pump.outlet, block.main_gallery]", least=1),
    }
    stations: dict[str, Schema] = {
        "rows": listed(
            listed(_VALVE, least=1), "valves in rows along a gallery, from its fed end on", least=1
        ),
        "enters": pair | {"description": "the ports that meet at the first valve of each row"},
        "onward": pair | {"description": "the ports that meet from one valve to the next"},
        "leaves": pair
        | {"description": "the ports that meet at the last valve; without it the gallery ends there"},
    }
    along = closed(stations, ["rows", "enters", "onward"], "what stands along a gallery, where that matters")
    needed = ["cylinders", "valves", "slots", "joins"]
    return closed(content | {"stations": along}, needed, "how the family leads oil")


def _valves(vocabulary: Vocabulary) -> Schema:
    lobes = sorted({lobe for kind in vocabulary.kinds.values() for lobe in kind.lobes or ()})
    by_lobe = {**mapping(f"^{VALVE_NAME}$", one_of(lobes)), "minProperties": 1}
    told = "the valves of each cylinder, as [intake, exhaust], or each with the lobe that moves it"
    return {"anyOf": [listed(one_of(lobes), least=1), by_lobe], "description": told}


def _points(vocabulary: Vocabulary, required: list[str]) -> Schema:
    points = {name: ref("has_points", definition) for name, definition in vocabulary.points.items()}
    return closed(points, required, vocabulary.kinds["points"].definition)


def _slots(vocabulary: Vocabulary) -> Schema:
    return closed(
        {name: _filling(name, kind) for name, kind in _kinds(vocabulary).items()},
        description="what stands in each slot",
    )


def _filling(name: str, kind: Kind) -> Schema:
    by_position = listed(ref(f"fitting_{name}_at"))
    return {"anyOf": [text(), ref(f"fitting_{name}"), by_position], "description": kind.definition}


def _fitting(kind: str, *, placed: bool = False) -> Schema:
    """A known part, values of its own, or both; at a position where several stand in one slot."""
    at: Schema = {
        "type": ["integer", "string"],
        "minimum": 1,
        "pattern": _POSITION,
        "description": "all, a valve's name (intake), a cylinder's number, or both as `3 intake`",
    }
    content = {
        **({"at": at} if placed else {}),
        "part": text("id of a known part"),
        "name": text("what to call it"),
        "has": ref(f"has_{kind}", "values of its own, over those of the part"),
        "fill_from": text("id of a part whose values fill what is not known"),
    }
    some: list[object] = [{"required": [key]} for key in ("part", "has", "fill_from")]
    return {**closed(content), "anyOf": some}


def _acceptance() -> Schema:
    content = {
        "finding": text("id of the finding, as rule@place"),
        "reason": text("why it is taken on"),
        "by": text("who takes it on"),
        "until": date("the last day it holds, as 2026-11-30"),
    }
    figure = text(
        "the finding's figure as it is accepted, as 1.8 or 8 thou; worse than that, it counts again"
    )
    return closed({**content, "at": figure}, list(content))
