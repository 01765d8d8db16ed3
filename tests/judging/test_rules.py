from pathlib import Path

import pytest

from upfeed.judging.rulefolder import load_rules
from upfeed.knowledge.load import Layer
from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.reading.faults import DataFaults

TOP = Path(__file__).parents[2]
VOCABULARY = read_vocabulary(TOP / "shared" / "vocabulary")
SOURCES = ["common-practice", "bench-book"]

LIMITS = """\
format: 1
limits:
  area_ratio: {is: 1.25, means: area from which somebody asks, source: common-practice}
  lost: {is: 5 psi, quantity: pressure, means: pressure lost, source: common-practice}
"""
LINE = "- area_ratio >= limits.area_ratio"
RULE = """\
format: 1
rule: hole-too-large
area: lifter
walks: gallery > lifter > pushrod
weighs: caution
about: [lifter.feed_hole]
why: A wider way up takes a larger share.
let:
  area_ratio: {is: area(lifter.feed_hole) / area(reference.lifter.feed_hole), show: 2}
when:
  all:
    - area_ratio >= limits.area_ratio
    - none:
        - lifter.metering == "blind"
says: >-
  {lifter.name} feeds through {lifter.feed_hole}: {area_ratio} times the area, more than {limits.area_ratio}.
mend: [{do: fit a restrictor, tries: restrictor}, {do: set preload, tries: preload}, {do: measure it again}]
known_limits: Sees the hole alone.
sources: [common-practice]
"""
CASES = """\
format: 1
cases:
  - case: wide hole
    expect: fires
    facts:
      {lifter.feed_hole: 0.066 in, reference.lifter.feed_hole: 0.052 in, lifter.metering: disc,
       lifter.name: B}
    says: "B feeds through 0.066 in: 1.6 times the area, more than 1.25."
  - case: same hole
    expect: quiet
    facts: {lifter.feed_hole: 0.052 in, reference.lifter.feed_hole: 0.052 in, lifter.metering: disc}
  - case: not measured
    expect: unknown
    facts: {lifter.feed_hole: null, reference.lifter.feed_hole: 0.052 in, lifter.metering: disc}
    blocked_by: [lifter.feed_hole]
builds: [{build: reference, expect: quiet}]
"""


def write(folder, *, limits=LIMITS, rule=RULE, cases=CASES, area="lifter", id_="hole-too-large"):
    own = folder / area / id_
    own.mkdir(parents=True, exist_ok=True)
    for path, text in (
        (folder / area / "limits.yaml", limits),
        (own / "rule.yaml", rule),
        (own / "cases.yaml", cases),
    ):
        if text is not None:
            path.write_text(text, encoding="utf-8")
    return folder


def load(*folders):
    layers = [Layer(f"layer {place}", folder) for place, folder in enumerate(folders, 1)]
    return load_rules(layers, VOCABULARY, SOURCES)


def faults(*folders):
    with pytest.raises(DataFaults) as caught:
        load(*folders)
    return caught.value.faults


def fault(folder, **changed):
    (only,) = faults(write(folder / "rules", **changed))
    return only


def changed(text, old, new):
    assert old in text
    return text.replace(old, new)


def test_a_rule_is_read_with_everything_it_says(tmp_path):
    rule = load(write(tmp_path / "rules")).rules["hole-too-large"]
    assert (rule.area, rule.weighs, rule.walks) == ("lifter", "caution", (("gallery", "lifter", "pushrod"),))
    assert rule.reads == {"lifter.feed_hole", "reference.lifter.feed_hole", "lifter.metering", "lifter.name"}
    assert [mend.tries for mend in rule.mend] == ["restrictor", "preload", None]
    assert {name: limit.value for name, limit in rule.limits.items()} == {"limits.area_ratio": 1.25}
    assert rule.limits["limits.area_ratio"].origin.line == 3
    assert (rule.origin.layer, rule.origin.file) == ("layer 1", "rules/lifter/hole-too-large/rule.yaml")
    assert rule.lets[0].shown.digits == 2
    wide, same, unmeasured = rule.cases
    assert wide.facts["lifter.feed_hole"] == pytest.approx(0.066 * 0.0254, rel=1e-15)  # an inch is 25.4 mm
    assert same.says is None
    assert unmeasured.facts["lifter.feed_hole"] is None
    assert unmeasured.blocked_by == ("lifter.feed_hole",)
    assert [(build.build, build.expect) for build in rule.builds] == [("reference", "quiet")]


