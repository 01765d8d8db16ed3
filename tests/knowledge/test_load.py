"""Loading the knowledge base: layers, overriding, families, and everything that can be wrong with a file."""

import shutil

import pytest

from upfeed.knowledge.load import Layer, load
from upfeed.reading.faults import DataFaults

HEAD = "format: 1\nsources: [{source: bench, title: bench book, kind: bench}]\nsource: bench\nstanding: measured\n"
ROD = "  - {{part: {id}, kind: pushrod, name: a rod, maker: Somebody, has: {{length: {length}, material: steel}}}}\n"


@pytest.fixture
def shop(tmp_path, library):
    """Lays files of a shop over nothing: what is known, or the faults as text."""

    def loaded(files, *, folder="shop"):
        base = tmp_path / folder
        for name, text in files.items():
            (base / name).parent.mkdir(parents=True, exist_ok=True)
            (base / name).write_text(text, encoding="utf-8")
        return load([Layer(folder, base)], library.vocabulary)

    return loaded


@pytest.fixture
def faults(shop):
    def told(files):
        with pytest.raises(DataFaults) as wrong:
            shop(files)
        return [str(fault) for fault in wrong.value.faults]

    return told


def rod(id_, length="7.800 in"):
    return ROD.format(id=id_, length=length)


def test_a_file_holds_sources_parts_and_families_in_any_order(shop):
    known = shop(
        {"a/rods.yaml": HEAD + "parts:\n" + rod("R-1"), "b.yaml": "format: 1\nparts:\n" + rod("R-2")}
    )
    assert list(known.knowledge.parts) == ["R-1", "R-2"]
    assert list(known.knowledge.sources) == ["bench"]
    one, two = known.knowledge.parts["R-1"].has["length"], known.knowledge.parts["R-2"].has["length"]
    assert (one.standing, one.source) == ("measured", "bench")
    assert (two.standing, two.source) == ("assumed", "")
    assert (one.origin.layer, one.origin.file, one.origin.line) == ("shop", "shop/a/rods.yaml", 6)


def test_a_source_may_stand_in_a_later_file(shop):
    known = shop({"a.yaml": "format: 1\nsource: bench\nparts:\n" + rod("R-1"), "z.yaml": HEAD})
    assert known.knowledge.parts["R-1"].has["length"].source == "bench"


def test_unusual_values_are_warned_of(shop):
    known = shop({"a.yaml": HEAD + "parts:\n" + rod("R-1", "21 in")})
    assert ["usually 5 in to 13 in" in str(warning) for warning in known.warnings] == [True]


def test_a_later_layer_takes_the_place_of_a_part_and_says_so(tmp_path, library):
    layers = [Layer(name, tmp_path / name) for name in ("base", "shop")]
    for layer, length in zip(layers, ("7.800 in", "7.750 in"), strict=True):
        layer.folder.mkdir()
        (layer.folder / "rods.yaml").write_text(HEAD + "parts:\n" + rod("R-1", length))
    known = load(layers, library.vocabulary).knowledge.parts
    assert list(known) == ["R-1"]
    length = known["R-1"].has["length"]
    assert (length.written, length.origin.layer, length.origin.file) == ("7.750 in", "shop", "shop/rods.yaml")


