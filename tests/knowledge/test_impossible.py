"""Parts that cannot be: refused with the reason; whatever is known stays."""

import pytest

from upfeed.knowledge.impossible import ORDERS, Order, Sums, impossible
from upfeed.knowledge.records import Value
from upfeed.reading.faults import Origin
from upfeed.reading.units import parse


@pytest.fixture
def kinds(library):
    return library.vocabulary.kinds


@pytest.fixture
def told(kinds):
    """What is said of a part with these values, as text."""

    def faults(kind, **written):
        has = {
            name: Value(
                parse(text, kinds[kind].attributes[name].quantity),
                text,
                "measured",
                "",
                Origin("own", "a.yaml", line),
            )
            for line, (name, text) in enumerate(written.items(), 1)
        }
        return [str(fault) for fault in impossible(kinds[kind], has, f"{kind} X")]

    return faults


def test_bands_that_overlap_are_told_in_plain_words(told):
    assert told("lifter", **OVERLAPPING) == [
        "a.yaml, line 2, lifter X: "
        "found band to 34 mm, second band from 33.9 mm, second band to 36 mm, band from 30 mm; "
        "expected two bands one above the other, with a land between them. "
        "Measure all heights from the foot, the lifter upright."
    ]


def test_a_band_upside_down_is_told_in_plain_words(told):
    assert told("lifter", band_from="1.30 in", band_to="1.20 in") == [
        "a.yaml, line 1, lifter X: found band from 1.30 in, band to 1.20 in; "
        "expected the band's upper edge above its lower. Measure all heights from the foot, the lifter upright."
    ]


OVERLAPPING = {
    "band_from": "30 mm", "band_to": "34 mm", "second_band_from": "33.9 mm", "second_band_to": "36 mm"
}  # fmt: skip

IMPOSSIBLE = [
    ("lifter", {"band_from": "30 mm", "band_to": "30 mm"}),
    ("lifter", {"wheel_window": "1.05 in", "band_from": "1.05 in"}),
    ("lifter", {"band_to": "2.1 in", "body_length": "2.0 in"}),
    ("lifter", {"band_from": "30 mm", "band_to": "32 mm", "feed_hole": "2.1 mm"}),
    ("lifter", {"body_diameter": "20 mm", "band_depth": "4 mm", "wall": "6 mm"}),
    ("lifter", {"seat_inner": "10 mm", "seat_outer": "8 mm"}),
    ("lifter", {"seat_outer": "22 mm", "body_diameter": "21.4 mm"}),
    ("lifter", {"cup_fit_bore": "15.00 mm", "cup_fit_body": "15.01 mm"}),
    ("lifter", {"cup_fit_bore": "22 mm", "body_diameter": "21.4 mm"}),
    ("lifter", {"plunger_travel": "30 mm", "body_length": "25 mm"}),
    ("lifter", {"bench_viscosity_100": "12 cSt", "bench_viscosity_40": "10 cSt"}),
    ("lifter", {"second_band_from": "30 mm", "second_band_to": "29 mm"}),
    ("lifter", {"wheel_window": "20 mm", "second_band_from": "19 mm"}),
    ("lifter", {"second_band_to": "2.1 in", "body_length": "2.0 in"}),
    ("lifter", {"second_band_from": "30 mm", "second_band_to": "32 mm", "second_feed_hole": "2.1 mm"}),
    ("lifter", {"body_diameter": "20 mm", "second_band_depth": "4 mm", "second_wall": "6 mm"}),
    ("lifter", OVERLAPPING),
    ("block", {"bush_hole_height": "50 mm", "bush_hole_diameter": "5 mm", "bore_top": "52.5 mm"}),
    ("block", {"bush_hole_height": "50 mm", "bush_hole_diameter": "5 mm", "bore_bottom": "47.6 mm"}),
    ("block", {"bore_bottom": "60 mm", "bore_top": "50 mm"}),
    ("block", {"gallery_height": "50 mm", "gallery_diameter": "10 mm", "bore_top": "55 mm"}),
    ("block", {"gallery_height": "50 mm", "gallery_diameter": "10 mm", "bore_bottom": "45.5 mm"}),
    ("block", {"bore_top": "90 mm", "deck_height": "80 mm"}),
    ("block", {"main_journal": "0.5 mm", "main_clearance": "0.5 mm"}),
    ("block", {"rod_journal": "0.5 mm", "rod_clearance": "0.6 mm"}),
    ("block", {"cam_journal": "0.5 mm", "cam_clearance": "0.6 mm"}),
    ("pushrod", {"bore": "6 mm", "outer_diameter": "6 mm"}),
    ("pushrod", {"tip_hole": "6 mm", "ball_diameter": "5 mm"}),
    ("rocker", {"shaft_bore": "0.4 mm", "shaft_clearance": "0.5 mm"}),
    ("rocker_shaft", {"bore": "14 mm", "wall": "3 mm", "outer_diameter": "16 mm"}),
    ("oil", {"viscosity_40": "11 cSt", "viscosity_100": "64 cSt"}),
    ("oil_pan", {"reserve": "5 L", "capacity": "4.7 L"}),
]