def test_limits_are_si_inside_and_shown_as_they_were_written(tmp_path):
    when = changed(RULE, '- lifter.metering == "blind"', "- gallery_pressure.hot_idle < limits.lost")
    when = changed(when, "more than {limits.area_ratio}", "under {limits.lost}")
    cases = changed(CASES, "lifter.metering: disc", "gallery_pressure.hot_idle: 28 psi")
    limit = (
        load(write(tmp_path / "rules", rule=when, cases=cases)).rules["hole-too-large"].limits["limits.lost"]
    )
    assert limit.value == pytest.approx(5 * 6894.757, rel=1e-6)  # psi in Pa: NIST SP 811, from memory
    assert limit.shown.shown_in == "psi"


def test_one_comparison_needs_no_group(tmp_path):
    start, end = RULE.index("when:"), RULE.index("says:")
    rule = RULE[:start] + "when: area_ratio >= limits.area_ratio\n" + RULE[end:]
    cases = changed(CASES, ", lifter.metering: disc", "")
    assert load(write(tmp_path / "rules", rule=rule, cases=cases)).rules["hole-too-large"].when.names == {
        "area_ratio",
        "limits.area_ratio",
    }


def test_calculations_may_use_those_above_them(tmp_path):
    more = changed(RULE, "when:\n", "  doubled: {is: 2 * area_ratio}\nwhen:\n")
    rule = load(write(tmp_path / "rules", rule=more)).rules["hole-too-large"]
    assert [let.name for let in rule.lets] == ["area_ratio", "doubled"]
    assert "area_ratio" not in rule.reads


def test_a_calculation_is_shown_in_the_unit_of_what_it_reads(tmp_path):
    more = changed(RULE, "when:\n", "  gone: {is: hot_preload.cruise - hot_preload.hot_idle}\nwhen:\n")
    rule = load(write(tmp_path / "rules", rule=more)).rules["hole-too-large"]
    assert rule.lets[1].shown.shown_in == "thou"


def test_a_later_layer_overrides_limits_and_rules_by_name(tmp_path):
    base = write(tmp_path / "base")
    lighter = write(tmp_path / "shop", limits=None, rule=changed(RULE, "weighs: caution", "weighs: note"))
    other = "format: 1\nlimits:\n  area_ratio: {is: 2, means: mine, source: bench-book}\n"
    (tmp_path / "mine" / "lifter").mkdir(parents=True)
    (tmp_path / "mine" / "lifter" / "limits.yaml").write_text(other)
    rule = load(base, lighter, tmp_path / "mine").rules["hole-too-large"]
    assert (rule.weighs, rule.origin.layer) == ("note", "layer 2")
    assert (rule.limits["limits.area_ratio"].value, rule.limits["limits.area_ratio"].origin.layer) == (
        2.0,
        "layer 3",
    )


def test_the_digest_follows_the_bytes_and_not_the_folder(tmp_path):
    one, same = write(tmp_path / "a" / "rules"), write(tmp_path / "b" / "rules")
    other = write(tmp_path / "c" / "rules", limits=changed(LIMITS, "1.25", "1.5"))
    assert load(one).digest == load(same).digest != load(other).digest


def test_a_rule_may_name_several_stretches(tmp_path):
    several = changed(
        RULE, "walks: gallery > lifter > pushrod", "walks: [gallery > lifter, pushrod > lifter]"
    )
    rule = load(write(tmp_path / "rules", rule=several)).rules["hole-too-large"]
    assert rule.walks == (("gallery", "lifter"), ("pushrod", "lifter"))


