"""The vocabulary as shipped, and everything that can be wrong with it."""

import itertools
import shutil
from pathlib import Path

import pytest

from upfeed.knowledge.vocabulary import AMBIENTS, goes_for
from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.physics.laws import LAWS
from upfeed.reading.faults import DataFaults

SHIPPED = Path(__file__).parents[2] / "shared" / "vocabulary"


@pytest.fixture
def changed(tmp_path):
    """Reads the shipped vocabulary with one text replaced: what is wrong with it."""

    def faults(file, old, new):
        folder = tmp_path / "shared" / "vocabulary"
        shutil.copytree(SHIPPED, folder)
        text = (folder / file).read_text()
        assert old in text
        (folder / file).write_text(text.replace(old, new, 1))
        with pytest.raises(DataFaults) as wrong:
            read_vocabulary(folder)
        return [str(fault) for fault in wrong.value.faults]

    return faults


def test_the_shipped_vocabulary_has_every_kind_of_the_trade(library):
    kinds = library.vocabulary.kinds
    assert set(kinds) >= {
        *("block", "camshaft", "lifter", "pushrod", "rocker", "rocker_shaft", "cylinder_head", "gasket"),
        *("oil_pump", "oil", "oil_pan", "restrictor", "points", "settings"),
    }
    assert list(library.vocabulary.points) == ["hot_idle", "cruise", "top_speed", "cold_start"]


def test_every_attribute_says_what_it_is_and_how_to_measure_it(library):
    for kind in library.vocabulary.kinds.values():
        for attribute in kind.attributes.values():
            assert attribute.definition
            assert attribute.how
            assert attribute.tool
            assert [attribute.quantity, attribute.choices, attribute.table].count(None) == 2


def test_ranges_are_ranges_and_the_usual_lies_in_the_possible(library):
    for kind in library.vocabulary.kinds.values():
        for attribute in kind.attributes.values():
            if attribute.quantity is None:
                continue
            low, high = attribute.possible
            least, most = attribute.usual
            assert low <= least <= most <= high
            assert low < high


def test_what_an_attribute_is_needed_for_are_choices_of_its_kind(library):
    for kind in library.vocabulary.kinds.values():
        for attribute in kind.attributes.values():
            if isinstance(attribute.needed, dict):
                for by, words in attribute.needed.items():
                    other, _, name = by.rpartition(".")
                    of = library.vocabulary.kinds[other] if other else kind
                    assert set(words) <= set(of.attributes[name].choices)


def split(names):
    return [name.rpartition(".")[::2] for name in names]


def test_every_passage_has_a_law_for_every_choice(library):
    for kind in library.vocabulary.kinds.values():
        for passage in kind.passages.values():
            kinds = library.vocabulary.kinds
            by = (
                ((slot and kinds[slot]) or kind).attributes[name].choices for slot, name in split(passage.by)
            )
            for chosen in itertools.product(*by):
                going = [law for law in passage.laws if goes_for(law, " ".join(chosen))]
                assert len(going) == 1
            assert all(binding.law in LAWS for binding in passage.laws.values())
            assert all(end in kind.ports or end in AMBIENTS for end in passage.between)


def test_an_inch_of_the_vocabulary_is_25_4_mm(library):
    feed_hole = library.vocabulary.kinds["lifter"].attributes["feed_hole"]
    assert feed_hole.usual == pytest.approx((0.040 * 25.4e-3, 0.070 * 25.4e-3))  # inch of 1959, exact
    assert feed_hole.possible == pytest.approx((0.3e-3, 4e-3))


