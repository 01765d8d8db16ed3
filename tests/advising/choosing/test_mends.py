"""Ways out of what stands against a build, held against a plain walk through everything there is to fit."""

from math import log
from pathlib import Path

import msgspec
import pytest
import yaml

from upfeed.advising.choosing.mends import NOTHING_STANDS, mends
from upfeed.advising.choosing.needs import ranges
from upfeed.advising.choosing.search import Search
from upfeed.advising.choosing.trying import standings
from upfeed.answering.answer import SolvedPoint
from upfeed.answering.buildfile import read_build
from upfeed.answering.check import check
from upfeed.flow.trials import trial
from upfeed.knowledge.build import resolve
from upfeed.knowledge.sheet import read_sheet
from upfeed.reading.faults import DataFaults
from upfeed.reading.jsontree import read_json

FOLDER = Path("shared/builds")
BUILDS = sorted(path.stem for path in FOLDER.glob("*.yaml"))
FITS_BY_SIZES = {"lifter", "pushrod", "rocker", "restrictor", "oil"}


def _build(name, library):
    return read_build(f"{FOLDER}/{name}.yaml", library)


def _told(told, library):
    faults = []
    node = read_json(msgspec.json.encode(told), faults)
    sheet = read_sheet(node, library.knowledge, library.vocabulary, faults)
    return None if faults else sheet


def _goes_in(part, family, library):
    """Whether somebody sells it for this engine, or for any where sizes tell."""
    if part.kind in FITS_BY_SIZES:
        return any(value.standing in ("measured", "published") for value in part.has.values())
    own = {f.part for fittings in family.reference.slots.values() for f in fittings}
    others = {
        part.id,
        *(id_ for r in ("same_envelope_as", "supplied_in_place_of") for id_ in part.relations.get(r, ())),
    }
    meant = (library.knowledge.parts[id_].relations.get("designed_for", ()) for id_ in others)
    return bool(others & own) or any(family.id in families for families in meant)


def _every_other_part(name, library):
    """The build with each known part in each slot, as somebody would write it into the file."""
    told = yaml.safe_load((FOLDER / f"{name}.yaml").read_text(encoding="utf-8"))
    family = library.knowledge.families[told["family"]]
    for slot in family.plan.slots.values():
        for part in library.knowledge.parts.values():
            if part.kind == slot.kind and _goes_in(part, family, library):
                sheet = _told(told | {"slots": {**told.get("slots", {}), slot.name: part.id}}, library)
                if sheet is not None:
                    yield sheet


def _order(answer):
    """Stops, open questions, cautions, hundredths by which the worst valve is astray, kPa lost at hot idle."""
    standing = [f for f in answer.findings if f.accepted is None]
    stops, cautions = (
        len({f.rule for f in standing if f.weighs == weight}) for weight in ("stop", "caution")
    )
    idle = next(p for p in answer.points if p.point == "hot_idle")
    worst, pressure = (
        next(c for c in idle.computed if c.name == f"{name}.hot_idle")
        for name in ("worst_valve_flow", "gallery_pressure")
    )
    astray = round(abs(log(worst.ratio)) * 100) if worst.ratio else 10**11
    lost = max(0, round((pressure.reference - pressure.build) / 1000)) if pressure.build else 10**6
    return stops, 0, cautions, astray, lost


@pytest.mark.parametrize("name", ["tarn-large-notches", "skelbeck-without-restrictor"])
def test_no_single_part_checked_by_itself_does_better_than_the_best_way(name, library):
    """Builds here are whole, so what cannot be told is a part's, and leaves it behind what can."""
    sheet = _build(name, library)
    before, search = _order(check(sheet, library)), Search(sheet, library)
    answers = (check(other, library) for other in _every_other_part(name, library))
    orders = [_order(answer) for answer in answers if answer.verdict != "cannot_tell_yet"]
    assert len(orders) > 20
    assert min(orders) < before
    assert _order(check(search.sheet_with(search.ways().ways[0]), library)) <= min(orders)


def _rank(standing):
    """The same order, of a build tried side by side with others."""
    astray, lost = round(standing.astray * 100), round(standing.pressure_lost / 1000)
    return len(standing.stops), len(standing.untold), len(standing.cautions), astray, lost


