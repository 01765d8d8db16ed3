"""Values that cannot belong to one part: each is possible by itself, together they are no geometry.

What two parts do to each other (a body that does not enter its bore, a band that never meets the gallery) is no fault
of the data but what rules judge, so it is not looked at here.
"""

from collections.abc import Iterable, Iterator, Mapping
from functools import cache

import numpy as np
from msgspec import Struct

from upfeed.knowledge.benchfaults import bench_faults
from upfeed.knowledge.lobeways import cards_in_force
from upfeed.knowledge.records import Value
from upfeed.knowledge.vocabulary import Kind
from upfeed.physics.lifttable import table_wrong
from upfeed.physics.resistance import Array, Numbers
from upfeed.physics.timing import Mask, lobe_exists
from upfeed.reading.faults import Fault

# Sizes written in inches and in millimetres may meet but for a last binary digit.
ROUNDING = 1e-9


Term = tuple[float, str]

_TABLE = "angles that rise, and lifts that rise from 0 to one nose and fall to 0 again"
_LOBE = "lifts that rise and durations that fall from low to high, on flanks that steepen"


class Order(Struct, frozen=True):
    """Sizes of one kind of part of which one sum cannot be more than another, as `2 a + b < c` or `a <= b`.

    Of several such, as in `a <= b or c <= a`, one at least has to hold.
    """

    kind: str
    holds: str
    expected: str
    advice: str

    @property
    def sums(self) -> tuple["Sums", ...]:
        """What is compared with what."""
        return _sums(self.holds)

    @property
    def names(self) -> tuple[str, ...]:
        """Every size it is about, in the order it is written."""
        return tuple(dict.fromkeys(name for sums in self.sums for _, name in (*sums.less, *sums.more)))


class Sums(Struct, frozen=True):
    """What is added up on the left and on the right, how many times which size; whether both may be the same."""

    less: tuple[Term, ...]
    more: tuple[Term, ...]
    or_same: bool


@cache  # asked for every part of a catalogue
def _sums(holds: str) -> tuple[Sums, ...]:
    return tuple(_compared(one) for one in holds.split(" or "))


def _compared(written: str) -> Sums:
    less, _, more = written.replace("<=", "<").partition(" < ")
    return Sums(_terms(less), _terms(more), or_same="<=" in written)


def _terms(side: str) -> tuple[Term, ...]:
    split = (term.rpartition(" ") for term in side.split(" + "))
    return tuple((float(times or 1), name) for times, _, name in split)


_FOOT = "Measure all heights from the foot, the lifter upright."
_CAM = "Measure all heights from the cam's centre line."
_ACROSS = "Both are diameters; measure them again."
_CLEARANCE = "A clearance is bore less shaft; measure it again."

ORDERS = (
    Order("lifter", "band_from < band_to", "the band's upper edge above its lower", _FOOT),
    Order("lifter", "wheel_window < band_from", "the band above the cut for the wheel", _FOOT),
    Order("lifter", "band_to < body_length", "the band within the body", _FOOT),
    Order("lifter", "feed_hole + band_from <= band_to", "a feed hole no larger than the band is wide", _FOOT),
    Order(
        "lifter",
        "2 band_depth + 2 wall < body_diameter",
        "band and wall of both sides within the body",
        _ACROSS,
    ),
    Order(
        "lifter", "second_band_from < second_band_to", "the second band's upper edge above its lower", _FOOT
    ),
    Order("lifter", "wheel_window < second_band_from", "the second band above the cut for the wheel", _FOOT),
    Order("lifter", "second_band_to < body_length", "the second band within the body", _FOOT),
    Order(
        "lifter",
        "band_to <= second_band_from or second_band_to <= band_from",
        "two bands one above the other, with a land between them",
        _FOOT,
    ),
    Order(
        "lifter",
        "second_feed_hole + second_band_from <= second_band_to",
        "a second feed hole no larger than its band is wide",
        _FOOT,
    ),
    Order(
        "lifter",
        "2 second_band_depth + 2 second_wall < body_diameter",
        "second band and wall of both sides within the body",
        _ACROSS,
    ),
    Order("lifter", "seat_inner < seat_outer", "a seat wider outside than inside", _ACROSS),
    Order("lifter", "seat_outer < body_diameter", "a seat within the body", _ACROSS),
    Order("lifter", "cup_fit_body <= cup_fit_bore", "a cup no larger than the bore it stands in", _ACROSS),
    Order("lifter", "cup_fit_bore < body_diameter", "the cup's bore within the body", _ACROSS),
    Order(
        "lifter", "plunger_travel < body_length", "the plunger's travel within the body", "Measure it again."
    ),
    Order("block", "bore_bottom < bore_top", "the bore's top above its bottom", _CAM),
    Order(
        "block",
        "2 gallery_height + gallery_diameter < 2 bore_top",
        "all of the gallery hole in the bore",
        _CAM,
    ),
    Order(
        "block",
        "2 bore_bottom + gallery_diameter < 2 gallery_height",
        "all of the gallery hole in the bore",
        _CAM,
    ),
    Order(
        "block",
        "2 bush_hole_height + bush_hole_diameter < 2 bore_top",
        "all of the bush's hole in the bore",
        _CAM,
    ),
    Order(
        "block",
        "2 bore_bottom + bush_hole_diameter < 2 bush_hole_height",
        "all of the bush's hole in the bore",
        _CAM,
    ),
    Order("block", "bore_top < deck_height", "the deck above the lifter bores", _CAM),
    Order("block", "main_clearance < main_journal", "a clearance smaller than the journal", _CLEARANCE),
    Order("block", "rod_clearance < rod_journal", "a clearance smaller than the journal", _CLEARANCE),
    Order("block", "cam_clearance < cam_journal", "a clearance smaller than the journal", _CLEARANCE),
    Order("pushrod", "bore < outer_diameter", "a bore within the shank", _ACROSS),
    Order("pushrod", "tip_hole < ball_diameter", "an oil hole within the ball", _ACROSS),
    Order("rocker", "shaft_clearance < shaft_bore", "a clearance smaller than the bore", _CLEARANCE),
    Order("rocker_shaft", "bore + wall < outer_diameter", "bore and wall within the shaft", _ACROSS),
    Order("oil", "viscosity_100 < viscosity_40", "oil that is thinner hot than cold", "Look which is which."),
    Order(
        "lifter",
        "bench_viscosity_100 < bench_viscosity_40",
        "oil that is thinner hot than cold",
        "Look which is which.",
    ),
    Order(
        "oil_pan",
        "reserve <= capacity",
        "no more oil over the pickup than the pan holds",
        "Measure both again.",
    ),
)
"""What cannot be otherwise in any part of a kind."""