@pytest.mark.parametrize(
    ("file", "old", "new", "told"),
    [
        ("lifter.yaml", "kind: lifter", "kind: lifters", ["lifter, the name of the file"]),
        ("lifter.yaml", "format: 1", "format: 3", ["format 3"]),
        (
            "lifter.yaml",
            "definition: diameter of the drilled",
            "definitio: diameter of",
            ["Did you mean definition?"],
        ),
        ("lifter.yaml", "quantity: length", "quantity: lenght", ["Did you mean length?"]),
        ("lifter.yaml", "possible: [0.3 mm, 4 mm]", "possible: [0.3 mm]", ["no pair of ends"]),
        ("lifter.yaml", "possible: [0.3 mm, 4 mm]", "possible: [0.3 psi, 4 mm]", ["a pressure"]),
        ("lifter.yaml", "between: [feed, body]", "between: [feet, body]", ["Did you mean feed?"]),
        ("lifter.yaml", "between: [feed, body]", "between: [feed]", ["1 ends"]),
        ("lifter.yaml", "law: hole", "law: whole", ["Did you mean hole?"]),
        (
            "lifter.yaml",
            "{diameter: feed_hole, length: wall}",
            "{diameter: feed_hole}",
            ["what the law hole takes"],
        ),
        (
            "lifter.yaml",
            "{diameter: feed_hole, length: wall}",
            "{diameter: feed_hol, length: wall}",
            ["unknown"],
        ),
        (
            "lifter.yaml",
            "{diameter: feed_hole, length: wall}",
            "{diameter: notch_area, length: wall}",
            ["`notch_area` (area)", "a length"],
        ),
        ("lifter.yaml", "foot: turn.foot", "foot: feed_hole", ["`feed_hole` (length)", "a turn"]),
        ("facts.yaml", "scope: engine", "scope: engin", ["Did you mean engine?"]),
        ("facts.yaml", "quantity: pressure", "quantity: presure", ["Did you mean pressure?"]),
        (
            "facts.yaml",
            "gasket.drains_masked\n",
            "gasket.drains_maskd\n",
            ['"gasket.drains_maskd"', "do without"],
        ),
        ("facts.yaml", "gasket.drains_masked\n", "gasket.thickness\n", ['"gasket.thickness"', "do without"]),
        ("lifter.yaml", "by: metering", "by: meterin", ['by "meterin"', "an attribute with choices"]),
        (
            "lifter.yaml",
            "by: block.lifter_bores",
            "by: block.lifter_bore",
            ['by "block.lifter_bore"', "an attribute with choices"],
        ),
        ("lifter.yaml", "      plain waisted: {", "      plain: {", ["plain full one, ", "one for each of"]),
        (
            "block.yaml",
            "  window_height: {by: lifter_bores,",
            "  window_height: {by: lifter_bore,",
            ['by "lifter_bore"', "an attribute with choices"],
        ),
        (
            "block.yaml",
            "of: {plain: gallery_height, bushed: bush_hole_height,",
            "of: {plain: gallery_height,",
            ["of plain or bush_undrilled", "one for each of plain, bushed or bush_undrilled"],
        ),
        (
            "block.yaml",
            "of: {plain: gallery_height, bushed: bush_hole_height,",
            "of: {plain: gallery_height, bushed: main_count,",
            ["attributes of one quantity"],
        ),
        (
            "lifter.yaml",
            "      blind: {law: shut}\n",
            "",
            ["one for each of disc, clearance, orifice, blind or from_above"],
        ),
        (
            "block.yaml",
            "between: [main_gallery, gallery_feed]",
            "between: [main_gallery, crankcase]",
            ["gallery_restrictor", "the law clear", "in a row with it"],
        ),
        ("block.yaml", "count: main_count", "count: main_journal", ["an attribute that is a count"]),
        ("lifter.yaml", "needed: {metering: [disc]}", "needed: {metering: [disk]}", ["metering: disk"]),
        ("lifter.yaml", "kept_full: [body, well]", "kept_full: [bdy]", ['"bdy"', "Did you mean body?"]),
        ("camshaft.yaml", "base_circle: base_circle_radius", "base_circle: base_circle", ['"base_circle"']),
        ("camshaft.yaml", "table: intake_table", "table: intake_lift", ["a table of an angle and a length"]),
        ("camshaft.yaml", "{card: {lift: intake_lift, ", "{card: {", ["lift, low_lift, low_duration"]),
        ("camshaft.yaml", "lobes_from: lobes_from", "lobes_from: ground_for", ["the choices card and table"]),
        (
            "camshaft.yaml",
            "{name: angle, quantity: angle,",
            "{name: angle, quantity: angel,",
            ["Did you mean angle?"],
        ),
        (
            "camshaft.yaml",
            "      - {name: angle, quantity: angle, shown_in: deg, possible: [-360 deg, 360 deg]}\n",
            "",
            ["1 columns", "two columns"],
        ),
        ("camshaft.yaml", "possible: [-360 deg, 360 deg]", "possible: [-360 deg]", ["no pair of ends"]),
        ("lifter.yaml", "flow: bench_flow", "flow: bench_pressure", ["an attribute that is a flow"]),
        (
            "lifter.yaml",
            "{temperature: bench_temperature, viscosity_40",
            "{warmth: bench_temperature, viscosity_40",
            ["temperature, viscosity_40, viscosity_100, density_15"],
        ),
        ("lifter.yaml", "rest: [feed_hole, cup_hole]", "rest: [feed_hle]", ['"feed_hle"', "a passage"]),
        ("lifter.yaml", "rest: [feed_hole, cup_hole]", "rest: [feed_hole, window]", ["sizes of this part"]),
        ("lifter.yaml", "tells: {disc: notch_area,", "tells: {disk: notch_area,", ["a choice of metering"]),
        ("lifter.yaml", "tells: {disc: notch_area,", "tells: {disc: disc_rise,", ["the law opening takes"]),
        ("lifter.yaml", "takes: {area: notch_area, length: 0.0}", "takes: {area: wall}", ["or numbers"]),
        (
            "lifter.yaml",
            "  held: {disc: {law: opening, takes: {area: notch_area, length: 0.0}}}\n",
            "",
            ["the law notched_disc", "sizes of this part"],
        ),
        ("settings.yaml", "cold: preload", "cold: prelod", ['"prelod"']),
        ("settings.yaml", "warms_to: block_temperature", "warms_to: block_heat", ['"points.block_heat"']),
        ("lifter.yaml", "fills: inner_volume", "fills: wall", ["an attribute that is a volume"]),
        ("oil_pump.yaml", "fills: filter_volume", "fills: filter", ["an attribute that is a volume"]),
        ("camshaft.yaml", "after: intake_centre", "after: intake_lift", ["an attribute that is an angle"]),
        ("camshaft.yaml", "after: intake_centre", "behind: intake_centre", ["after or before"]),
        (
            "block.yaml",
            "opens_at: head_feed_opens_at",
            "opens_at: bleed_length",
            ["an attribute that is an angle"],
        ),
        ("oil.yaml", "attributes:", "attributes:\n  - x\nattribute:", ["attribute"]),
    ],
)
def test_what_is_wrong_is_told(changed, file, old, new, told):
    found = changed(file, old, new)
    for part in ["shared/vocabulary/", *told]:
        assert any(part in line for line in found)


def test_faults_of_several_files_come_at_once(tmp_path):
    folder = tmp_path / "shared" / "vocabulary"
    shutil.copytree(SHIPPED, folder)
    for name in ("lifter.yaml", "rocker.yaml"):
        (folder / name).write_text((folder / name).read_text().replace("format: 1", "format: 3"))
    with pytest.raises(DataFaults) as wrong:
        read_vocabulary(folder)
    assert {fault.origin.file for fault in wrong.value.faults} == {
        "shared/vocabulary/lifter.yaml",
        "shared/vocabulary/rocker.yaml",
    }
