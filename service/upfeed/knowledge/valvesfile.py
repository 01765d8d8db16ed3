"""Reads the valves of a cylinder: their names, and the lobe that moves each."""

import re

from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading.faults import quoted
from upfeed.reading.nearest import did_you_mean, either
from upfeed.reading.nodes import Mapping
from upfeed.reading.reader import Reader

VALVE_NAME = "[a-z]+(?: [a-z]+)*"
"""Lower-case words, so that a position may be `3 second intake` and a finding's place is made of words."""

TAKEN = ("all", "except")
"""Words that say which valves are meant, and name none."""


def read_valves(given: Reader) -> dict[str, str]:
    """The lobe of each valve of a plan by the valve's name, in order.

    Written as names, each valve moved by the lobe of its own name, or as names with their lobes.
    """
    if isinstance(given.node("valves"), Mapping):
        valves = given.mapping("valves")
        return {name: valves.text(name) for name, _, _ in valves.items()} if valves else {}
    names = given.words("valves")
    if len(set(names)) < len(names):
        given.fault("valves", f"{len(names)} valves", "each valve of a cylinder once")
    return {name: name for name in names}


def check_valves(given: Reader, valves: dict[str, str], vocabulary: Vocabulary) -> None:
    """Adds a fault for every name that no position could say, and every lobe that no camshaft has."""
    known = sorted({lobe for kind in vocabulary.kinds.values() for lobe in kind.lobes or ()})
    if not valves and given.node("valves"):
        given.fault("valves", "no valves", "at least one valve of each cylinder")
    for name, lobe in valves.items():
        if not re.fullmatch(VALVE_NAME, name) or set(name.split()) & set(TAKEN):
            given.fault("valves", quoted(name), "a name of lower-case words, as second intake")
        elif lobe and lobe not in known:
            given.fault("valves", quoted(lobe), either(known), _advice(name, lobe, known))


def _advice(name: str, lobe: str, known: list[str]) -> str:
    near = did_you_mean(lobe, known)
    if name != lobe:
        return near
    return f"{near} A valve of another name says its lobe, as {name}: {known[0]}.".strip()