def impossible(kind: Kind, has: Mapping[str, Value], path: str) -> Iterator[Fault]:
    """Everything in a part's values, SI, that no part can have together, told at the values themselves."""
    sizes = {n: value.magnitude for n, value in has.items() if isinstance(value.magnitude, float)}
    for order in _orders(kind, sizes):
        if not _holds(order, sizes):
            yield _fault(order.names, has, path, order.expected, order.advice)
    for name, card in cards_in_force(kind, has).items():
        if set(card.values()) <= set(sizes) and not _is_a_lobe(card, sizes):
            yield _fault(card.values(), has, f"{path}, {name} lobe", _LOBE, "Check the cam card.")
    yield from _table_faults(kind, has, path)
    yield from bench_faults(kind, has, path)


def can_be(kind: Kind, sizes: Mapping[str, Array], has: Mapping[str, Value]) -> Mask:
    """Whether sizes of a part of a kind, SI, [N] each, can be together; what is not given is not looked at.

    `has` is all that is given of the part.
    """
    cards = [card for card in cards_in_force(kind, has).values() if set(card.values()) <= set(sizes)]
    held = [_holds(order, sizes) for order in _orders(kind, sizes)]
    together = np.broadcast_arrays(True, *held, *(_is_a_lobe(card, sizes) for card in cards))
    return np.asarray(np.logical_and.reduce(together))


def _orders(kind: Kind, sizes: Mapping[str, Numbers]) -> list[Order]:
    return [o for o in ORDERS if o.kind == kind.name and all(name in sizes for name in o.names)]


def _holds(order: Order, sizes: Mapping[str, Numbers]) -> Mask | bool:
    held = [_is_less(sums, sizes) for sums in order.sums]
    return held[0] if len(held) == 1 else np.asarray(np.logical_or.reduce(np.broadcast_arrays(*held)))


def _is_less(sums: Sums, sizes: Mapping[str, Numbers]) -> Mask | bool:
    less, more = (sum(times * sizes[name] for times, name in side) for side in (sums.less, sums.more))
    return less <= more * (1 + ROUNDING) if sums.or_same else less < more * (1 - ROUNDING)


def _table_faults(kind: Kind, has: Mapping[str, Value], path: str) -> Iterator[Fault]:
    for name in (lobe.table for lobe in (kind.lobes or {}).values()):
        table = has[name].magnitude if name in has else None
        if isinstance(table, tuple) and (wrong := table_wrong(*zip(*table, strict=True))):
            found, _, expected = wrong.partition("; expected ")
            advice = "Look for a reading that was written down wrong."
            yield Fault(has[name].origin, f"{path}, {name}", found, expected or _TABLE, advice)


def _is_a_lobe(card: Mapping[str, str], sizes: Mapping[str, Numbers]) -> Mask:
    return lobe_exists(**{argument: sizes[name] for argument, name in card.items()})


def _fault(names: Iterable[str], has: Mapping[str, Value], path: str, expected: str, advice: str) -> Fault:
    """Told where the build itself says it, which is what its writer can mend, else at the first value."""
    found = ", ".join(f"{name.replace('_', ' ')} {has[name].written}" for name in names)
    origins = sorted((has[name].origin for name in names), key=lambda origin: origin.layer != "")
    return Fault(origins[0], path, found, expected, advice)
