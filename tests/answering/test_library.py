"""Everything opened at once, with a shop's own folders over the base."""

import shutil
from pathlib import Path

import pytest

from upfeed.answering.check import check
from upfeed.answering.library import open_library
from upfeed.reading.faults import DataFaults
from upfeed.reading.folders import data_folder

TOP = Path(__file__).parents[2]
ROD = (
    "format: 1\nparts:\n  - {{part: {id}, kind: pushrod, name: shop rod, maker: Shop, has: {{material: steel,"
    " drilled: drilled, bore: {bore}, length: 7.800 in, tip_hole: 0.095 in, ball_diameter: 5/16 in}}}}\n"
)


@pytest.fixture
def folder(tmp_path):
    def made(name, files):
        for file, text in files.items():
            (tmp_path / name / file).parent.mkdir(parents=True, exist_ok=True)
            (tmp_path / name / file).write_text(text, encoding="utf-8")
        return tmp_path / name

    return made


def test_the_shipped_library_opens_and_every_reference_is_whole(library):
    assert library.knowledge.families
    assert library.rulebook.rules
    assert library.vocabulary.kinds


def test_the_data_of_a_checkout_is_found():
    assert data_folder("kb") == TOP / "kb"
    with pytest.raises(FileNotFoundError, match="no nothing folder"):
        data_folder("nothing")


def test_a_shops_part_takes_the_place_of_the_bases_and_says_where_it_is_written(folder, sheet_of, library):
    shop = folder("shop", {"rods.yaml": ROD.format(id="PR-7", bore="0.05 in")})
    over = open_library(kb=[shop])
    bore = over.knowledge.parts["PR-7"].has["bore"]
    assert (bore.written, bore.origin.layer, bore.origin.file, bore.origin.line) == (
        "0.05 in",
        "shop",
        "shop/rods.yaml",
        3,
    )
    rungs = [
        next(r for r in check(sheet_of(), of).path if r.place == "pushrod.bore") for of in (library, over)
    ]
    base, narrow = (rung.share_of_drop.build for rung in rungs)
    assert narrow > 5 * base


def test_the_later_of_two_layers_of_one_name_wins_and_both_can_be_told_apart(folder):
    one = folder("one/kb", {"rods.yaml": ROD.format(id="PR-7", bore="0.05 in")})
    two = folder("two/kb", {"rods.yaml": ROD.format(id="PR-7", bore="0.06 in")})
    known = [open_library(kb=order).knowledge.parts["PR-7"].has["bore"] for order in ([one, two], [two, one])]
    assert [bore.written for bore in known] == ["0.06 in", "0.05 in"]
    assert [bore.origin.layer for bore in known] == ["kb 2", "kb 2"]


def test_a_layer_called_base_is_not_taken_for_the_base(folder):
    base = folder("base", {"rods.yaml": ROD.format(id="PR-7", bore="0.05 in")})
    assert open_library(kb=[base]).knowledge.parts["PR-7"].has["bore"].origin.layer == "base 2"


def test_the_folder_one_stands_in_can_be_a_layer(folder, monkeypatch):
    monkeypatch.chdir(folder("shop", {"rods.yaml": ROD.format(id="R-9", bore="0.05 in")}))
    bore = open_library(kb=[Path()]).knowledge.parts["R-9"].has["bore"]
    assert (bore.origin.layer, bore.origin.file) == ("shop", "shop/rods.yaml")


def test_a_shops_limit_takes_the_place_of_the_bases(folder, sheet_of):
    limit = (
        "format: 1\nlimits:\n  too_much: {is: 9, means: so much that it runs out of the breather,"
        " source: common-practice}\n"
    )
    shop = folder("shop-rules", {"path/limits.yaml": limit})
    over, sheet = open_library(rules=[shop]), sheet_of(settings={"preload": "-10 thou"})
    own = over.rulebook.rules["more-oil-than-designed"].limits["limits.too_much"]
    assert (own.value, own.origin.layer, own.origin.file) == (
        9.0,
        "shop-rules",
        "shop-rules/path/limits.yaml",
    )
    fired = [{f.rule for f in check(sheet, of).findings} for of in (open_library(), over)]
    assert "more-oil-than-designed" in fired[0]
    assert "more-oil-than-designed" not in fired[1]


def test_digests_tell_what_was_laid_over(folder, library):
    shop = folder("shop", {"rods.yaml": ROD.format(id="R-9", bore="0.05 in")})
    over = open_library(kb=[shop])
    assert over.knowledge.digest != library.knowledge.digest
    assert over.rulebook.digest == library.rulebook.digest


@pytest.fixture
def family(folder):
    """The demo family in a shop's folder, changed."""

    def changed(old, new):
        text = (TOP / "kb" / "demo" / "tarn-v8.yaml").read_text()
        assert old in text
        return folder("shop", {"tarn-v8.yaml": text.replace(old, new, 1)})

    return changed


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("        lifter: BW-118\n", "", ["reference, slots, lifter", "no part"]),
        ("lifter: BW-118", "lifter: BW-119", ['"BW-119"', "of kind lifter"]),
        ("lifter: BW-118", "lifter: PR-7", ["PR-7 of kind pushrod"]),
        ("        preload: 25 thou\n", "", ["reference, settings", "no preload"]),
        ("{speed: 650 rpm, ", "{", ["reference, points, hot_idle", "no speed"]),
        (
            "camshaft: QC-212",
            "camshaft: {part: QC-212, has: {intake_lift: 1 mm}}",
            ["intake lobe", "lift 1 mm"],
        ),
    ],
)
def test_a_reference_has_to_be_whole(family, old, new, told):
    with pytest.raises(DataFaults) as wrong:
        open_library(kb=[family(old, new)])
    for part in ["shop/tarn-v8.yaml", *told]:
        assert any(part in str(fault) for fault in wrong.value.faults)


def test_a_part_of_the_reference_must_not_lack_what_a_check_needs(folder):
    shop = folder(
        "shop", {"rods.yaml": ROD.format(id="PR-7", bore="0.05 in").replace("length: 7.800 in, ", "")}
    )
    with pytest.raises(DataFaults) as wrong:
        open_library(kb=[shop])
    assert any("pushrod PR-7: found no length" in str(fault) for fault in wrong.value.faults)


def test_missing_folders_are_faults(tmp_path):
    with pytest.raises(DataFaults, match="no such folder"):
        open_library(kb=[tmp_path / "nowhere"])
    with pytest.raises(DataFaults, match="no such folder"):
        open_library(rules=[tmp_path / "nowhere"])


def test_opening_again_finds_the_same(library):
    again = open_library()
    assert again.knowledge.digest == library.knowledge.digest
    assert again.knowledge.parts["BW-118"] == library.knowledge.parts["BW-118"]
    assert list(again.rulebook.rules) == list(library.rulebook.rules)


def test_files_are_taken_in_order_of_names_not_of_the_disk(folder, tmp_path):
    files = {f"{name}.yaml": ROD.format(id=f"R-{name}", bore="0.05 in") for name in "cab"}
    shop = folder("shop", files)
    digest = open_library(kb=[shop]).knowledge.digest
    other = tmp_path / "again" / "shop"
    other.mkdir(parents=True)
    for file in sorted(shop.iterdir(), reverse=True):
        shutil.copy(file, other)
    assert open_library(kb=[other]).knowledge.digest == digest
