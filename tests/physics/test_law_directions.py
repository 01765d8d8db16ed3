"""Which way every size of every law works, over all that the vocabulary holds possible."""

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.physics.laws import LAWS, Ways, flow

pytestmark = pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time

MM = 1e-3
VOCABULARY = read_vocabulary(Path(__file__).parents[2] / "shared" / "vocabulary")

MORE, LESS, PLACE = "never passes less", "never passes more", "says where, not how large"
DIRECTIONS = {
    "hole": {"diameter": MORE, "length": LESS},
    "bore": {"diameter": MORE, "length": LESS},
    "opening": {"area": MORE, "length": LESS},
    "fit": {"bore": MORE, "shaft": LESS, "length": LESS, "eccentricity": MORE},
    "groove": {
        "journal": MORE, "clearance": MORE, "land": LESS, "eccentricity": MORE, "arc_from": LESS, "arc_to": MORE,
    },
    "window": {
        "band_from": LESS, "band_to": MORE, "gallery_height": PLACE, "gallery_diameter": MORE,
        "bore": MORE, "shaft": LESS, "foot": PLACE,
    },
    "land_above": {
        "band_from": LESS, "band_to": MORE, "gallery_height": PLACE, "gallery_diameter": MORE, "bore_top": LESS,
        "bore": MORE, "shaft": LESS, "foot": PLACE, "eccentricity": MORE,
    },
    "land_below": {
        "band_from": LESS, "band_to": MORE, "gallery_height": PLACE, "gallery_diameter": MORE, "bore_bottom": MORE,
        "bore": MORE, "shaft": LESS, "foot": PLACE, "eccentricity": MORE,
    },
    "land_below_wheel": {
        "band_from": LESS, "band_to": MORE, "gallery_height": PLACE, "gallery_diameter": MORE, "bore_bottom": MORE,
        "bore": MORE, "shaft": LESS, "foot": PLACE, "eccentricity": MORE, "wheel_window": MORE,
    },
    "land_above_two_bands": {
        "band_from": LESS, "band_to": MORE, "second_from": LESS, "second_to": MORE, "gallery_height": PLACE,
        "gallery_diameter": MORE, "bore_top": LESS, "bore": MORE, "shaft": LESS, "foot": PLACE, "eccentricity": MORE,
    },
    "land_below_two_bands": {
        "band_from": LESS, "band_to": MORE, "second_from": LESS, "second_to": MORE, "gallery_height": PLACE,
        "gallery_diameter": MORE, "bore_bottom": MORE, "bore": MORE, "shaft": LESS, "foot": PLACE,
        "eccentricity": MORE, "wheel_window": MORE,
    },
    "band": {"shaft": LESS, "band_from": LESS, "band_to": MORE, "depth": MORE},
    "run": {"diameter": MORE, "length": LESS},
    "past_body": {
        "band_from": LESS, "band_to": MORE, "band_depth": MORE, "gallery_height": PLACE, "gallery_diameter": MORE,
        "gallery_offset": MORE, "bore": MORE, "shaft": LESS, "foot": PLACE,
    },
    "past_two_bands": {
        "band_from": LESS, "band_to": MORE, "band_depth": MORE, "second_from": LESS, "second_to": MORE,
        "second_depth": MORE, "gallery_height": PLACE, "gallery_diameter": MORE, "gallery_offset": MORE,
        "bore": MORE, "shaft": LESS, "foot": PLACE,
    },
    "past_bush": {
        "band_from": LESS, "band_to": MORE, "band_depth": MORE, "window_height": PLACE, "window_diameter": MORE,
        "wall": LESS, "gallery_diameter": MORE, "gallery_offset": MORE, "bore": MORE, "shaft": LESS, "foot": PLACE,
    },
    "past_waist": {
        "waist_from": LESS, "waist_to": MORE, "waist_depth": MORE, "gallery_height": PLACE,
        "gallery_diameter": MORE, "gallery_offset": MORE, "bore": MORE, "shaft": LESS, "foot": PLACE,
    },
    "notched_disc": {
        "notch_area": MORE, "seat_inner": MORE, "seat_outer": LESS, "free_rise": MORE, "seated": LESS,
        "base_circle": MORE,
    },
    # Counted the way the rocker swings; the other way round the holes first draw nearer.
    "rocker_hole": {
        "hole": MORE, "depth": LESS, "tip_hole": MORE, "ball_diameter": LESS, "arm": MORE, "rest_offset": LESS,
        "lift": LESS,
    },
    "timed_hole": {"diameter": MORE, "length": LESS, "open_share": MORE, "phase": PLACE},
    "filter_element": {"rated_flow": MORE, "rated_drop": LESS, "rated_viscosity": MORE},
    "clear": {},
    "joined": {},
    "shut": {},
}  # fmt: skip

