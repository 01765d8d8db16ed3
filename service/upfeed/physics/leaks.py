"""What leaks along a lifter's body and out of an end of its bore, by way of one band or of two."""

from typing import NamedTuple

import numpy as np

from upfeed.physics.films import beside, edges, film
from upfeed.physics.geometry import circle_between
from upfeed.physics.resistance import Array, Numbers, Resistance, in_series, per, resistance


class Band(NamedTuple):
    """Heights of a band's edges above the cam centre line, m."""

    lower: Numbers
    upper: Numbers

    @property
    def upside_down(self) -> "Band":
        """The band as it stands to what lies below it."""
        return Band(-np.asarray(self.upper), -np.asarray(self.lower))

    def cover(self, gallery_height: Numbers, gallery_diameter: Numbers) -> Array:
        """How far its nearer edge has gone past the gallery hole, m; 0 while they overlap."""
        off_middle = np.maximum(
            np.subtract(self.lower, gallery_height), np.subtract(gallery_height, self.upper)
        )
        cover: Array = np.maximum(off_middle - np.asarray(gallery_diameter) / 2, 0.0)
        return cover

    def opened(self, gallery_height: Numbers, gallery_diameter: Numbers) -> Array:
        """Area of the gallery hole between its edges, m2."""
        return circle_between(
            gallery_diameter,
            np.subtract(self.lower, gallery_height),
            np.subtract(self.upper, gallery_height),
        )


def leak(
    band: Band,
    end: Numbers,
    gallery_height: Numbers,
    gallery_diameter: Numbers,
    clearance_and_ring: tuple[Array, Array],
    eccentricity: Numbers,
    further: Band | None = None,
) -> Resistance:
    """Resistance of the leak upwards to the bore's end: by way of a band, and from the gallery hole where it is nearer.

    The oil of a `further` band, below the other one, comes along the land between both, where that is easier. A band
    that stands out of the bore bleeds over its ring, as much as its part of the hole lets by.
    Arguments, m: heights above the cam centre line, the bore's `end` among them; `gallery_diameter`; radial clearance
    and the ring round the body; `eccentricity` 0-1.
    Source: see `lands.land_above`.
    """
    clearance, around = clearance_and_ring
    tilt = 1 + 1.5 * np.square(eccentricity)
    land, from_hole = end - np.asarray(band.upper), end - gallery_height - np.asarray(gallery_diameter) / 2
    nearer = np.asarray(from_hole < land)
    round_body = around - np.where(nearer, gallery_diameter, 0.0)
    hole = gallery_height, gallery_diameter
    fed = _fed(band, hole, clearance)
    bleeds = _in_a_row(band.opened(*hole), round_body * np.maximum(-land, 0.0))
    if further is not None:
        between = np.maximum(np.minimum(band.lower, end) - np.asarray(further.upper), 0.0)
        along = film(between, around * tilt, clearance)
        # The stretch over the hole is part of the land round the body: the easier of the two, not both.
        fed = resistance(np.minimum(fed.a, _fed(further, hole, clearance).a + along.a), 0.0)
        out = np.maximum(np.asarray(further.upper) - end, 0.0)
        bleeds = bleeds + _in_a_row(further.opened(*hole), round_body * out)
    uncovered = circle_between(gallery_diameter, end - np.asarray(gallery_height), gallery_diameter)
    by_band = in_series(fed, edges(round_body, clearance, bleeds), film(land, round_body * tilt, clearance))
    by_hole = in_series(
        edges(gallery_diameter, clearance, uncovered), film(from_hole, gallery_diameter * tilt, clearance)
    )
    return beside(by_band, resistance(np.where(nearer, by_hole.a, np.inf), by_hole.b))


def _fed(band: Band, hole: tuple[Numbers, Numbers], clearance: Array) -> Resistance:
    """The land that covers a band from the gallery hole; nothing while they overlap."""
    cover = band.cover(*hole)
    return film(cover, hole[1] + 2 * cover, clearance)


def _in_a_row(opened: Array, bleeds: Array) -> Array:
    """The one opening, m2, that loses as much as two that the same oil goes through; 0 where either is shut."""
    return per(1.0, np.sqrt(per(1.0, opened**2) + per(1.0, bleeds**2)))