@pytest.mark.parametrize(
    ("old", "new", "line", "found"),
    [
        ("weighs: caution", "weighs: warning", 5, '"warning"'),
        ("weighs: caution\n", "", 1, "nothing"),
        ("rule: hole-too-large", "rule: hole-to-large", 2, '"hole-to-large"'),
        ("area: lifter", "area: pushrod", 3, '"pushrod"'),
        ("walks: gallery > lifter", "walks: gallery > lifters", 4, 'the unknown slot "lifters"'),
        ("walks: gallery > lifter", "walks: [rocker, gallery > lifters]\n#", 4, 'the unknown slot "lifters"'),
        ("walks: gallery > lifter", "walks: []\n#", 4, "no stretch"),
        ("about: [lifter.feed_hole]", "about: [lifter.feed_hle]", 6, '"lifter.feed_hle"'),
        ("about: [lifter.feed_hole]", "about: [ways_up]", 6, '"ways_up"'),
        ("about: [lifter.feed_hole]", "abuot: [lifter.feed_hole]", 6, 'the unknown key "abuot"'),
        ("format: 1", "format: 2", 1, "format 2"),
        ("why: A wider way up takes a larger share.\n", "", 1, "nothing"),
        (LINE, "- area_ratio >= limits.area_rato", 12, "unknown name limits.area_rato"),
        (LINE, "- area_ratio >= limits.lost", 12, "a bare number against a pressure"),
        (LINE, "- lifter.feed_hole >= 1.3", 12, "a length against a bare number"),
        ('lifter.metering == "blind"', 'lifter.metering == "blnd"', 14, 'the unknown choice "blnd"'),
        (LINE, "- 3", 12, "the number 3"),
        ("    - none:", "    - nor:", 13, 'the unknown key "nor"'),
        (
            "    - none:\n        - lifter",
            "    - none: []\n    - any:\n        - lifter",
            13,
            "an empty list",
        ),
        ("  all:\n", "  any: []\n  all:\n", 11, "2 keys"),
        ("area(lifter.feed_hole) /", "area(lifter.notch_area) /", 9, "area of an area"),
        ("{lifter.name} feeds", "{lifter.nam} feeds", 15, "{lifter.nam}"),
        ("{lifter.name} feeds", "{lifter.name:>9} feeds", 15, "{lifter.name:>9}"),
        ("tries: restrictor", "tries: restrictr", 17, '"restrictr"'),
        ("sources: [common-practice]", "sources: [hearsay]", 19, '"hearsay"'),
        ("sources: [common-practice]", "sources: []", 19, "no source"),
        ("known_limits: Sees the hole alone.\n", "", 1, "nothing"),
        ("weighs: caution", "weighs: caution\nworst: {least: area_ration}", 6, '"area_ration"'),
        ("weighs: caution", "weighs: caution\nworst: {}", 6, "neither"),
        ("weighs: caution", "weighs: caution\nworst: {least: area_ratio, most: area_ratio}", 6, "both"),
        ("weighs: caution", "weighs: caution\nexplains: [no-such-rule]", 1, '"no-such-rule"'),
        ("weighs: caution", "weighs: caution\nexplains: [hole-too-large]", 1, "explains itself"),
    ],
)
def test_what_is_wrong_with_a_rule_is_told_with_its_line(tmp_path, old, new, line, found):
    told = fault(tmp_path, rule=changed(RULE, old, new))
    assert found in told.found
    assert (told.origin.file, told.origin.line) == ("rules/lifter/hole-too-large/rule.yaml", line)
    assert told.expected


def test_a_rule_that_reads_what_draws_tell_may_only_be_a_note(tmp_path):
    line = "- verdict_holds_in < limits.area_ratio"
    told = fault(tmp_path / "caution", rule=changed(RULE, LINE, line))
    assert told.found == "caution"
    assert "draws" in told.expected
    note = changed(changed(RULE, LINE, line), "weighs: caution", "weighs: note")
    files = write(
        tmp_path / "note",
        rule=note,
        cases=changed(
            CASES, "feed_hole: 0.052 in, reference", "feed_hole: 0.052 in, verdict_holds_in: 200 %, reference"
        ),
    )
    assert load(files).rules["hole-too-large"].of_draws
    assert not load(write(tmp_path / "plain")).rules["hole-too-large"].of_draws


def test_a_mistake_in_a_line_is_marked_with_carets(tmp_path):
    told = fault(tmp_path, rule=changed(RULE, 'lifter.metering == "blind"', 'lifter.metering == "blnd"'))
    where, line, carets = str(told).splitlines()
    assert where == (
        "rules/lifter/hole-too-large/rule.yaml, line 14, rule hole-too-large, when, all, none: "
        'found the unknown choice "blnd"; expected one of blind, clearance, disc, from_above, orifice. '
        "Did you mean blind?"
    )
    assert line == '    lifter.metering == "blnd"'
    assert carets == "                       ^^^^^^"


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ("  - case: same hole\n    expect: quiet", "  - case: same hole\n    expect: calm", '"calm"'),
        ("lifter.feed_hole: 0.066 in", "lifter.feed_hle: 0.066 in", 'the name "lifter.feed_hle"'),
        ("lifter.feed_hole: 0.066 in", "lifter.feed_hole: 0.066 psi", '"0.066 psi"'),
        ("lifter.feed_hole: 0.066 in", "lifter.feed_hole: 0.066", '"0.066"'),
        ("lifter.feed_hole: 0.066 in", "lifter.feed_hole: [0.066 in]", "a list"),
        ("lifter.metering: disc,\n", "lifter.metering: disk,\n", '"disk"'),
        ("blocked_by: [lifter.feed_hole]", "blocked_by: [lifter.wall]", 'the name "lifter.wall"'),
        ("    blocked_by: [lifter.feed_hole]\n", "", "0 names"),
        ("build: reference, expect: quiet", "build: reference, expect: calm", '"calm"'),
        ('    says: "B feeds through 0.066 in: 1.6 times the area, more than 1.25."\n', "", "no sentence"),
    ],
)
def test_what_is_wrong_with_a_case_is_told(tmp_path, old, new, found):
    told = faults(write(tmp_path / "rules", cases=changed(CASES, old, new)))
    assert any(found in one.found for one in told)
    assert {one.origin.file for one in told} == {"rules/lifter/hole-too-large/cases.yaml"}