def test_the_digest_is_of_the_bytes_not_of_the_place(tmp_path, library):
    folders = [tmp_path / place / "shop" for place in ("here", "there")]
    folders[0].mkdir(parents=True)
    (folders[0] / "rods.yaml").write_text(HEAD + "parts:\n" + rod("R-1"))
    shutil.copytree(folders[0], folders[1])
    one, other = (load([Layer("shop", f)], library.vocabulary).knowledge.digest for f in folders)
    assert one == other
    (folders[1] / "rods.yaml").write_text(HEAD + "parts:\n" + rod("R-1", "7.801 in"))
    assert load([Layer("shop", folders[1])], library.vocabulary).knowledge.digest != one


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("parts: [\n", ["line", "text that is not YAML"]),
        ("", ["an empty document"]),
        ("format: 1\nparts: []\nparts: []\n", ["line 3", 'the key "parts" again', "line 2"]),
        ("format: 1\npart: []\n", ["line 2", "Did you mean parts?"]),
        ("parts: []\n", ["format", "nothing"]),
        ("format: 1\nparts: {}\n", ["parts", "a list"]),
        ("format: 1\nsources: {}\n", ["sources", "a list"]),
        ("format: 1\nstanding: mesured\n", ["Did you mean measured?"]),
        ("format: 1\nsource: bench\n", ['"bench"', "a known source"]),
        ("format: 1\nsources: [{source: a b, title: t, kind: k}]\n", ["an id of letters"]),
        ("format: 1\nparts:\n" + rod("R-1") + rod("R-1"), ["line 4", "R-1 a second time", "line 3"]),
        (
            "format: 1\nsources: [{source: a, title: t, kind: k}, {source: a, title: u, kind: k}]\n",
            ["a a second time", "each id once in a layer"],
        ),
        ("format: 1\nparts: [{kind: pushrod, name: rod, maker: me}]\n", ["parts 1, part", "nothing"]),
        ("format: 1\nparts: [{part: R-1, name: rod, maker: me}]\n", ["kind", "the kind of part"]),
        (
            "format: 1\nparts: [{part: R-1, kind: pushrodd, name: rod, maker: me}]\n",
            ["Did you mean pushrod?"],
        ),
        ("format: 1\nparts: [{part: R-1, kind: settings, name: rod, maker: me}]\n", ['"settings"']),
        ("format: 1\nparts: [{part: R-1, kind: pushrod, name: rod}]\n", ["pushrod R-1, maker", "nothing"]),
        (
            "format: 1\nparts: [{part: R-1, kind: pushrod, name: rod, maker: me, numbers: [4118]}]\n",
            ["in quotes"],
        ),
        (
            "format: 1\nparts: [{part: R-1, kind: pushrod, name: rod, maker: me, relations: {need: []}}]\n",
            ["Did you mean needs?"],
        ),
        (
            "format: 1\nparts: [{part: R-1, kind: pushrod, name: rod, maker: me, relations: {needs: [R-2]}}]\n",
            ["pushrod R-1, needs", '"R-2"', "a known part", "Did you mean R-1?"],
        ),
        (
            "format: 1\nparts: [{part: R-1, kind: pushrod, name: rod, maker: me, relations: {designed_for: [x]}}]\n",
            ["a known family"],
        ),
        (
            "format: 1\nparts:\n- part: R-1\n  kind: pushrod\n  name: rod\n  maker: me\n"
            "  intents: [{about: [pushrod.boar], says: s}]\n",
            ["line 7", "Did you mean pushrod.bore"],
        ),
        (
            "format: 1\nparts:\n- part: R-1\n  kind: pushrod\n  name: rod\n  maker: me\n  has: {lenth: 7.8 in}\n",
            ["line 7", "pushrod R-1, has, lenth", "Did you mean length?"],
        ),
    ],
)
def test_what_is_wrong_with_a_file_is_told_with_file_line_and_path(faults, text, told):
    found = faults({"a.yaml": text})
    assert len(found) == 1
    for part in ["shop/a.yaml", "; expected ", *told]:
        assert part in found[0]


def test_a_source_that_is_no_mapping_is_a_fault(faults):
    assert any(
        "sources 1: found the text" in line for line in faults({"a.yaml": "format: 1\nsources: [bench]\n"})
    )


