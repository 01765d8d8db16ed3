"""Valves with the very same parts, in a build and in its reference."""

from upfeed.knowledge.build import Build

Like = tuple[tuple[int, ...], ...]
"""Numbers of like valves, in order of their first."""


def like_valves(build: Build, reference: Build) -> Like:
    """Valves with the very same parts and role; a role has a lobe of its own."""
    plan = build.family.plan
    mixed = [slot for slot in plan.slots if not (_is_one(build, slot) and _is_one(reference, slot))]
    groups: dict[tuple[object, ...], list[int]] = {}
    for i, (_, role) in enumerate(plan.valves):
        parts = tuple(parts_at(build, reference, slot, i) for slot in mixed)
        groups.setdefault((role, parts), []).append(i)
    return tuple(tuple(group) for group in groups.values())


def _is_one(build: Build, slot: str) -> bool:
    """Whether the same stands in a slot at every valve."""
    first, *others = build.fitted[slot]
    return all(other is first for other in others)


def parts_at(build: Build, reference: Build, slot: str, valve: int) -> tuple[str, str]:
    """What stands in a slot at a valve, in the build and in the reference."""
    one, other = (of.at(slot, valve) for of in (build, reference))
    return one.key if one else "", other.key if other else ""
