"""Attributes of many engines as arrays, and which valves are alike."""

import numpy as np
import pytest
from numpy.testing import assert_array_equal

from tarn_v8 import PLAN, REFERENCE, engine, engine_at, engines

INCH, THOU = 25.4e-3, 25.4e-6
THREE_INTAKE = PLAN.valves.index((3, "intake"))


def test_numbers_run_over_the_variants():
    made = engines(REFERENCE, engine({"lifter.feed_hole": 1e-3}), engine({"lifter": "BW-126"}))
    numbers = made.numbers("lifter", 0, "feed_hole")
    assert numbers.shape == (3, 1, 1)
    # 0.052 in as written for BW-118, 0.066 in for BW-126; an inch is 25.4 mm.
    assert numbers.ravel() == pytest.approx([0.052 * INCH, 1e-3, 0.066 * INCH], rel=1e-12)


def test_rows_choose_among_the_variants():
    made = engines(*(engine({"settings.preload": i * THOU}) for i in range(4)))
    assert_array_equal(
        made.numbers("settings", 0, "preload", np.array([2, 0])).ravel(), np.array([2 * THOU, 0.0])
    )


def test_each_valve_has_its_own_part():
    made = engines(engine_at(THREE_INTAKE, {"lifter.feed_hole": 1e-3}))
    found = [float(made.numbers("lifter", valve, "feed_hole")[0, 0, 0]) for valve in range(len(PLAN.valves))]
    assert found.index(1e-3) == THREE_INTAKE
    assert found.count(1e-3) == 1


def test_words_are_what_each_variant_has_chosen():
    made = engines(REFERENCE, engine({"lifter": "BW-121"}), engine({"lifter": "BW-131"}))
    assert made.words("lifter", 5, "metering") == ("disc", "blind", "orifice")


def test_points_come_in_the_order_asked_for():
    made = engines(REFERENCE, engine({"points.speed": 100.0}), points=("cruise", "hot_idle"))
    speeds = made.at_points("speed")
    assert speeds.shape == (2, 2, 1)
    # 2500 and 650 rpm; a turn is 2 pi.
    assert speeds[0, :, 0] == pytest.approx([2500 * 2 * np.pi / 60, 650 * 2 * np.pi / 60], rel=1e-12)
    assert speeds[1, :, 0].tolist() == [100.0, 100.0]


@pytest.mark.parametrize(("trait", "slot"), [("source", "oil_pump"), ("fluid", "oil"), ("lobes", "camshaft")])
def test_the_slot_with_a_trait(trait, slot):
    assert engines(REFERENCE).slot_with(trait) == slot


def test_valves_of_one_role_with_the_same_parts_are_one_class():
    classes = engines(REFERENCE).valve_classes()
    assert set(classes) == set(range(16))
    assert classes == {valve: valve % 2 for valve in range(16)}


def test_an_odd_part_in_any_variant_makes_a_class_of_its_own():
    odd = engine_at(THREE_INTAKE, {"rocker.oil_hole": 1e-3})
    for variants in ([odd], [REFERENCE, odd], [odd, REFERENCE]):
        classes = engines(*variants).valve_classes()
        assert classes[THREE_INTAKE] == THREE_INTAKE
        assert {v: c for v, c in classes.items() if v != THREE_INTAKE} == {
            v: v % 2 for v in range(16) if v != THREE_INTAKE
        }


def test_what_is_made_of_engines_is_made_once_for_each_key():
    made, asked = engines(REFERENCE), []

    def tell(of, key):
        asked.append((of, key))
        return [key]

    assert made.once(tell, "a") is made.once(tell, "a")
    assert made.once(tell, "b") == ["b"]
    assert asked == [(made, "a"), (made, "b")]


def test_valves_of_one_lobe_with_the_same_parts_are_like_the_first():
    made = engines(engine_at(THREE_INTAKE, {"lifter.feed_hole": 1e-3}))
    first = {role: PLAN.valves.index((1, role)) for role in PLAN.roles}
    odd = {THREE_INTAKE: THREE_INTAKE}
    expected = [odd.get(i, first[role]) for i, (_, role) in enumerate(PLAN.valves)]
    assert [made.like(valve) for valve in range(len(PLAN.valves))] == expected
