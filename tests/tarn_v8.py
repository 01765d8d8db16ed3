"""The demo family for tests: its reference as one known engine, engines changed from it, and their facts."""

from collections.abc import Mapping
from pathlib import Path

import numpy as np

from upfeed.flow.circuit import Circuit, circuit
from upfeed.flow.engines import Engines
from upfeed.flow.facts import Facts
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.load import Layer, load
from upfeed.knowledge.variants import Known, Variant, variant
from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.physics.branch import flow_through_pair
from upfeed.physics.laws import band, bore, hole, land_above, land_below, notched_disc, rocker_hole, window
from upfeed.physics.resistance import Resistance, flow, in_series
from upfeed.physics.timing import lift_at, lobe

TOP = Path(__file__).parent.parent
VOCABULARY = read_vocabulary(TOP / "shared" / "vocabulary")
KNOWLEDGE = load([Layer("base", TOP / "kb")], VOCABULARY).knowledge
FAMILY = KNOWLEDGE.families["tarn-v8"]
PLAN = FAMILY.plan
TOPOLOGY = topology(PLAN, VOCABULARY.kinds)
REFERENCE = variant(reference_build(FAMILY, KNOWLEDGE, VOCABULARY))
POINTS = tuple(FAMILY.points)
CARD = ("lift", "low_lift", "low_duration", "high_lift", "high_duration")


def part(id_: str) -> dict[str, float | str]:
    """What is known of a part, SI."""
    return {name: value.magnitude for name, value in KNOWLEDGE.parts[id_].has.items()}


def possible(kind: str, attribute: str) -> tuple[float, float]:
    """Both ends of what an attribute can be, SI."""
    ends = VOCABULARY.kinds[kind].attributes[attribute].possible
    assert ends is not None
    return ends


def engine(changes: Mapping[str, object], of: Variant = REFERENCE) -> Variant:
    """An engine changed by name: `lifter.feed_hole`, `settings.preload`, `points.speed` or a whole `lifter`.

    A part's name stands for the part; changes are made in order, in every position.
    """
    for name, value in changes.items():
        of = _changed(of, name, value)
    return of


def engine_at(valve: int, changes: Mapping[str, object], of: Variant = REFERENCE) -> Variant:
    """An engine with one valve's parts changed, the others left as they are."""
    odd = engine(changes, of)
    rows = {
        slot: row if len(row) == 1 else _with(row, valve, odd.at(slot, valve))
        for slot, row in of.slots.items()
    }
    return Variant(rows, of.settings, of.points)


def _with(row: tuple[Known, ...], valve: int, known: Known) -> tuple[Known, ...]:
    return (*row[:valve], known, *row[valve + 1 :])


def _changed(of: Variant, name: str, value: object) -> Variant:
    slot, _, attribute = name.partition(".")
    if slot == "settings":
        return Variant(of.slots, {**of.settings, attribute: value}, of.points)
    if slot == "points":
        return Variant(of.slots, of.settings, {p: {**v, attribute: value} for p, v in of.points.items()})
    known: Known = {**of.slots[slot][0], attribute: value} if attribute else part(str(value))
    return Variant({**of.slots, slot: (known,) * len(of.slots[slot])}, of.settings, of.points)


def engines(*variants: Variant, points: tuple[str, ...] = POINTS) -> Engines:
    return Engines(PLAN, VOCABULARY, variants, points)


def wired(*variants: Variant, points: tuple[str, ...] = POINTS) -> Circuit:
    return circuit(engines(*variants, points=points), TOPOLOGY)


def facts_of(*variants: Variant, points: tuple[str, ...] = POINTS) -> Facts:
    made = wired(*variants, points=points)
    return Facts(made, solve(made.network))


# One valve's ways, angle by angle, written out from the laws


def even_angles(count):
    return 2 * np.pi * np.arange(count) / count - np.pi


def over_angles(variant, role, angles, dp, mu, rho, seated):
    """Flow up one pushrod at each cam angle, and the leaks of its lifter, straight from the laws."""
    block, cam, lifter, rod, rocker = (
        variant.at(slot, 0) for slot in ("block", "camshaft", "lifter", "pushrod", "rocker")
    )
    lift = lift_at(angles, lobe(*(cam[f"{role}_{name}"] for name in CARD)))
    stands = {
        "foot": cam["base_circle_radius"] + lift,
        "band_from": lifter["band_from"],
        "band_to": lifter["band_to"],
        "gallery_height": block["gallery_height"],
        "gallery_diameter": block["gallery_diameter"],
        "bore": block["lifter_bore"],
        "shaft": lifter["body_diameter"],
    }
    row = in_series(
        window(**stands),
        band(lifter["body_diameter"], lifter["band_from"], lifter["band_to"], lifter["band_depth"]),
        hole(lifter["feed_hole"], lifter["wall"]),
        hole(lifter["cup_hole"], 1.5e-3),
        *_plug(rod),
        bore(rod["bore"], rod["length"]),
        rocker_end(rocker, rod, lift),
    )
    leaks = (
        land_above(bore_top=block["bore_top"], eccentricity=0.5, **stands),
        land_below(bore_bottom=block["bore_bottom"], eccentricity=0.5, **stands),
    )
    up = _metered(lifter, row, seated, lift == 0, dp, mu, rho)
    return {
        "rocker.oil_hole": up,
        "lifter.land_above": flow(dp, leaks[0], mu, rho),
        "lifter.land_below": flow(dp, leaks[1], mu, rho),
    }


def _plug(rod):
    if rod["drilled"] == "restricted":
        yield hole(rod["restrictor_diameter"], rod["restrictor_length"])


def _metered(lifter, row, seated, on_base, dp, mu, rho):
    if lifter["metering"] == "orifice":
        whole = in_series(row, hole(lifter["metering_orifice"], lifter["orifice_length"]))
        return flow(dp, whole, mu, rho)
    assert lifter["metering"] == "disc"
    disc = notched_disc(
        lifter["notch_area"], lifter["seat_inner"], lifter["seat_outer"], lifter["disc_rise"], seated, on_base
    )
    return flow_through_pair(dp, row, *disc, mu, rho)[0]


def rocker_end(rocker: Known, rod: Known, lift: np.ndarray) -> Resistance:
    """What a rocker's hole over the pushrod's leaves open at every lift."""
    return rocker_hole(
        rocker["oil_hole"],
        rocker["hole_depth"],
        rod["tip_hole"],
        rod["ball_diameter"],
        rocker["arm"],
        rocker["rest_offset"],
        lift,
    )


def over_filter(variant, q, mu):
    """Pressure over the filter, Pa: dp/(a mu) through the element, beside it what the bypass lets by."""
    rated = variant.at("oil_filter", 0)
    easy = rated["rated_flow"] * rated["rated_viscosity"] / rated["rated_drop"] / mu
    opens, slope = rated["bypass_opens"], rated["bypass_slope"]
    return q / easy if q <= easy * opens else (q + slope * opens) / (easy + slope)