@pytest.mark.parametrize(("kind", "written"), IMPOSSIBLE, ids=[f"{k} {' '.join(w)}" for k, w in IMPOSSIBLE])
def test_what_cannot_be_is_refused_once(told, kind, written):
    (fault,) = told(kind, **written)
    assert all(f"{name.replace('_', ' ')} {text}" in fault for name, text in written.items())


@pytest.mark.parametrize("order", ORDERS, ids=lambda order: f"{order.kind} {order.holds}")
def test_every_order_has_a_part_that_breaks_it(order):
    assert any(order.kind == kind and set(order.names) == set(written) for kind, written in IMPOSSIBLE)


@pytest.mark.parametrize(
    ("kind", "written"),
    [
        ("lifter", {"band_from": "30 mm", "band_to": "32 mm", "feed_hole": "2 mm"}),
        (
            "lifter",
            {"cup_fit_bore": "0.590551181 in", "cup_fit_body": "15.00 mm"},
        ),  # the same, but for rounding
        ("lifter", OVERLAPPING | {"second_band_from": "34 mm"}),
        ("lifter", OVERLAPPING | {"second_band_from": "28 mm", "second_band_to": "30 mm"}),
        ("oil_pan", {"reserve": "4.7 L", "capacity": "4.7 L"}),
        ("block", {"gallery_height": "50 mm", "gallery_diameter": "10 mm", "bore_top": "55.1 mm"}),
        ("block", {"gallery_height": "50 mm", "gallery_diameter": "10 mm", "bore_bottom": "44.9 mm"}),
    ],
)
def test_what_is_just_possible_stays(told, kind, written):
    assert told(kind, **written) == []


def test_nothing_is_said_of_what_is_not_known(told):
    assert told("lifter", band_to="1.2 in") == []
    assert told("block", gallery_height="50 mm", bore_top="50 mm") == []
    assert told("camshaft", intake_lift="1 mm", intake_high_lift="1.27 mm") == []


CARD = {
    "intake_lift": "7 mm", "intake_low_lift": "0.15 mm", "intake_low_duration": "270 deg",
    "intake_high_lift": "1.27 mm", "intake_high_duration": "212 deg",
}  # fmt: skip


@pytest.mark.parametrize(
    "change",
    [
        {"intake_high_duration": "280 deg"},  # longer at the higher lift
        {"intake_high_lift": "0.1 mm"},  # lifts the wrong way round
        {"intake_lift": "1 mm"},  # a checking lift above the lobe
        {"intake_high_duration": "150 deg"},  # flanks that would flatten
    ],
)
def test_durations_no_lobe_has_are_refused(told, change):
    assert told("camshaft", **CARD) == []
    (fault,) = told("camshaft", **(CARD | change))
    assert "camshaft X, intake lobe: found intake lift" in fault
    assert fault.endswith("Check the cam card.")


def test_the_fault_stands_where_the_build_itself_says_it(kinds):
    def value(magnitude, origin):
        return Value(magnitude, f"{magnitude} m", "measured", "", origin)

    known, own = Origin("base", "kb/a.yaml", 3), Origin("", "", 0, "/slots/lifter/has/band_to")
    has = {"band_from": value(0.03, known), "band_to": value(0.02, own)}
    (fault,) = impossible(kinds["lifter"], has, "lifter X")
    assert fault.origin == own


def test_every_order_is_about_sizes_of_its_kind(kinds):
    for order in ORDERS:
        assert set(order.names) <= set(kinds[order.kind].attributes)
        assert len({kinds[order.kind].attributes[name].quantity for name in order.names}) == 1
        assert order.expected
        assert order.advice


def test_sums_are_read_as_written():
    order = Order("block", "2 a + b <= 3 c", "", "")
    assert order.sums == (Sums(((2.0, "a"), (1.0, "b")), ((3.0, "c"),), or_same=True),)
    assert order.names == ("a", "b", "c")
    either = Order("lifter", "a < b or b <= c", "", "")
    assert either.sums == (
        Sums(((1.0, "a"),), ((1.0, "b"),), or_same=False),
        Sums(((1.0, "b"),), ((1.0, "c"),), or_same=True),
    )
    assert either.names == ("a", "b", "c")


def test_everything_that_comes_with_the_program_can_be(library):
    for part in library.knowledge.parts.values():
        assert list(impossible(library.vocabulary.kinds[part.kind], part.has, part.id)) == []