def test_faults_of_all_files_are_told_at_once_in_order(faults):
    found = faults(
        {
            "b.yaml": HEAD + "parts:\n" + rod("R-1", "7.8 psi") + rod("R-2", "7.8"),
            "a.yaml": "format: 1\nparts:\n" + rod("R-3", "7.8 inn"),
            "c.yaml": "format: 1\nparts: [\n",
        }
    )
    assert [line.partition(":")[0] for line in found[:3]] == [
        "shop/a.yaml, line 3, pushrod R-3, has, length",
        "shop/b.yaml, line 6, pushrod R-1, has, length",
        "shop/b.yaml, line 7, pushrod R-2, has, length",
    ]
    assert "shop/c.yaml" in found[3]
    assert len(found) == 4


def test_a_missing_folder_is_a_fault(tmp_path, library):
    with pytest.raises(DataFaults, match="no such folder"):
        load([Layer("shop", tmp_path / "nowhere")], library.vocabulary)


def test_an_unreadable_file_is_a_fault_beside_others(tmp_path, faults):
    (tmp_path / "shop" / "a.yaml").mkdir(parents=True)  # a folder where a file should be can't be read
    found = faults({"b.yaml": "format: 2\n"})
    assert len(found) == 2
    assert "shop/a.yaml: found an unreadable file" in found[0]


def test_a_file_that_would_be_passed_over_is_a_fault(faults):
    found = faults({"rods.yml": HEAD})
    assert len(found) == 1
    assert "a name that ends in .yml" in found[0]


def test_other_files_and_hidden_ones_are_none_of_its_business(shop):
    known = shop({"README.md": "not YAML: [", ".old/rods.yaml": "not YAML: [", "a.yaml": HEAD})
    assert not known.knowledge.parts


def test_the_shipped_knowledge_is_whole(library):
    known = library.knowledge
    assert {part.kind for part in known.parts.values()} >= {
        "block",
        "camshaft",
        "lifter",
        "pushrod",
        "rocker",
    }
    assert "tarn-v8" in known.families
    for part in known.parts.values():
        assert part.has
        assert all(value.source in known.sources for value in part.has.values())


LISTED = "valves: [intake, exhaust]"
FAMILY = """format: 1
families:
  - family: shed-four
    name: Shed Four
    maker: Shed
    plan:
      cylinders: 4
      valves: [intake, exhaust]
      slots:
        block: {kind: block}
        camshaft: {kind: camshaft}
        lifter: {kind: lifter, each: valve}
        pushrod: {kind: pushrod, each: valve}
        rocker: {kind: rocker, each: valve}
        oil_pump: {kind: oil_pump}
        oil: {kind: oil}
        cylinder_head: {kind: cylinder_head}
        gasket: {kind: gasket}
        rocker_shaft: {kind: rocker_shaft}
        oil_pan: {kind: oil_pan}
      joins:
        - [oil_pump.outlet, block.main_gallery]
        - [block.lifter_gallery, lifter.bore]
        - [lifter.cup, pushrod.foot]
        - [pushrod.tip, rocker.cup]
    reference:
      slots: {lifter: BW-118}
      settings: {preload: 25 thou, assembly_temperature: 20 C}
    points:
      hot_idle: {speed: 650 rpm}
      cruise: {speed: 2500 rpm}
      top_speed: {speed: 5500 rpm}
      cold_start: {speed: 1000 rpm}
"""


def test_a_family_is_read_with_its_plan(shop):
    family = shop({"f.yaml": FAMILY}).knowledge.families["shed-four"]
    assert family.plan.valves[:3] == ((1, "intake"), (1, "exhaust"), (2, "intake"))
    assert len(family.plan.valves) == 8
    assert family.plan.slots["lifter"].each == "valve"
    assert family.plan.slots["block"].each == "engine"
    assert family.reference.slots["lifter"][0].part == "BW-118"
    assert family.points["cruise"]["speed"].written == "2500 rpm"


THREE = "valves: {intake: intake, exhaust: exhaust, second intake: intake}"


