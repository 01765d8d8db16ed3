"""What still fits: the same as checking each part by itself, in whatever order slots are filled."""

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from upfeed.advising.choosing.changes import OtherPart
from upfeed.advising.choosing.fits import fits
from upfeed.answering.check import check
from upfeed.knowledge.build import resolve, with_part
from upfeed.knowledge.placing import is_one_part
from upfeed.knowledge.sheet import read_sheet
from upfeed.reading.faults import DataFaults
from upfeed.reading.jsontree import read_json

FIT_OF = {
    "stop": "does_not_fit",
    "cannot_tell_yet": "cannot_tell_yet",
    "go_with_care": "fits_with_findings",
    "go": "fits",
}


def _sheet(told, library):
    faults = []
    node = read_json(msgspec.json.encode({"format": 1, **told}), faults)
    sheet = read_sheet(node, library.knowledge, library.vocabulary, faults)
    assert not faults
    return sheet


@pytest.mark.parametrize(
    ("family", "slot"),
    [
        ("tarn-v8", "lifter"),
        ("calder-roller-v8", "lifter"),
        ("dunmere-six", "gasket"),
        ("wrenmoor-four", "rocker"),
        ("skelbeck-three", "restrictor"),
        ("ashquill-twin", "oil"),
    ],
)
def test_each_part_fits_as_far_as_the_check_with_it_says(family, slot, library):
    sheet = _sheet({"family": family, "open": [slot]}, library)
    (told,) = fits(sheet, library).slots
    assert {choice.fit for choice in told.choices} - {"does_not_fit"}
    for choice in told.choices:
        alone = check(OtherPart(slot, choice.part).on(sheet, library.knowledge.families[family]), library)
        if choice.rule is None and choice.fit == "does_not_fit":
            continue  # made for another family: nothing that a check looks at
        assert choice.fit == FIT_OF[alone.verdict], choice.part
        if choice.rule and choice.fit != "cannot_tell_yet":
            finding = next(f for f in alone.findings if f.rule == choice.rule)
            assert choice.says == finding.says.partition(" The figures are for the worst")[0]


def test_parts_of_other_families_do_not_fit_where_no_size_tells(library):
    (told,) = fits(_sheet({"family": "tarn-v8"}, library), library, ["cylinder_head"]).slots
    fit = {choice.part: choice.fit for choice in told.choices}
    others = {
        f.part
        for family in library.knowledge.families.values()
        for f in family.reference.slots.get("cylinder_head", ())
        if family.id != "tarn-v8"
    }
    assert others
    assert {fit[part] for part in others if part in fit} == {"does_not_fit"}


def test_sizes_usual_in_the_trade_are_nothing_to_buy(library):
    (told,) = fits(_sheet({"family": "tarn-v8"}, library), library, ["lifter"]).slots
    assert not [choice for choice in told.choices if choice.part.startswith("generic-")]


def test_a_slot_that_the_family_lacks_is_refused_with_those_it_has(library):
    with pytest.raises(DataFaults) as refused:
        fits(_sheet({"family": "tarn-v8"}, library), library, ["lifters"])
    assert "Did you mean lifter?" in str(refused.value.faults[0])


def test_nothing_open_and_no_slot_named_is_refused(library):
    with pytest.raises(DataFaults) as refused:
        fits(_sheet({"family": "tarn-v8"}, library), library)
    assert "nothing left open" in str(refused.value.faults[0])


def test_other_open_slots_count_as_designed_and_it_is_said(library):
    told = fits(_sheet({"family": "tarn-v8", "open": ["lifter", "oil"]}, library), library).slots
    assert [slot.as_designed for slot in told] == [["oil"], ["lifter"]]


def test_a_part_put_into_a_build_is_the_build_that_says_so(library):
    sheet = _sheet({"family": "tarn-v8", "slots": {"oil": "MO-020"}}, library)
    build = resolve(sheet, library.knowledge, library.vocabulary)
    for part in library.knowledge.parts.values():
        if part.kind in build.fitted:
            changed = OtherPart(part.kind, part.id).on(sheet, build.family)
            written = resolve(changed, library.knowledge, library.vocabulary)
            assert with_part(build, changed, part.kind, part) == written, part.id


@pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time
@given(order=st.permutations(["lifter", "pushrod", "rocker", "oil"]), data=st.data())
@settings(max_examples=15, deadline=None)
def test_slots_filled_in_any_order_end_at_the_same_verdict(order, data, library):
    """What goes into each slot is chosen beforehand; the last slot's choice tells how the whole build stands."""
    chosen = {slot: data.draw(st.sampled_from(_sold(slot, library)), slot) for slot in sorted(order)}
    assert _filled(order, chosen, library) == _filled(sorted(order), chosen, library)


def _sold(kind, library):
    parts = library.knowledge.parts.values()
    return sorted(part.id for part in parts if part.kind == kind and is_one_part(part))


def _filled(order, parts, library):
    family = library.knowledge.families["tarn-v8"]
    sheet = _sheet({"family": family.id, "open": list(order)}, library)
    for slot in order[:-1]:
        sheet = OtherPart(slot, parts[slot]).on(sheet, family)
    (last,) = fits(sheet, library).slots
    choice = next(choice for choice in last.choices if choice.part == parts[order[-1]])
    whole = check(OtherPart(order[-1], parts[order[-1]]).on(sheet, family), library)
    assert choice.fit == FIT_OF[whole.verdict]
    return whole.verdict
