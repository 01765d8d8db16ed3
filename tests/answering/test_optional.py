"""What a check can do without: not given, it leaves open what takes it, says so, and holds no verdict up."""

import pytest

from upfeed.answering.cautions import NOT_JUDGED

RETURN_RULES = {
    "drains-held-up-by-blow-by",
    "drains-too-small-for-the-feed",
    "oil-above-the-guides",
    "pickup-runs-bare-at-idle",
    "pickup-runs-bare-on-the-road",
    "pickup-runs-bare-at-top-speed",
    "pickup-bare-at-sustained-top-speed",
    "little-oil-over-the-pickup",
}


VALLEY = (
    "valley",
    "valley_drain_count",
    "valley_drain_diameter",
    "valley_drain_length",
    "valley_area",
    "valley_rim",
)


def head(given, *without):
    return {"slots": {"cylinder_head": {"has": given("TN-20", *without)}}}


def by_name(answer):
    return {unknown.name: unknown for unknown in answer.unknown}


def test_a_head_whose_drains_nobody_counted_holds_no_verdict_up(ask, given):
    answer = ask(head(given, "drain_count"))
    assert (answer.verdict, answer.findings) == ("go", [])
    assert NOT_JUDGED in answer.cautions
    lacked = by_name(answer)["cylinder_head.drain_count"]
    assert set(lacked.blocks) == RETURN_RULES
    assert (lacked.slot, lacked.at) == ("cylinder_head", "all")
    assert "torch" in lacked.measure


def test_what_is_computed_from_it_is_null(ask, given):
    idle = {c.name: c for c in ask(head(given, "drain_count")).points[0].computed}
    for name in ("drain_capacity", "cover_state", "cover_depth", "oil_held_up", "pickup_state"):
        computed = idle[f"{name}.hot_idle"]
        assert (computed.build, computed.band) == (None, None)
        assert computed.reference is not None
    assert idle["oil_in_transit.hot_idle"].build is not None


def test_only_what_takes_it_stays_open(ask, given):
    blocks = by_name(ask(head(given, "guide_height")))["cylinder_head.guide_height"].blocks
    assert set(blocks) == {"drains-too-small-for-the-feed", "oil-above-the-guides"}


def test_a_block_whose_valley_nobody_looked_at_is_asked_for_it_and_no_more(ask, given):
    block = {"block": {"has": given("TN-1", *VALLEY)}}
    answer = ask(slots=block)
    assert answer.verdict == "go"
    assert set(by_name(answer)) == {"block.valley"}  # whether there is one comes first
    assert "valley-drains-too-small" in by_name(answer)["block.valley"].blocks
    for valley, asked in (("none", set()), ("drained", {f"block.{name}" for name in VALLEY[1:]})):
        known = {"block": {"has": {**given("TN-1", *VALLEY), "valley": valley}}}
        assert set(by_name(ask(slots=known))) == asked


def test_gas_unknown_at_one_point_is_asked_for_there(ask):
    answer = ask(points={"top_speed": {"blow_by": None}})
    assert answer.verdict == "go"
    assert [(u.name, u.slot, u.at) for u in answer.unknown] == [
        ("points.top_speed.blow_by", "points", "top_speed")
    ]


def test_a_verdict_on_the_way_up_still_waits_for_what_it_needs(ask, given):
    notch = given("BW-118", "notch_area")
    answer = ask(
        {"slots": {"lifter": {"has": notch}, "cylinder_head": {"has": given("TN-20", "drain_count")}}}
    )
    assert answer.verdict == "cannot_tell_yet"
    assert {"lifter.notch_area", "cylinder_head.drain_count"} <= set(by_name(answer))


def test_all_given_nothing_is_said(ask):
    assert NOT_JUDGED not in ask().cautions


@pytest.mark.parametrize("slots", [["cylinder_head"], ["oil_pan"]])
def test_a_slot_left_open_is_asked_for_as_ever(ask, slots):
    answer = ask(open=slots)
    assert answer.verdict == "cannot_tell_yet"
    assert [unknown.name for unknown in answer.unknown] == slots


def rocker(given, *without):
    return {"slots": {"rocker": {"has": given("HM-40", *without)}}}


def test_where_the_rocker_is_set_an_unknown_drop_of_its_cup_leaves_only_pushrod_lengths_open(ask, given):
    answer = ask(rocker(given, "cup_drop"))
    assert answer.verdict == "go"
    assert set(by_name(answer)["rocker.cup_drop"].blocks) == {"pushrod-too-long", "pushrod-too-short"}


def test_where_the_heights_decide_an_unknown_drop_of_the_cup_holds_the_verdict_up(ask, given):
    slots = {"rocker": {"has": given("HM-60", "cup_drop")}}
    answer = ask({"family": "dunmere-six", "slots": slots})
    assert answer.verdict == "cannot_tell_yet"
    assert {"hydraulic-lifter-with-lash", "pushrod-too-short"} <= set(
        by_name(answer)["rocker.cup_drop"].blocks
    )