def test_valves_have_names_of_their_own_and_say_their_lobe(shop):
    plan = shop({"f.yaml": FAMILY.replace(LISTED, THREE)}).knowledge.families["shed-four"].plan
    assert plan.valves[:4] == ((1, "intake"), (1, "exhaust"), (1, "second intake"), (2, "intake"))
    assert [plan.lobe_of(role) for role in plan.roles] == ["intake", "exhaust", "intake"]


def test_valves_in_a_list_are_moved_by_lobes_of_their_names(shop):
    named = FAMILY.replace(LISTED, "valves: {intake: intake, exhaust: exhaust}")
    plans = [shop({"f.yaml": text}).knowledge.families["shed-four"].plan for text in (FAMILY, named)]
    assert plans[0] == plans[1]
    assert [plans[0].lobe_of(role) for role in plans[0].roles] == ["intake", "exhaust"]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("family: shed-four", "family: shed four", ["an id of letters"]),
        ("    plan:", "    plann:", ["Did you mean plan?"]),
        ("cylinders: 4", "cylinders: 0", ["at least 1"]),
        ("cylinders: 4", "cylinders: 4000000000", ["at most 36"]),
        ("cylinders: 4", "cylinder: 4", ["Did you mean cylinders?"]),
        ("valves: [intake, exhaust]", "valves: [inlet, exhaust]", ['"inlet"', "exhaust or intake"]),
        ("valves: [intake, exhaust]", "valves: [intake, intake]", ["each valve of a cylinder once"]),
        ("valves: [intake, exhaust]", "valves: []", ["at least one"]),
        ("valves: [intake, exhaust]", "valves: {}", ["at least one"]),
        ("valves: [intake, exhaust]", "valves: [second intake]", ["says its lobe", "second intake: exhaust"]),
        ("valves: [intake, exhaust]", "valves: {intake: inlet}", ['"inlet"', "exhaust or intake"]),
        ("valves: [intake, exhaust]", "valves: {intake: }", ["valves, intake", "text"]),
        ("valves: [intake, exhaust]", "valves: {2 intake: intake}", ["lower-case words"]),
        ("valves: [intake, exhaust]", "valves: {all: intake}", ["lower-case words"]),
        ("valves: [intake, exhaust]", "valves: intake", ["a list"]),
        ("{kind: lifter, each: valve}", "{kind: lifterr, each: valve}", ["Did you mean lifter?"]),
        ("{kind: lifter, each: valve}", "{kind: settings, each: valve}", ['"settings"']),
        ("{kind: lifter, each: valve}", "{kind: lifter, each: valves}", ["Did you mean valve?"]),
        (
            "[lifter.cup, pushrod.foot]",
            "[lifter.cupp, pushrod.foot]",
            ['"lifter.cupp"', "Did you mean lifter.cup"],
        ),
        ("[lifter.cup, pushrod.foot]", "[lifter.cup]", ["pairs of ports that meet"]),
        ("        oil: {kind: oil}\n", "", ["0 slots with the oil", "one slot with the oil"]),
        (
            "        oil: {kind: oil}",
            "        oil: {kind: oil}\n        oil2: {kind: oil}",
            ["2 slots with the oil"],
        ),
        ("        - [oil_pump.outlet, block.main_gallery]\n", "", ["nothing joined to oil_pump.outlet"]),
        ("lifter: BW-118", "lifterr: BW-118", ["Did you mean lifter?"]),
        ("preload: 25 thou", "preload: 25", ["without a unit"]),
        ("      cruise: {speed: 2500 rpm}\n", "", ["no point cruise"]),
        ("      cruise:", "      cruisee:", ["cruisee", "Did you mean cruise?"]),
        ("    reference:", "    referenc:", ["Did you mean reference?"]),
        ("        block: {kind: block}\n", "", ["no slot block"]),
    ],
)
def test_what_is_wrong_with_a_family_is_told(faults, old, new, told):
    assert old in FAMILY
    found = faults({"f.yaml": FAMILY.replace(old, new)})
    for part in ["shop/f.yaml, line", *told]:
        assert any(part in line for line in found)
