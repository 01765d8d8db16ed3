"""Preload from the heights between cam and rocker, cold and warm, and what lengths and materials do to it.

All heights count along the pushrod, the lifter on its base circle, the valve shut::

        cup_drop  .-----o pivot -----.
      ------------o                  o---- tip of the valve's stem
                  |                  |
                  | pushrod          | valve        pivot height
                  |                  |
      ============|================================ face of the head, gasket, deck
                  |
                  o cup of the lifter, plunger against its retainer
                  | cup height                      deck height
                  + foot
                  | base circle radius
      ------------+-------------------------------- cam centre line

    cold preload = base circle radius + cup height + pushrod - (deck + gasket + pivot height - cup drop)
                   + what the stem stands proud / rocker ratio

What stands from the cam up to the rocker's cup pushes the plunger in; what carries the rocker away from the cam lets it
out. A stem that stands further up tips the rocker, whose cup then goes down by the rise over the rocker's ratio.
Assumptions: lifter, pushrod and valve lie within some 15 degrees of one line, so that lengths add up within 3 %
of what they are changed by; the rocker tips by a few degrees, within which a lever is straight.
"""

from collections.abc import Iterable, Mapping
from types import MappingProxyType

import numpy as np

from upfeed.physics.resistance import Array, Numbers

# Mean linear expansion, 1/K. Grey iron (G1800-G4000), aluminium casting alloy 356.0, plain carbon steel 1020 and
# titanium Ti-6Al-4V: Callister and Rethwisch, Fundamentals of Materials Science and Engineering, appendix B, thermal
# expansion (steel from memory). Martensitic valve steel X45CrSi9-3, 20-400 C: 12.0, a steel works' data sheet.
# Austenitic valve steel X53CrMnNiN21-9, 20-300 C: from memory of EN 10090.
EXPANSION: Mapping[str, float] = MappingProxyType(
    {
        "grey_iron": 11.4e-6,
        "aluminium_alloy": 21.5e-6,
        "steel": 11.7e-6,
        "martensitic_steel": 12.0e-6,
        "austenitic_steel": 17.5e-6,
        "titanium": 8.6e-6,
    }
)


def growth(expansion: Numbers, length: Numbers, warm: Numbers, cold: Numbers) -> Array:
    """Growth, m, of a part on its way from the temperature `cold` to `warm`, K.

    ``alpha L (T - T_cold)``, `expansion` alpha in 1/K, `length` L in m; all arrays broadcast.
    Source: linear thermal expansion. Example: 200 mm of steel from 20 to 100 C: 0.1872 mm.
    """
    grown: Array = np.multiply(expansion, length) * np.subtract(warm, cold)
    return grown


def at_the_cup(rise: Numbers, ratio: Numbers) -> Array:
    """How far the rocker's cup goes down, m, where the valve's tip rises by `rise`, m, against the pivot.

    ``rise / ratio``, the rocker being a lever of this ratio. Source: lever. Example: 30 thou at 1.5: 20 thou.
    """
    pushed: Array = np.divide(rise, ratio)
    return pushed


def cold_preload(following: Iterable[Numbers], parting: Iterable[Numbers]) -> Array:
    """Preload, m, of the cold engine from its heights; below zero it is lash.

    ``sum(following) - sum(parting)``: `following` what stands between cam and rocker (base circle radius, cup height,
    pushrod, cup drop, what a stem stands proud at the cup), `parting` what carries the rocker (deck, gasket, pivot
    height), m; arrays broadcast. Source: geometry, figure above.
    Example: in thou, 550 + 1750 + 9500 + 200 less 7600 + 40 + 4335: 25.
    """
    stands = np.asarray(0.0)
    for height in following:
        stands = stands + np.asarray(height)
    for height in parting:
        stands = stands - np.asarray(height)
    return stands


def hot_preload(preload: Numbers, parting: Iterable[Array], following: Iterable[Array]) -> Array:
    """Preload, m, left in the warm engine; below zero it is lash.

    ``preload - sum(parting) + sum(following)``: `parting` the growth, m, of what carries the rocker away from
    the cam (block, head) and what the head's growth does through the rocker, as the pivot rises past the valve's tip;
    `following` of what stands between them (lobe, lifter, pushrod) and of the valve, `at_the_cup`; arrays broadcast.
    Left out: gasket, rocker, and that the valve's seat lies a little above the head's face; some hundredths of a
    millimetre together (estimate).
    Example: iron block 230 mm at 95 C, aluminium head 120 mm at 105 C, steel pushrod 200 mm at 100 C and
    lifter 45 mm at 95 C, set at 20 C: 0.19665 + 0.2193 - 0.1872 - 0.0395 = 0.1893 mm less preload, without the valve.
    """
    left = np.asarray(preload, dtype=float)
    for grown in parting:
        left = left - grown
    for grown in following:
        left = left + grown
    return left


def travel_left(travel: Numbers, preload: Numbers) -> Array:
    """How far, m, a plunger of this `travel` can still go down; below zero it holds the valve off its seat.

    ``travel - max(preload, 0)``: lash leaves the plunger against its retainer. Source: geometry.
    Example: 150 thou of travel at 60 thou of preload: 90 thou.
    """
    left: Array = np.subtract(travel, np.maximum(preload, 0.0))
    return left


def needed_length(length: Numbers, preload: Numbers, wanted: Numbers, stretch: Numbers) -> Array:
    """Length, m, cold, of the pushrod that gives the `wanted` preload, m, where one of this `length` gives `preload`.

    ``length + (wanted - preload) / (1 + stretch)``, `stretch` the growth of a pushrod over its length at the
    temperature the preloads are for, 0 cold. Source: geometry.
    Example: 9.500 in gives 5 thou cold where 25 are wanted: 9.520 in.
    """
    needed: Array = length + np.subtract(wanted, preload) / np.add(1.0, stretch)
    return needed
