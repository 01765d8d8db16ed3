"""Builds as written, in YAML and in JSON."""

import pytest

from upfeed.knowledge.records import Acceptance
from upfeed.knowledge.sheet import read_sheet
from upfeed.reading.faults import DataFaults
from upfeed.reading.yamltree import read_json, read_yaml

TARN = "format: 1\nfamily: tarn-v8\n"


@pytest.fixture
def read(library):
    """Reads a build in YAML: its sheet and the faults."""

    def sheet(text):
        faults = []
        node = read_yaml(text, "b.yaml", "", faults)
        found = read_sheet(node, library.knowledge, library.vocabulary, faults)
        return found, faults

    return sheet


def test_a_build_may_name_nothing_but_its_family(read):
    sheet, faults = read(TARN)
    assert not faults
    assert (sheet.family, sheet.slots, sheet.settings, sheet.points, sheet.open) == (
        "tarn-v8",
        {},
        {},
        {},
        (),
    )


def test_everything_a_build_may_say(read):
    sheet, faults = read(
        TARN
        + "build: mine\nname: my engine\nas_of: 2026-11-01\nsettings: {preload: 30 thou}\n"
        + "points: {hot_idle: {speed: 700 rpm}}\nopen: [rocker]\n"
        + "slots:\n  lifter: BW-126\n  oil: {part: MO-020, name: thin oil, has: {viscosity_100: 8 cSt}}\n"
        + "  pushrod: [{at: all, part: PR-7}, {at: 3, part: PR-9}, {at: 3 intake, fill_from: PR-7, has: {}}]\n"
        + "accepts: [{finding: a@b, reason: r, by: me, until: 2027-01-01}]\n"
    )
    assert not faults
    assert (sheet.id, sheet.name, sheet.as_of, sheet.open) == ("mine", "my engine", "2026-11-01", ("rocker",))
    assert sheet.settings["preload"].magnitude == pytest.approx(0.762e-3)  # 30 times 25.4 um
    assert list(sheet.points) == ["hot_idle"]
    assert [(f.at, f.part, f.fill_from) for f in sheet.slots["pushrod"]] == [
        ("all", "PR-7", None),
        ("3", "PR-9", None),
        ("3 intake", None, "PR-7"),
    ]
    assert sheet.slots["oil"][0].name == "thin oil"
    assert sheet.accepts == (Acceptance("a@b", "r", "me", "2027-01-01", None, sheet.accepts[0].origin),)


def test_yaml_and_json_give_the_same_values_with_pointers_into_the_build(read, sheet_of):
    slots = {"lifter": {"part": "BW-118", "has": {"feed_hole": {"is": "0.06 in", "plus_minus": "1 thou"}}}}
    from_json = sheet_of(slots=slots)
    from_yaml, _ = read(
        TARN + "slots:\n  lifter: {part: BW-118, has: {feed_hole: {is: 0.06 in, plus_minus: 1 thou}}}\n"
    )
    one, other = (s.slots["lifter"][0].has["feed_hole"] for s in (from_json, from_yaml))
    assert one.magnitude == other.magnitude
    assert one.plus_minus == other.plus_minus
    assert one.origin.pointer == other.origin.pointer == "/slots/lifter/has/feed_hole"


def test_a_bare_cylinder_number_is_a_position(read):
    sheet, faults = read(TARN + "slots:\n  lifter: [{at: 3, part: BW-121}]\n")
    assert not faults
    assert sheet.slots["lifter"][0].at == "3"


