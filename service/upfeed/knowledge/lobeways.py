"""By which of its two ways the lobes of a camshaft are given: a cam card, or tables of lift."""

from collections.abc import Mapping

from upfeed.knowledge.records import Value
from upfeed.knowledge.vocabulary import Kind

BY_CARD = "card"
"""The choice by which lobes are given as on a cam card."""

BY_TABLE = "table"
"""The choice by which lobes are read off as tables of lift over the angle of the cam."""


def cards_in_force(kind: Kind, has: Mapping[str, Value]) -> dict[str, dict[str, str]]:
    """By lobe, the attribute of each value of its cam card; none where lobes are read off as tables."""
    return {} if by_table(kind, has) else {name: lobe.card for name, lobe in (kind.lobes or {}).items()}


def by_table(kind: Kind, has: Mapping[str, Value]) -> bool:
    """Whether a part is said to have its lobes read off as tables."""
    chosen = has.get(kind.lobes_from or "")
    return chosen is not None and chosen.magnitude == BY_TABLE


def way_given(kind: Kind, has: Mapping[str, Value]) -> tuple[str, str]:
    """The only way by which anything is given of a part's lobes, and the first name of it; empty where both or none."""
    lobes = (kind.lobes or {}).values()
    card = [name for lobe in lobes for name in lobe.card.values() if name in has]
    table = [lobe.table for lobe in lobes if lobe.table in has]
    if bool(card) == bool(table):
        return "", ""
    return (BY_CARD, card[0]) if card else (BY_TABLE, table[0])
