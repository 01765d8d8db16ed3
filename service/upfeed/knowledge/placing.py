"""Which parts are somebody's to sell, and which lead to a family: its own, those made for it, and stand-ins."""

from collections.abc import Collection, Mapping

from upfeed.knowledge.records import Knowledge, Part

_STANDS_IN = ("same_envelope_as", "supplied_in_place_of")


def leading_to(knowledge: Knowledge, families: Collection[str]) -> frozenset[str]:
    """Parts of these families' references, those designed for them, and all that goes where one of these goes."""
    neighbours = _neighbours(knowledge.parts)
    reached = {
        fitting.part
        for family in families
        for fittings in knowledge.families[family].reference.slots.values()
        for fitting in fittings
        if fitting.part
    }
    designed = {p.id: p.relations.get("designed_for", ()) for p in knowledge.parts.values()}
    reached |= {id_ for id_, meant in designed.items() if not set(meant).isdisjoint(families)}
    waiting = list(reached)
    while waiting:
        fresh = neighbours.get(waiting.pop(), set()) - reached
        reached |= fresh
        waiting += fresh
    return frozenset(reached)


def is_one_part(part: Part) -> bool:
    """Whether it is a part that somebody makes: sizes usual in the trade, none of them read off, are no part's own."""
    return any(value.standing in ("measured", "published") for value in part.has.values())


def _neighbours(parts: Mapping[str, Part]) -> dict[str, set[str]]:
    near: dict[str, set[str]] = {}
    for part in parts.values():
        for relation in _STANDS_IN:
            for target in part.relations.get(relation, ()):
                near.setdefault(part.id, set()).add(target)
                near.setdefault(target, set()).add(part.id)
    return near