def test_null_is_not_known_whether_a_part_or_the_reference_has_a_value(read):
    sheet, faults = read(
        TARN
        + "settings: {preload: null}\npoints: {hot_idle: {speed: }}\n"
        + "slots: {lifter: {part: BW-118, has: {feed_hole: ~}}}\n"
    )
    assert not faults
    assert sheet.unknown == {"settings": ("preload",), "hot_idle": ("speed",)}
    assert sheet.slots["lifter"][0].unknown == ("feed_hole",)


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("family: tarn-v8\n", 1, ["format", "nothing"]),
        ("format: 2\nfamily: tarn-v8\n", 1, ["format 2", "A newer upfeed reads it."]),
        ("format: 1\n", 1, ["family", "nothing"]),
        ("format: 1\nfamily: tarn-v9\n", 2, ['"tarn-v9"', "a known family", "Did you mean tarn-v8"]),
        (TARN + "slot: {}\n", 3, ["slot", "Did you mean slots?"]),
        (TARN + "build: my engine\n", 3, ["an id of letters"]),
        (TARN + "slots: [lifter]\n", 3, ["a list", "a mapping"]),
        (TARN + "slots: {lifterr: BW-118}\n", 3, ["a slot of this family", "Did you mean lifter?"]),
        (TARN + "slots: {lifter: BW-119}\n", 3, ['"BW-119"', "of kind lifter", "Did you mean", "BW-118"]),
        (TARN + 'slots: {lifter: "4118"}\n', 3, ['"4118"', "BW-118 is sold under that number."]),
        (TARN + "slots: {lifter: 4118}\n", 3, ["the number 4118", 'Put it in quotes: "4118".']),
        (TARN + "slots: {lifter: PR-7}\n", 3, ["PR-7 of kind pushrod", "a part of kind lifter"]),
        (TARN + "slots: {lifter: }\n", 3, ["slots, lifter", "nothing"]),
        (TARN + "slots: {lifter: {name: mine}}\n", 3, ["neither a part nor values"]),
        (
            TARN + "slots: {lifter: {at: all, part: BW-118}}\n",
            3,
            ["lifter, at", "part, name, has or fill_from"],
        ),
        (TARN + "slots:\n  lifter:\n  - {at: 9, part: BW-118}\n", 5, ['"9"', "a cylinder (1 to 8)"]),
        (TARN + "slots:\n  lifter:\n  - {at: 0, part: BW-118}\n", 5, ["at least 1"]),
        (TARN + "slots:\n  lifter:\n  - {at: intak, part: BW-118}\n", 5, ['"intak"', "intake, exhaust"]),
        (TARN + "slots:\n  oil:\n  - {at: 3, part: MO-020}\n", 5, ['"3"', "this engine: all."]),
        (TARN + "settings: {preload: 25}\n", 3, ["without a unit"]),
        (TARN + "settings: {prelod: 25 thou}\n", 3, ["Did you mean preload, preload_from"]),
        (
            TARN.replace("tarn-v8", "dunmere-six") + "settings: {preload: 25 thou}\n",
            3,
            ["25 thou, which does not count while preload_from is heights", "preload_from: set beside it"],
        ),
        (TARN + "points: {hot_idel: {}}\n", 3, ["Did you mean hot_idle?"]),
        (TARN + "points: {hot_idle: {speed: 700}}\n", 3, ["points, hot_idle, speed", "without a unit"]),
        (TARN + "open: [lifterr]\n", 3, ["a slot of this family", "Did you mean lifter?"]),
        (TARN + "open: lifter\n", 3, ["a list"]),
        (TARN + "open: [oil]\nslots: {oil: MO-020}\n", 3, ["oil, which `slots` fills", "not both"]),
        (TARN + "as_of: 2026-02-30\n", 3, ['"2026-02-30"', "a date as"]),
        (TARN + "as_of: tomorrow\n", 3, ["a date as"]),
    ],
)
def test_one_thing_wrong_is_one_fault_with_its_line(read, text, line, told):
    sheet, faults = read(text)
    assert sheet is None
    assert len(faults) == 1
    assert faults[0].origin.line == line
    for part in ["b.yaml", *told]:
        assert part in str(faults[0])


def test_two_parts_in_one_place_are_a_fault(read):
    _, faults = read(
        TARN + "slots:\n  lifter:\n  - {at: 3 intake, part: BW-118}\n  - {at: 3 intake, part: BW-121}\n"
    )
    assert [fault.origin.line for fault in faults] == [6]
    assert "a second lifter at 3 intake" in str(faults[0])


def test_acceptances_need_a_date_to_be_judged_on(read):
    _, faults = read(TARN + "accepts: [{finding: a@b, reason: r, by: me, until: 2027-01-01}]\n")
    assert len(faults) == 1
    assert "as_of" in str(faults[0])
    assert "Acceptances end on a date" in str(faults[0])


def test_an_acceptance_has_to_be_whole(read):
    _, faults = read(TARN + "as_of: 2026-11-01\naccepts: [{finding: a@b, untill: 2027-01-01}]\n")
    told = "\n".join(map(str, faults))
    assert len(faults) == 4
    for part in ["accepts 1, reason", "accepts 1, by", "accepts 1, until", "Did you mean until?"]:
        assert part in told


def test_a_wrong_date_is_one_fault_with_acceptances_too(read):
    _, faults = read(
        TARN + "as_of: 2026-13-01\naccepts: [{finding: a@b, reason: r, by: me, until: 2027-01-01}]\n"
    )
    assert len(faults) == 1


def test_all_faults_of_a_build_come_at_once_in_order_of_lines(library):
    text = (
        "format: 1\nfamily: tarn-v8\nslots:\n  lifter: PR-7\n  pushrodd: PR-7\n  oil: MO-53\n"
        "  rocker: {has: {pivott: ball, oil_hole: 0.045}}\nsettings: {preload: 25}\npoints: {hot_idel: {}}\n"
    )
    faults = []
    node = read_yaml(text, "b.yaml", "", faults)
    assert read_sheet(node, library.knowledge, library.vocabulary, faults) is None
    lines = [fault.origin.line for fault in DataFaults(faults).faults]
    assert lines == [4, 5, 6, 7, 7, 8, 9]


def test_faults_of_json_are_told_by_pointer(faults_of):
    told = faults_of(slots={"lifter": {"has": {"feed_hole": "0.052"}}})
    assert len(told) == 1
    assert told[0].startswith("at /slots/lifter/has/feed_hole, slots, lifter, has, feed_hole: found")


def test_a_document_that_is_no_mapping_is_a_fault(library):
    for node in (read_json("[1]", []), read_yaml("hello", "b.yaml", "", [])):
        faults = []
        assert read_sheet(node, library.knowledge, library.vocabulary, faults) is None
        assert "a mapping" in str(faults[0])
