"""Whatever parts are mixed, a check answers or says what is wrong; it never crashes and never leaves a NaN."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from web_asking import LIBRARY, check

pytestmark = pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time

PARTS = {
    kind: [p.id for p in LIBRARY.knowledge.parts.values() if p.kind == kind]
    for kind in LIBRARY.vocabulary.kinds
}


def shown(low: float, high: float, unit: str) -> st.SearchStrategy[str]:
    return st.floats(low, high, allow_subnormal=False).map(lambda x: f"{x:.6f} {unit}")


@st.composite
def builds(draw: st.DrawFn) -> dict[str, Any]:
    """Any known parts of the right kind at any valves, some sizes unknown, some slots left open, any settings."""
    family = LIBRARY.knowledge.families[draw(st.sampled_from(sorted(LIBRARY.knowledge.families)))]
    slots: dict[str, Any] = {}
    for name in draw(st.lists(st.sampled_from(sorted(family.plan.slots)), unique=True, max_size=4)):
        slot = family.plan.slots[name]
        part = st.sampled_from(PARTS[slot.kind] or ["none"])
        places = st.sampled_from(
            ["all", "intake", "exhaust", "1", "2 exhaust"] if slot.each == "valve" else ["all"]
        )
        unknown = st.dictionaries(
            st.sampled_from(sorted(LIBRARY.vocabulary.kinds[slot.kind].attributes)), st.none(), max_size=2
        )
        fitting = {"part": part, "has": unknown}
        placed = st.fixed_dictionaries({"at": places, **fitting})
        slots[name] = draw(
            st.one_of(part, st.fixed_dictionaries(fitting), st.lists(placed, min_size=1, max_size=2))
        )
    preload = draw(st.none() | shown(-250, 400, "thou"))
    speed = draw(st.none() | shown(20, 20000, "rpm"))
    unfilled = st.lists(st.sampled_from(sorted(set(family.plan.slots) - set(slots))), max_size=1)
    return {
        "format": 1,
        "family": family.id,
        "slots": slots,
        "settings": {"preload": preload} if preload else {},
        "points": {"hot_idle": {"speed": speed}} if speed else {},
        "open": draw(st.one_of(st.just([]), unfilled)),
    }


@given(build=builds(), units=st.sampled_from(["shop", "si"]))
@settings(max_examples=60, derandomize=True, database=None, deadline=None)
def test_any_mixture_is_answered(build: dict[str, Any], units: str) -> None:
    reply = check(build, f"?units={units}")
    assert reply.status in (200, 422), reply.body
    if reply.status == 422:
        assert all(error["pointer"].startswith("/") for error in reply.json["errors"])
    else:
        assert len(reply.json["points"]) == 4
        assert b"NaN" not in reply.body
        assert check(build, f"?units={units}").body == reply.body