@pytest.mark.no_cover  # whole searches of every build; shorter tests trace the lines
@pytest.mark.parametrize("name", BUILDS)
def test_no_single_part_does_better_than_the_best_way_told(name, library):
    """Every part of the demo in every slot; which of them to try, and which is best, is worked out here."""
    sheet = _build(name, library)
    search = Search(sheet, library)
    before, ways = _rank(search.before()), search.ways().ways
    if before[:3] == (0, 0, 0):
        assert ways == ()
        return
    knowledge, vocabulary = library.knowledge, library.vocabulary
    builds = [resolve(other, knowledge, vocabulary) for other in _every_other_part(name, library)]
    tried = [trial(build, search.reference, vocabulary) for build in builds]
    best = min(_rank(one) for one in standings(tried, search.reference, library))
    if ways:
        assert _rank(ways[0].standing) <= best
        assert _rank(ways[0].standing)[:3] < before[:3]
    else:
        assert best[:3] >= before[:3]


def test_what_stands_against_a_build_decides_whether_anything_is_told(library):
    for name in ("reference", "dunmere-six-reference"):
        told = mends(_build(name, library), library)
        assert (told.ways, told.needs, told.said, told.tried) == ([], [], NOTHING_STANDS, 0)


@pytest.mark.parametrize("name", ["blind-lifter", "preload-lost", "notch-unknown"])
def test_a_way_is_told_as_the_build_with_it_checks(name, library):
    sheet = _build(name, library)
    search = Search(sheet, library)
    way = search.ways().ways[0]
    told = mends(sheet, library).ways[0]
    after, before = check(search.sheet_with(way), library), check(sheet, library)
    assert told.verdict == after.verdict
    ids = {f.id for f in after.findings}
    assert set(told.clears) == {f.id for f in before.findings} - ids
    assert set(told.raises) == ids - {f.id for f in before.findings}
    idle = next(p for p in after.points if isinstance(p, SolvedPoint) and p.point == "hot_idle")
    assert all(c in idle.computed for c in told.computed)


def test_preload_that_was_lost_is_set_as_designed_and_nothing_is_bought(library):
    told = mends(_build("preload-lost", library), library).ways[0]
    designed = library.knowledge.families["tarn-v8"].reference.settings["preload"]
    assert [(c.name, c.new) for c in told.changes] == [("settings.preload", designed.written)]
    assert told.verdict == "go"


def test_where_one_change_will_not_do_several_are_told_together(library):
    told = mends(_build("tarn-covers-flooded", library), library)
    assert told.verdict == "stop"
    assert told.ways[0].verdict in ("go", "go_with_care")
    assert len(told.ways[0].changes) > 1


def test_pushrods_are_made_to_the_length_that_the_heights_ask_for(library):
    """Thick gasket by 20 thou: so much longer pushrods, over the rocker's ratio nothing, bring the preload back."""
    ways = mends(_build("six-thick-gasket", library), library, most=20).ways
    made = [way for way in ways if way.changes[0].name == "pushrod.length"]
    assert made
    assert made[0].verdict == "go"


def test_a_slot_left_open_is_told_and_nothing_is_tried(library):
    sheet = _told({"format": 1, "family": "tarn-v8", "open": ["lifter"]}, library)
    told = mends(sheet, library)
    assert told.ways == []
    assert "lifter" in told.said


def test_a_build_that_cannot_be_is_refused(library):
    sheet = _build("tarn-large-notches", library)
    broken = msgspec.structs.replace(sheet, family="no-such-family")
    with pytest.raises(DataFaults):
        mends(broken, library)


def test_the_size_that_a_part_would_need_lies_about_the_design(library):
    """The design's own notch clears what a larger one raised, so its size lies within what is told."""
    search = Search(_build("tarn-large-notches", library), library)
    before = search.before()
    told = {one.size.tries: one for one in ranges(search, before, library)}
    notch, designed = told["lifter.notch_area"], library.knowledge.parts["BW-118"].has["notch_area"]
    assert notch.low.magnitude <= designed.magnitude <= notch.high.magnitude
    assert notch.standing.burden == (0, 0, 0)
    assert notch.high.magnitude < library.knowledge.parts["BW-133"].has["notch_area"].magnitude
