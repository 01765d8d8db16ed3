"""Bands of few even draws against many plain ones (numpy's generator, every value by itself).

By the definition of a percentile, the share of plain draws beyond an end of a band of N draws is 5 % but for the error
of N random draws, sqrt(0.05 0.95 / N) (binomial); even draws err less. A quick count is drawn unless more are wanted:
UPFEED_DRAWS=20000 pytest tests/reference/test_reference_spread.py
"""

import hashlib
import os
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.stats import qmc

from upfeed.answering.buildfile import read_build
from upfeed.flow.bands import band
from upfeed.flow.drawn import drawn
from upfeed.flow.survey import survey

pytestmark = pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time

BUILDS = Path(__file__).parents[2] / "shared" / "builds"
PLAIN = int(os.environ.get("UPFEED_DRAWS", "1500"))
AT_ONCE = 500
EVEN = 256
NUMBERS = ("gallery_pressure.hot_idle", "worst_valve_flow.hot_idle")
STRATA = "upfeed.knowledge.draws.strata"


@pytest.fixture(scope="module")
def surveyed(library):
    """A build at one point alone."""

    def of(name):
        sheet = read_build(str(BUILDS / f"{name}.yaml"), library)
        whole = survey(sheet, library.knowledge, library.vocabulary)
        build, reference = (
            replace(engine, points={"hot_idle": engine.points["hot_idle"]})
            for engine in (whole.build, whole.reference)
        )
        return replace(whole, build=build, reference=reference)

    return of


def numbers_of(made):
    """Numbers of the build and their ratios to the reference's, draw by draw."""
    names = [*NUMBERS, *(f"ratio.{name}" for name in NUMBERS)]
    return {name: made.known(name, 0)[: made.count] for name in names}


def plainly(monkeypatch, chunk):
    """Draws without any order, the same for a key wherever it stands."""

    def random(key, count):
        return np.random.default_rng([*hashlib.sha256(key.encode()).digest(), chunk]).random(count)

    monkeypatch.setattr(STRATA, random)


def many_plain(of, library, monkeypatch):
    found = {}
    with monkeypatch.context() as patch:
        for chunk in range(-(-PLAIN // AT_ONCE)):
            plainly(patch, chunk)
            for name, column in numbers_of(drawn(of, library.vocabulary, AT_ONCE)).items():
                found.setdefault(name, []).extend(column)
    return {name: np.array(column) for name, column in found.items()}


def beyond(ends, plain):
    """How many errors of N random draws (and of the plain ones) the shares beyond both ends are off."""
    error = np.sqrt(0.05 * 0.95 * (1 / EVEN + 1 / len(plain)))
    return [(float(np.mean(share)) - 0.05) / error for share in (plain < ends[0], plain > ends[1])]


@pytest.mark.parametrize("name", ["feed-hole-enlarged", "roller-v8-narrow-band", "twin-orifice-lifter"])
def test_nine_of_ten_plain_draws_lie_within_a_band(name, surveyed, library, monkeypatch):
    of = surveyed(name)
    few = numbers_of(drawn(of, library.vocabulary, EVEN))
    for number, plain in many_plain(of, library, monkeypatch).items():
        off = beyond(band(few[number], EVEN), plain)
        assert max(map(abs, off)) < 3, (number, off)


def test_bands_agree_with_a_low_discrepancy_sequence(surveyed, library, monkeypatch):
    """Scrambled Sobol points of scipy, one dimension a value in the order they are met.

    The end of a band of 1,024 draws is within some 2 % of the band's width (sqrt(0.05 0.95/1024) over the density of a
    normal there), so a tenth is three times what two such ends are apart by chance.
    """
    of, many = surveyed("feed-hole-enlarged"), 4 * EVEN
    few = numbers_of(drawn(of, library.vocabulary, many))
    points, met = qmc.Sobol(256, rng=7).random(many), {}
    monkeypatch.setattr(STRATA, lambda key, _: points[:, met.setdefault(key, len(met))])
    for number, even in numbers_of(drawn(of, library.vocabulary, many)).items():
        wide = np.ptp(band(even, many))
        assert np.abs(np.subtract(band(few[number], many), band(even, many))).max() < 0.1 * wide, number
