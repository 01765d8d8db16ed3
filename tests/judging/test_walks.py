"""Where a rule is asked: which stretch of the path a family has, at which valves, and which figures speak."""

import pytest

from upfeed.flow.survey import survey
from upfeed.judging.walks import merged, sites

UP = ("gallery", "lifter", "pushrod", "rocker")
TRAIN = ("camshaft", "lifter")
ODD = {"slots": {"lifter": [{"part": "BW-126", "at": "3 intake"}]}}


@pytest.fixture(scope="module")
def surveyed(library, sheet_of):
    def of(build=None, **more):
        return survey(sheet_of(build, **more), library.knowledge, library.vocabulary, library.topologies)

    return of


@pytest.fixture(scope="module")
def plain(surveyed):
    return surveyed()


@pytest.fixture(scope="module")
def odd(surveyed):
    return surveyed(ODD)


def named(survey_, *walks):
    return [(site.walk, site.at) for site in sites(survey_, walks)]


def test_intake_and_exhaust_are_places_of_their_own(plain):
    assert named(plain, UP) == [(UP, "intake"), (UP, "exhaust")]
    covered = [valve for site in sites(plain, (UP,)) for valve in site.valves]
    assert sorted(covered) == list(range(16))


def test_what_is_once_an_engine_is_asked_once(plain):
    (site,) = sites(plain, (("gallery", "block"),))
    assert (site.at, site.valves, site.id) == ("all", tuple(range(16)), "gallery-block/all")


def test_an_odd_part_is_a_place_of_its_own(odd):
    assert {at for _, at in named(odd, UP)} == {"3 intake", "intake except 3 intake", "exhaust"}
    (single,) = [site for site in sites(odd, (UP,)) if site.at == "3 intake"]
    assert single.id == "gallery-lifter-pushrod-rocker/3-intake"
    assert single.valves == (odd.build.family.plan.valves.index((3, "intake")),)


def test_the_first_stretch_that_the_family_has_counts(plain, surveyed):
    pedestal = ("gallery", "rocker_pedestal", "rocker")
    assert {walk for walk, _ in named(plain, pedestal, UP)} == {UP}
    assert {walk for walk, _ in named(surveyed(family="wrenmoor-four"), pedestal, UP)} == {pedestal}


def test_a_stretch_that_no_oil_passes_is_nowhere(plain, surveyed):
    assert named(plain, ("gallery", "rocker_pedestal", "rocker")) == []
    assert named(plain, ("gallery", "pushrod", "lifter")) == []
    assert named(plain, ("gallery", "lifter", "no_such_slot")) == []
    assert named(surveyed(family="orlebeck-five"), ("gallery", "lifter")) == []


def test_oil_that_comes_down_again_is_followed_from_the_shaft_and_not_from_the_gallery(surveyed):
    five = surveyed(family="orlebeck-five")
    down = ("rocker_shaft", "rocker", "pushrod", "lifter")
    assert {walk for walk, _ in named(five, down)} == {down}
    assert named(five, ("gallery", "rocker", "pushrod", "lifter")) == []


def test_the_valve_train_is_there_whatever_way_the_oil_takes(surveyed, library):
    for family in library.knowledge.families:
        assert {walk for walk, _ in named(surveyed(family=family), TRAIN)} == {TRAIN}, family
    assert named(surveyed(family="tarn-v8"), ("camshaft", "rocker_pedestal")) == []


def test_a_single_stretch_in_place_of_several_is_refused(plain):
    with pytest.raises(TypeError, match="one stretch"):
        sites(plain, UP)


def test_places_of_like_parts_are_told_as_one(plain):
    intake, exhaust = sites(plain, (UP,))
    both = merged(intake, exhaust)
    assert (both.at, both.valves, both.worst, both.told_of) == ("all", tuple(range(16)), (), "")
    assert both.id == "gallery-lifter-pushrod-rocker/all"


def test_the_worst_of_several_places_gives_the_figures(plain):
    intake, exhaust = sites(plain, (UP,))
    both = merged(intake, exhaust, tuple(reversed(exhaust.valves)))
    assert both.worst == exhaust.valves
    assert both.told_of == "exhaust"
    assert both.last_fed in exhaust.valves
    assert merged(intake, exhaust, tuple(range(16))).worst == ()


def test_places_of_other_parts_or_of_another_stretch_stay_apart(odd, plain):
    by_name = {site.at: site for site in sites(odd, (UP,))}
    assert merged(by_name["3 intake"], by_name["exhaust"]) is None
    assert merged(by_name["intake except 3 intake"], by_name["exhaust"]) is not None
    (train, *_), (way, *_) = sites(plain, (TRAIN,)), sites(plain, (UP,))
    assert merged(train, way) is None


def test_along_a_gallery_the_last_valve_fed_speaks(surveyed):
    four = surveyed(family="wexcombe-four")
    intake, exhaust = sites(four, (UP,))
    valves = four.build.family.plan.valves
    assert valves[exhaust.last_fed] == (4, "exhaust")
    assert valves[intake.last_fed] == (4, "intake")


def test_a_place_reads_the_valve_that_speaks(odd):
    sized = {site.at: site.read("lifter.feed_hole") for site in sites(odd, (UP,))}
    assert sized["3 intake"] == (pytest.approx(0.066 * 0.0254),)
    assert sized["exhaust"] == (pytest.approx(0.052 * 0.0254),)


def test_where_corner_cases_bound_nothing_only_what_they_agree_on_is_known(surveyed):
    """A gallery of unknown height may pass oil at one height and at none beside it."""
    block = {"part": "TN-1", "has": {"gallery_height": None}}
    missing = surveyed(slots={"block": block})
    assert not missing.corners.bounding
    site, *_ = sites(missing, (UP,))
    assert set(site.read("fed_share")) == {None}
    assert len(site.read("fed_share")) == len(site.read("lifter.feed_hole"))
    assert site.read("lifter.feed_hole")[0] == pytest.approx(0.052 * 0.0254)


def test_where_they_bound_what_lies_between_all_are_kept(surveyed):
    missing = surveyed(slots={"lifter": {"part": "BW-118", "has": {"notch_area": None}}})
    assert missing.corners.bounding
    site, *_ = sites(missing, (UP,))
    assert len(set(site.read("valve_flow.hot_idle"))) > 1
