"""Values of a build that are off by so many spreads, and the engines that result."""

import pytest

from upfeed.knowledge.build import reference_build, resolve
from upfeed.knowledge.impossible import can_be
from upfeed.knowledge.moves import FARTHEST, Moves
from upfeed.knowledge.variants import variant


@pytest.fixture(scope="module")
def tarn(library):
    return reference_build(library.knowledge.families["tarn-v8"], library.knowledge, library.vocabulary)


@pytest.fixture(scope="module")
def moves(tarn, library):
    return Moves(tarn, library.vocabulary)


def place_of(moves, name):
    return next(i for i, of in enumerate(moves.inputs) if of.name == name)


def test_nothing_off_is_the_build_itself(moves, tarn):
    assert moves.engine({}) == variant(tarn)


def test_a_value_is_off_by_its_own_tolerance(moves):
    place = place_of(moves, "block.main_clearance")
    of = moves.inputs[place]
    assert of.half == pytest.approx(of.value.plus_minus)
    changed = moves.engine({place: 2.0}).at("block", 0)["main_clearance"]
    assert changed == pytest.approx(of.value.magnitude + 2 * of.value.plus_minus)


def test_one_temperature_is_off_at_every_point(moves, tarn):
    place = place_of(moves, "points.oil_temperature")
    changed = moves.engine({place: 1.0}).points
    by = {p: changed[p]["oil_temperature"] - v["oil_temperature"].magnitude for p, v in tarn.points.items()}
    assert set(by) == set(tarn.points)
    assert len({round(x, 9) for x in by.values()}) == 1


def test_no_value_leaves_what_is_possible_or_what_a_part_can_be(moves, tarn, library):
    for place, of in enumerate(moves.inputs):
        assert -FARTHEST <= of.least <= 0 <= of.most <= FARTHEST
        low, high = of.attribute.possible or (-1e9, 1e9)
        for end in (of.least, of.most):
            assert low * (1 - 1e-9) - 1e-9 <= of.size(end) <= high * (1 + 1e-9) + 1e-9
            if of.slot in tarn.fitted:
                kind = library.vocabulary.kinds[tarn.family.plan.slots[of.slot].kind]
                known = moves.engine({place: end}).at(of.slot, 0)
                sizes = {n: x for n, x in known.items() if isinstance(x, float)}
                assert can_be(kind, sizes, tarn.at(of.slot, 0).has).all(), of.name


def test_a_metering_follows_from_its_bench_flow(library, sheet_of):
    build = resolve(sheet_of(slots={"lifter": "PD-31"}), library.knowledge, library.vocabulary)
    moves = Moves(build, library.vocabulary)
    place = place_of(moves, "lifter.bench_flow")
    told = next(n for n, v in build.at("lifter", 0).has.items() if v.follows_from == "bench_flow")
    assert f"lifter.{told}" not in {of.name for of in moves.inputs}
    small, large = (moves.engine({place: off}).at("lifter", 0)[told] for off in (-1.0, 1.0))
    assert small < variant(build).at("lifter", 0)[told] < large


def test_sizes_that_no_part_has_together_are_brought_back(moves, tarn):
    """A lobe with its low lift's duration far down and the high one's far up stands nowhere on a flank."""
    low, high = (place_of(moves, f"camshaft.intake_{end}_duration") for end in ("low", "high"))
    off = {low: moves.inputs[low].least, high: moves.inputs[high].most}
    known = moves.engine(off).at("camshaft", 0)
    apart = known["intake_low_duration"] - known["intake_high_duration"]
    assert 0 < apart < tarn.at("camshaft", 0).has["intake_low_duration"].magnitude
