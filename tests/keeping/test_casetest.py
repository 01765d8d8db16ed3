"""Rules are put to their cases: every case that comes out otherwise is told, with what was found and expected."""

import shutil

import pytest

from upfeed.keeping.casetest import put_to_cases
from upfeed.reading.folders import data_folder


def test_every_case_of_the_base_comes_out_as_written(library):
    assert list(map(str, put_to_cases(library.rulebook.rules.values()))) == []


@pytest.fixture
def shop(tmp_path):
    """A shop's own folder with one rule of the base in it, to be changed."""
    folder = tmp_path / "rules" / "lifter"
    shutil.copytree(
        data_folder("rules") / "lifter" / "blind-lifter-ends-the-way", folder / "blind-lifter-ends-the-way"
    )
    return tmp_path / "rules"


@pytest.mark.parametrize(
    ("file", "was", "now", "told"),
    [
        ("cases.yaml", "has no hole for the pushrod, and", "has a hole, and", "has no hole for the pushrod"),
        ("cases.yaml", "ways_up: 0", "ways_up: 1", "found that it stays quiet; expected that it fires"),
        (
            "cases.yaml",
            "[lifter.metering, ways_up]",
            "[ways_up]",
            "waits for lifter.metering, ways_up; expected ways_up",
        ),
        ("rule.yaml", "ways_up == 0", "ways_up == 1", "found that it fires; expected that it stays quiet"),
        (
            "cases.yaml",
            "{build: reference, expect: quiet}",
            "{build: reference, expect: fires}",
            "build reference",
        ),
    ],
)
def test_a_case_that_comes_out_otherwise_is_told_at_its_line(upfeed, shop, file, was, now, told):
    path = shop / "lifter" / "blind-lifter-ends-the-way" / file
    text = path.read_text()
    assert was in text
    path.write_text(text.replace(was, now, 1))
    result = upfeed("rules", "test", shop)
    assert result.code == 1
    assert told in result.out.decode()
    assert "cases.yaml, line" in result.out.decode()


def test_rules_in_order_are_counted_and_those_that_do_not_load_are_errors(upfeed, shop):
    result = upfeed("rules", "test", shop)
    assert (result.code, result.out) == (0, b"rules: 1, cases: 4, otherwise than written: 0\n")
    (shop / "lifter" / "blind-lifter-ends-the-way" / "cases.yaml").unlink()
    assert upfeed("rules", "test", shop).code == 2


@pytest.mark.parametrize(
    "about", ["lifter.feed_hole", "lifter.metering", "camshaft.intake_lift", "oil.viscosity_100"]
)
def test_a_rule_begun_with_the_command_loads_and_agrees(upfeed, tmp_path, about):
    assert (
        upfeed("rules", "add", "lifter/another-size", "--about", about, "--into", tmp_path / "own").code == 0
    )
    assert upfeed("rules", "test", tmp_path / "own").code == 0


@pytest.mark.parametrize(
    ("rule", "about", "told"),
    [
        ("lifter/another size", "lifter.feed_hole", "area/rule"),
        ("another-size", "lifter.feed_hole", "area/rule"),
        ("lifter/blind-lifter-ends-the-way", "lifter.feed_hole", "which is there already"),
        ("lifter/another-size", "lifter.feed_hol", "Did you mean lifter.feed_hole"),
        ("camshaft/another-table", "camshaft.intake_table", "kind.attribute"),
    ],
)
def test_a_rule_that_cannot_be_begun_leaves_nothing_behind(upfeed, tmp_path, rule, about, told):
    result = upfeed("rules", "add", rule, "--about", about, "--into", tmp_path / "own")
    assert result.code == 2
    assert told in result.err
    assert not (tmp_path / "own").exists()
