"""Firing order and angles of a plan, and everything that can be wrong with them."""

import numpy as np
import pytest

from upfeed.knowledge.firingfile import read_firing
from upfeed.reading.jsontree import read_json
from upfeed.reading.reader import Reader


def read(text, cylinders):
    faults = []
    node = read_json(text, faults)
    assert not faults
    fires = read_firing(Reader(node, "plan", faults), cylinders)
    return [round(float(np.degrees(angle)), 6) for angle in fires], [str(fault) for fault in faults]


@pytest.mark.parametrize(
    ("text", "cylinders", "angles"),
    [
        ('{"firing_order": [1, 3, 4, 2]}', 4, [0, 540, 180, 360]),
        ('{"firing_order": [2, 1, 3]}', 3, [0, 480, 240]),
        ('{"firing_order": [1, 2], "firing_angles": ["0 deg", "315 deg"]}', 2, [0, 315]),
        ('{"firing_order": [2, 1], "firing_angles": ["0 deg", "405 deg"]}', 2, [0, 315]),
        ("{}", 2, []),
    ],
)
def test_angles_count_from_the_firing_of_cylinder_1(text, cylinders, angles):
    assert read(text, cylinders) == (angles, [])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('{"firing_order": [1, 2, 2]}', "every cylinder from 1 to 3 once"),
        ('{"firing_order": [1, 2]}', "every cylinder from 1 to 3 once"),
        ('{"firing_order": ["one"]}', "no numbers"),
        ('{"firing_order": 123}', "no numbers"),
        ('{"firing_order": [1, 2, 3], "firing_angles": ["0 deg", "90 deg"]}', "3 rising angles"),
        ('{"firing_order": [1, 2, 3], "firing_angles": ["0 deg", "90 deg", "80 deg"]}', "3 rising angles"),
        ('{"firing_order": [1, 2, 3], "firing_angles": ["0 deg", "90 deg", "720 deg"]}', "3 rising angles"),
        ('{"firing_order": [1, 2, 3], "firing_angles": ["0 deg", "90 mm", "180 deg"]}', "an angle"),
        ('{"firing_angles": ["0 deg"]}', "`firing_order` beside them"),
    ],
)
def test_what_is_wrong_is_told(text, told):
    angles, faults = read(text, 3)
    assert angles == []
    assert any(told in fault for fault in faults)
