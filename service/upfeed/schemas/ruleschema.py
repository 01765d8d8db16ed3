"""JSON Schemas of what is judged: rule.yaml, cases.yaml and limits.yaml."""

from upfeed.judging.condition import COMBINERS
from upfeed.judging.lexicon import NO_SLOTS, Name, lexicon
from upfeed.judging.rules import OUTCOMES, WEIGHTS
from upfeed.judging.ruleterms import GALLERY, SNAKE, sizes_of_parts
from upfeed.judging.syntax import LONGEST
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading.units import QUANTITIES
from upfeed.schemas.schemawords import (
    BARE,
    NULL,
    Schema,
    closed,
    file_format,
    ident,
    listed,
    mapping,
    one_of,
    quantities,
    ref,
    text,
)

_OWN_NAME = f"^{SNAKE.pattern}$"


def rule(vocabulary: Vocabulary) -> Schema:
    """One rule."""
    slots = [kind for kind in vocabulary.kinds if kind not in NO_SLOTS]
    settings = list(vocabulary.kinds["settings"].attributes)
    content: dict[str, Schema] = {
        "format": file_format(),
        "rule": ident("id: the fault it states, the name of its folder, never used again"),
        "area": text("the folder it is in"),
        "walks": _walk([GALLERY, *slots]),
        "weighs": one_of(WEIGHTS, "how much a finding weighs"),
        "explains": listed(ident(), "rules whose findings are then consequences of this one"),
        "about": listed(one_of(_values(vocabulary)), "attributes whose intents a finding quotes"),
        "why": text("the reason, in plain words"),
        "let": mapping(_OWN_NAME, _let(), "calculations by name; each may use those above it"),
        "when": ref("condition", "when it fires"),
        "says": {
            "type": "string",
            "pattern": r"^(?=[\s\S]*\S)([^{}]|\{[^{}]+\})*$",
            "description": "the finding's sentence; {name} stands for a value with its unit",
        },
        "worst": {
            "oneOf": [closed({end: _own_name()}, [end]) for end in ("least", "most")],
            "description": "places told as one have the figures of that with the least or most of a calculation",
        },
        "mend": listed(
            _mend([*slots, *settings, *sorted(sizes_of_parts(vocabulary))]), "what may be done about it"
        ),
        "known_limits": text("what it does not see, in a sentence or two"),
        "sources": listed(text(), "ids of sources", least=1),
    }
    needed = ["format", "rule", "area", "walks", "weighs", "why", "when", "says", "known_limits", "sources"]
    return {**closed(content, needed), "$defs": {"condition": _condition()}}


def _own_name() -> Schema:
    return {"type": "string", "pattern": _OWN_NAME}


def cases(vocabulary: Vocabulary) -> Schema:
    """What a rule is shown by: facts in, its outcome and sentence out."""
    content = {
        "format": file_format(),
        "cases": {**listed(ref("case"), "at least one of each outcome"), "allOf": _each_outcome()},
        "builds": listed(closed({"build": ident(), "expect": one_of(OUTCOMES)}, ["build", "expect"])),
    }
    return {
        **closed(content, ["format", "cases"]),
        "$defs": {**quantities(), "case": _case(vocabulary)},
    }


def limits(_: Vocabulary) -> Schema:
    """The thresholds of one area."""
    content = {"format": file_format(), "limits": mapping(_OWN_NAME, ref("limit"), "thresholds by name")}
    return {**closed(content, ["format"]), "$defs": {**quantities(), "limit": _limit()}}


def _walk(words: list[str]) -> Schema:
    word = f"({'|'.join(words)})"
    told = "the stretch of the oil's path it is asked on, as gallery > lifter > pushrod; of several a family's first"
    stretch: Schema = {"type": "string", "pattern": f"^ *{word}( *> *{word})* *$"}
    return {"anyOf": [stretch, listed(stretch, least=1)], "description": told}


def _values(vocabulary: Vocabulary) -> list[str]:
    kinds = (kind for kind in vocabulary.kinds.values() if kind.name != "points")
    return [f"{kind.name}.{name}" for kind in kinds for name in kind.attributes]


def _let() -> Schema:
    show: Schema = {"type": "integer", "minimum": 1, "description": "digits it is shown with"}
    return closed({"is": _line("a calculation"), "show": show}, ["is"])


def _line(description: str) -> Schema:
    return {"type": "string", "minLength": 1, "maxLength": LONGEST, "description": description}


def _mend(tries: list[str]) -> Schema:
    return closed(
        {
            "do": text("what to do"),
            "tries": one_of(tries, "the slot, the setting or the size of a part to try"),
        },
        ["do"],
    )


def _condition() -> Schema:
    parts = listed(ref("condition"), least=1)
    group = {**closed(dict.fromkeys(COMBINERS, parts)), "minProperties": 1, "maxProperties": 1}
    return {"anyOf": [_line("one comparison"), group]}


def _each_outcome() -> list[object]:
    return [
        {"contains": {"properties": {"expect": {"const": outcome}}, "required": ["expect"]}}
        for outcome in OUTCOMES
    ]


def _case(vocabulary: Vocabulary) -> Schema:
    facts = {name: _reading(shown) for name, shown in lexicon(vocabulary).items()}
    content = {
        "case": text("what is shown"),
        "expect": one_of(OUTCOMES),
        "facts": closed(facts, description="names that the rule reads; null is unknown"),
        "says": text("the whole sentence, where it fires"),
        "blocked_by": listed(text(), "the names it waits for, where it cannot tell"),
    }
    fires, unknown = ({"properties": {"expect": {"const": word}}} for word in ("fires", "unknown"))
    speaks: Schema = {"if": fires, "then": {"required": ["says"]}, "else": {"properties": {"says": NULL}}}
    waits: Schema = {
        "if": unknown,
        "then": {"required": ["blocked_by"], "properties": {"blocked_by": {"minItems": 1}}},
        "else": {"properties": {"blocked_by": {"maxItems": 0}}},
    }
    return {**closed(content, ["case", "expect"]), "allOf": [speaks, waits]}


def _reading(shown: Name) -> Schema:
    if shown.quantity is not None:
        return ref(shown.quantity)
    words = getattr(shown.type, "words", None)
    return one_of(sorted(words)) if words else text()


def _limit() -> Schema:
    content: dict[str, Schema] = {
        "is": {"type": ["number", "string"]},
        "quantity": one_of(QUANTITIES, "what it measures; a ratio where it is left out"),
        "means": text("what it is a threshold of"),
        "source": text("id of a source"),
    }
    typed = [_of_quantity(name) for name in QUANTITIES]
    bare: Schema = {
        "if": {"properties": {"quantity": NULL}},
        "then": {"properties": {"is": ref(BARE[0])}},
    }
    return {**closed(content, ["is", "means", "source"]), "allOf": [bare, *typed]}


def _of_quantity(name: str) -> Schema:
    chosen: Schema = {"properties": {"quantity": {"const": name}}, "required": ["quantity"]}
    return {"if": chosen, "then": {"properties": {"is": ref(name)}}}