def test_a_calculation_may_be_of_what_has_no_name_of_its_own(tmp_path):
    """A length to the fifth is no quantity that anybody measures; it may be compared, and not said."""
    odd = changed(
        RULE, "when:\n", "  odd: {is: lifter.notch_area * lifter.notch_area * lifter.feed_hole}\nwhen:\n"
    )
    shown = load(write(tmp_path / "rules", rule=odd)).rules["hole-too-large"].lets[1].shown
    assert (shown.quantity, shown.shown_in) == (None, "")


def test_a_misspelt_end_beside_the_worst_is_told(tmp_path):
    worst = changed(RULE, "weighs: caution", "weighs: caution\nworst: {least: area_ratio, mots: area_ratio}")
    assert fault(tmp_path, rule=worst).found == 'the unknown key "mots"'


def test_a_file_that_cannot_be_read_is_told(tmp_path):
    folder = write(tmp_path / "rules")
    (folder / "lifter" / "limits.yaml").unlink()
    (folder / "lifter" / "limits.yaml").symlink_to(tmp_path / "nowhere.yaml")
    assert any(one.found.startswith("an unreadable file") for one in faults(folder))


def test_a_key_that_cases_do_not_have_is_told(tmp_path):
    told = faults(write(tmp_path / "rules", cases=changed(CASES, "builds:", "bulds:")))
    assert 'the unknown key "bulds"' in [one.found for one in told]


def test_a_name_takes_text_and_no_number(tmp_path):
    told = faults(write(tmp_path / "rules", cases=changed(CASES, "lifter.name: B", "lifter.name: 12")))
    assert [one.expected for one in told if "lifter.name" in one.path] == ["text"]


def test_a_case_may_tell_nothing_at_all(tmp_path):
    bare = changed(
        CASES,
        "    facts: {lifter.feed_hole: null, reference.lifter.feed_hole: 0.052 in, lifter.metering: disc}\n",
        "",
    )
    assert load(write(tmp_path / "rules", cases=bare)).rules["hole-too-large"].cases[2].facts == {}


def test_a_limit_is_shown_in_its_own_unit_whichever_is_longer_to_write(tmp_path):
    """A thou is longer to write than a millimetre."""
    limits = LIMITS + "  far: {is: 4 mm, quantity: length, means: far off, source: common-practice}\n"
    rule = changed(RULE, LINE, f"{LINE}\n    - lifter.feed_hole < limits.far")
    loaded = load(write(tmp_path / "rules", limits=limits, rule=rule))
    assert loaded.rules["hole-too-large"].limits["limits.far"].shown.shown_in == "mm"


def test_a_mistake_in_a_sentence_is_told_without_the_sentence(tmp_path):
    """A sentence runs over several lines, so that carets under it would point nowhere."""
    told = fault(tmp_path, rule=changed(RULE, "{lifter.name} feeds", "{lifter.nam} feeds"))
    assert "^" not in str(told)
    assert len(str(told).splitlines()) == 1


@pytest.mark.parametrize("outcome", ["fires", "quiet", "unknown"])
def test_a_rule_without_a_case_of_each_outcome_does_not_load(tmp_path, outcome):
    head, *cases = CASES.partition("builds")[0].split("  - ")
    left = [case for case in cases if f"expect: {outcome}" not in case]
    assert len(left) == 2
    assert (
        fault(tmp_path, cases=head + "".join(f"  - {case}" for case in left)).found
        == f"no case that expects {outcome}"
    )


@pytest.mark.parametrize("missing", ["rule", "cases"])
def test_rule_and_cases_come_together(tmp_path, missing):
    assert fault(tmp_path, **{missing: None}).found == f"no {missing}.yaml"


