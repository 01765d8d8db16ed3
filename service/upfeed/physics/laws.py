"""The laws a passage may name, with what each argument is."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from msgspec import Struct

from upfeed.physics.fits import fit, groove
from upfeed.physics.galleries import past_body, past_bush, past_waist, run
from upfeed.physics.holes import bore, bore_volume, clear, hole, joined, opening, shut
from upfeed.physics.lands import band, land_above, land_below, land_below_wheel, window
from upfeed.physics.metering import notched_disc, rocker_hole, timed_hole
from upfeed.physics.resistance import Array, Resistance, Ways, conductance, flow, in_series
from upfeed.physics.supply import filter_element
from upfeed.physics.twobands import land_above_two_bands, land_below_two_bands, past_two_bands


class Law(Struct, frozen=True):
    """A passage law: its function and the quantity of each argument ("turn": a value over the cam's turn).

    `places` are arguments that say where something stands. Flow is monotone in every other one, a size; in a place
    it may be shut below, open between and shut above, so that its ends bound nothing. `volume` gives the oil, m3, that
    a passage long enough to count holds, from the same arguments. `across` is the argument that says how wide a
    passage is that has a diameter, and the power of the diameter that it goes with (2 for an area).
    """

    function: Callable[..., Resistance | Ways]
    arguments: Mapping[str, str]
    places: frozenset[str] = frozenset()
    volume: Callable[..., Array] | None = None
    across: tuple[str, int] | None = None

    def wider(self, takes: Mapping[str, Array | float], by: float) -> dict[str, Array | float]:
        """Arguments of the same passage with `by` times the diameter; as they are where it has none."""
        if self.across is None:
            return dict(takes)
        name, power = self.across
        return {**takes, name: takes[name] * by**power}


def _lengths(*names: str, **others: str) -> Mapping[str, str]:
    return MappingProxyType(dict.fromkeys(names, "length") | others)


_LIFTER = ("band_from", "band_to", "gallery_height", "gallery_diameter", "bore", "shaft")
_SECOND = ("second_from", "second_to")
_ALONG = ("gallery_height", "gallery_diameter", "bore", "shaft", "gallery_offset")
_DIAMETER = ("diameter", 1)
_HEIGHTS = frozenset({"gallery_height", "foot"})

LAWS: Mapping[str, Law] = MappingProxyType(
    {
        "hole": Law(hole, _lengths("diameter", "length"), across=_DIAMETER),
        "bore": Law(bore, _lengths("diameter", "length"), volume=bore_volume, across=_DIAMETER),
        "opening": Law(opening, _lengths("length", area="area"), across=("area", 2)),
        "fit": Law(fit, _lengths("bore", "shaft", "length", eccentricity="ratio")),
        "groove": Law(
            groove,
            _lengths("journal", "clearance", "land", eccentricity="ratio", arc_from="angle", arc_to="angle"),
        ),
        "window": Law(window, _lengths(*_LIFTER, foot="turn"), _HEIGHTS),
        "land_above": Law(
            land_above, _lengths(*_LIFTER, "bore_top", foot="turn", eccentricity="ratio"), _HEIGHTS
        ),
        "land_below": Law(
            land_below, _lengths(*_LIFTER, "bore_bottom", foot="turn", eccentricity="ratio"), _HEIGHTS
        ),
        "land_below_wheel": Law(
            land_below_wheel,
            _lengths(*_LIFTER, "bore_bottom", "wheel_window", foot="turn", eccentricity="ratio"),
            _HEIGHTS,
        ),
        "land_above_two_bands": Law(
            land_above_two_bands,
            _lengths(*_LIFTER, *_SECOND, "bore_top", foot="turn", eccentricity="ratio"),
            _HEIGHTS,
        ),
        "land_below_two_bands": Law(
            land_below_two_bands,
            _lengths(*_LIFTER, *_SECOND, "bore_bottom", "wheel_window", foot="turn", eccentricity="ratio"),
            _HEIGHTS,
        ),
        "band": Law(band, _lengths("shaft", "band_from", "band_to", "depth")),
        "run": Law(run, _lengths("diameter", "length"), volume=bore_volume, across=_DIAMETER),
        "past_body": Law(
            past_body, _lengths(*_ALONG, "band_from", "band_to", "band_depth", foot="turn"), _HEIGHTS
        ),
        "past_two_bands": Law(
            past_two_bands,
            _lengths(*_ALONG, *_SECOND, "band_from", "band_to", "band_depth", "second_depth", foot="turn"),
            _HEIGHTS,
        ),
        "past_waist": Law(
            past_waist, _lengths(*_ALONG, "waist_from", "waist_to", "waist_depth", foot="turn"), _HEIGHTS
        ),
        "past_bush": Law(
            past_bush,
            _lengths(
                *("band_from", "band_to", "band_depth", "window_height", "window_diameter", "wall"),
                *("gallery_diameter", "gallery_offset", "bore", "shaft"),
                foot="turn",
            ),
            frozenset({"window_height", "foot"}),
        ),
        "notched_disc": Law(
            notched_disc,
            _lengths(
                "seat_inner", "seat_outer", "free_rise", notch_area="area", seated="turn", base_circle="turn"
            ),
            across=("notch_area", 2),
        ),
        "rocker_hole": Law(
            rocker_hole,
            _lengths("hole", "depth", "tip_hole", "ball_diameter", "arm", "rest_offset", lift="turn"),
            frozenset({"rest_offset"}),
            across=("hole", 1),
        ),
        "timed_hole": Law(
            timed_hole,
            _lengths("diameter", "length", open_share="ratio", phase="turn"),
            across=_DIAMETER,
        ),
        "filter_element": Law(
            filter_element,
            MappingProxyType(
                {"rated_flow": "flow", "rated_drop": "pressure", "rated_viscosity": "dynamic_viscosity"}
            ),
        ),
        "clear": Law(clear, MappingProxyType({})),
        "joined": Law(joined, MappingProxyType({})),
        "shut": Law(shut, MappingProxyType({})),
    }
)

__all__ = [
    "LAWS",
    "Law",
    "Resistance",
    "Ways",
    "band",
    "bore",
    "clear",
    "conductance",
    "filter_element",
    "fit",
    "flow",
    "groove",
    "hole",
    "in_series",
    "joined",
    "land_above",
    "land_above_two_bands",
    "land_below",
    "land_below_two_bands",
    "land_below_wheel",
    "notched_disc",
    "opening",
    "past_body",
    "past_bush",
    "past_two_bands",
    "past_waist",
    "rocker_hole",
    "run",
    "shut",
    "timed_hole",
    "window",
]