# What the vocabulary binds to no attribute of its own, SI: literals, values of the turn, laws not yet bound.
# A gallery hole lies inside the bore it opens into, wherever its size is drawn to.
RANGES = {
    "gallery_height": (40 * MM, 60 * MM),
    "bore_top": (73 * MM, 250 * MM),
    "bore_bottom": (5 * MM, 27 * MM),
    "eccentricity": (0.0, 1.0),
    "arc_from": (-math.pi, 0.0),
    "arc_to": (0.0, math.pi),
    "seated": (0.0, 1.0),
    "base_circle": (0.0, 1.0),
    "lift": (0.0, 20 * MM),
    "foot": (5 * MM, 80 * MM),
    "rest_offset": (0.0, 6 * MM),
    "depth": (0.1 * MM, 6 * MM),
    "wheel_window": (5 * MM, 30 * MM),
    "second_from": (5 * MM, 120 * MM),
    "second_to": (6 * MM, 130 * MM),
    "second_depth": (0.1 * MM, 6 * MM),
    "area": (1e-9, 3e-6),
    "rated_flow": (1e-5, 1e-3),
    "rated_drop": (1e2, 1e5),
    "rated_viscosity": (1e-3, 10.0),
}
# What has to be the smaller of two.
ORDERED = (
    ("wheel_window", "band_from"),
    ("band_from", "band_to"),
    ("waist_from", "waist_to"),
    ("wheel_window", "band_from"),
    ("seat_inner", "seat_outer"),
    ("shaft", "bore"),
)
SAME_AS = {
    "land_below_wheel": "land_below",
    "land_above_two_bands": "land_above",
    "land_below_two_bands": "land_below",
    "past_two_bands": "past_body",
    "opening": "hole",
    "band": "window",
}
PHASES = (np.arange(16) + 0.5) / 16
OILS = st.tuples(st.floats(1e-3, 10.0), st.floats(700.0, 900.0), st.floats(1e2, 3e6))


def bound(law, argument):
    """Every range of attributes that the vocabulary feeds to an argument of a law."""
    for kind in VOCABULARY.kinds.values():
        for passage in kind.passages.values():
            for binding in passage.laws.values():
                term = binding.takes.get(argument) if binding.law == law else None
                if isinstance(term, str) and not term.startswith("turn."):
                    other, _, name = term.rpartition(".")
                    of = VOCABULARY.kinds[other or kind.name]
                    yield from (of.attributes[one].possible for one in of.stands_for(name))


def range_of(law, argument):
    if argument in RANGES:
        return RANGES[argument]
    ends = [*bound(law, argument), *bound(SAME_AS.get(law, law), argument)]
    return min(low for low, _ in ends), max(high for _, high in ends)


def drawn(low, high):
    return st.floats(math.log(low), math.log(high)).map(math.exp) if low > 0 else st.floats(low, high)


def values_of(law):
    sizes = {a: drawn(*range_of(law, a)) for a in LAWS[law].arguments if a != "phase"}
    return st.fixed_dictionaries(sizes).map(in_order)


def in_order(values):
    """Pairs put the right way round."""
    values = dict(values)
    for low, high in ORDERED:
        if low in values and high in values:
            values[low], values[high] = sorted((values[low], values[high]))
    if "second_from" in values:  # bands do not overlap
        edges = ("wheel_window", "band_from", "band_to", "second_from", "second_to")
        named = [edge for edge in edges if edge in values]
        values |= dict(zip(named, sorted(values[edge] for edge in named), strict=True))
    return values


def passed(law, values, oil):
    """Mean over the turn of what a law lets by, both ways of it together."""
    mu, rho, dp = oil
    timed = {"phase": PHASES} if "phase" in LAWS[law].arguments else {}
    got = LAWS[law].function(**values, **timed)
    return sum(float(np.mean(flow(dp, way, mu, rho))) for way in (got if isinstance(got, Ways) else (got,)))


SIZES = [(law, name, way) for law, names in DIRECTIONS.items() for name, way in names.items() if way != PLACE]


def test_every_argument_of_every_law_has_a_direction():
    assert {law: set(names) for law, names in DIRECTIONS.items()} == {
        name: set(law.arguments) for name, law in LAWS.items()
    }


def test_a_law_says_itself_which_arguments_are_places():
    for name, law in LAWS.items():
        stand = {argument for argument, way in DIRECTIONS[name].items() if way == PLACE} - {"phase"}
        assert stand == law.places - {"rest_offset"}


@pytest.mark.parametrize(("law", "name", "way"), SIZES, ids=[f"{law} {name}" for law, name, _ in SIZES])
@given(data=st.data())
@settings(deadline=None, max_examples=60)
def test_no_size_ever_works_the_other_way(law, name, way, data):
    values, oil = data.draw(values_of(law)), data.draw(OILS)
    other = data.draw(drawn(*range_of(law, name)))
    small, large = sorted((values[name], other))
    less, more = in_order(values | {name: small}), in_order(values | {name: large})
    assume(less[name] == small and more[name] == large)
    if way == LESS:
        less, more = more, less
    assert passed(law, more, oil) >= passed(law, less, oil) * (1 - 1e-9)