@pytest.mark.parametrize(
    ("old", "new", "line", "found"),
    [
        ("is: 1.25", "is: 1.25 in", 3, '"1.25 in"'),
        ("is: 5 psi", "is: 5 mm", 4, '"5 mm"'),
        ("is: 5 psi", "is: 5", 4, '"5"'),
        ("is: 5 psi", "is: null", 4, "nothing"),
        ("quantity: pressure", "quantity: presure", 4, '"presure"'),
        ("means: pressure lost, ", "", 4, "nothing"),
        ("lost, source: common-practice", "lost, source: hearsay", 4, 'the unknown source "hearsay"'),
        ("means: pressure", "meaning: pressure", 4, 'the unknown key "meaning"'),
    ],
)
def test_what_is_wrong_with_a_limit_is_told(tmp_path, old, new, line, found):
    told = faults(write(tmp_path / "rules", limits=changed(LIMITS, old, new)))
    assert any(found in one.found and one.origin.line == line for one in told)


def test_all_faults_of_all_files_come_at_once(tmp_path):
    folder = write(tmp_path / "rules", rule=changed(RULE, "weighs: caution", "weighs: warning"))
    write(folder, area="pushrod", id_="other", limits="format: 3\nlimits: {}\n")
    (folder / "lifter" / "hole-too-large" / "notes.txt").write_text("")
    found = [(one.origin.file, one.found) for one in faults(folder)]
    assert ("rules/lifter/hole-too-large/rule.yaml", '"warning"') in found
    assert ("rules/lifter/hole-too-large/notes.txt", "a file that holds no rules") in found
    assert ("rules/pushrod/limits.yaml", "format 3") in found
    assert ("rules/pushrod/other/rule.yaml", '"hole-too-large"') in found


def test_two_areas_cannot_share_a_rule_id(tmp_path):
    folder = write(tmp_path / "rules")
    write(folder, area="pushrod", rule=changed(RULE, "area: lifter", "area: pushrod"))
    (only,) = faults(folder)
    assert only.found == "an id that a rule of lifter has"


def test_a_missing_folder_is_told(tmp_path):
    (only,) = faults(tmp_path / "nowhere")
    assert only.found == "no such folder"


def test_rules_that_explain_each_other_are_refused(tmp_path):
    folder = write(
        tmp_path / "rules", rule=changed(RULE, "weighs: caution", "weighs: caution\nexplains: [other]")
    )
    other = changed(RULE, "rule: hole-too-large", "rule: other\nexplains: [hole-too-large]")
    write(folder, rule=other, id_="other")
    assert {one.found for one in faults(folder)} == {"a rule that in the end explains itself"}


def test_layers_of_the_same_name_stay_apart(tmp_path):
    base = write(tmp_path / "one" / "rules")
    lighter = write(
        tmp_path / "two" / "rules", limits=None, rule=changed(RULE, "weighs: caution", "weighs: note")
    )
    layers = [Layer("rules", base), Layer("rules", lighter)]
    assert load_rules(layers, VOCABULARY, SOURCES).rules["hole-too-large"].weighs == "note"


def test_a_wrong_calculation_is_told_once(tmp_path):
    told = fault(tmp_path, rule=changed(RULE, "area(lifter.feed_hole) /", "area(lifter.feed_hle) /"))
    assert told.origin.line == 9


@pytest.mark.parametrize(
    "broken", ["null", "[]", "{}", "3", "true", "[null]", "{is: null}", "- x", "'{'", "µ"]
)
@pytest.mark.parametrize(("file", "text"), [("limits", LIMITS), ("rule", RULE), ("cases", CASES)])
def test_a_value_gone_wrong_is_at_most_a_data_fault(tmp_path, file, text, broken):
    lines = text.splitlines()
    keyed = [at for at, line in enumerate(lines) if ":" in line]
    refused = 0
    for at in keyed:
        wrong = [*lines[:at], f"{lines[at].partition(':')[0]}: {broken}", *lines[at + 1 :]]
        try:
            load(write(tmp_path / str(at) / "rules", **{file: "\n".join(wrong)}))
        except DataFaults as fault:
            refused += bool(str(fault))
    assert refused > len(keyed) / 2  # explanations, such as `why: µ`, may well be other words


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        (f'when:\n  all:\n    {LINE}\n    - none:\n        - lifter.metering == "blind"\n', "", "nothing"),
        ("  area_ratio: {is", "  areaRatio: {is", 'the name "areaRatio"'),
        ("  area_ratio: {is", "  ways_up: {is", 'the name "ways_up"'),
        ("is: area(lifter.feed_hole) / area(reference.lifter.feed_hole), ", "", "nothing"),
        ("show: 2", "show: 0", '"0"'),
        (f"    {LINE}\n", "    - [ways_up > 1]\n", "a list"),
        (f"    {LINE}\n    - none:", "    none:", "a mapping"),
    ],
)
def test_lines_are_told_when_they_are_no_lines(tmp_path, old, new, found):
    told = faults(write(tmp_path / "rules", rule=changed(RULE, old, new)))
    assert any(found in one.found for one in told)
