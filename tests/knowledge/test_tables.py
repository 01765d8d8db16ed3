"""Tables of values: read from YAML and JSON alike, refused with their place, kept and compared as any value."""

import numpy as np
import pytest

from upfeed.answering.library import open_library
from upfeed.knowledge.build import reference_build, resolve
from upfeed.knowledge.draws import draws
from upfeed.knowledge.relations import PartGraph
from upfeed.knowledge.stored import Loaded, decode, encode
from upfeed.knowledge.tables import MOST_READINGS, shown_table
from upfeed.knowledge.values import Defaults, Notes, read_values
from upfeed.reading.faults import DataFaults
from upfeed.reading.jsontree import read_json
from upfeed.reading.reader import Reader
from upfeed.reading.yamltree import read_yaml

GOOD = "[[-60 deg, 0 mm], [-30 deg, 4.1 mm], [0 deg, 7 mm], [35 deg, 3.5 mm], [70 deg, 0 mm]]"
ROWS = [
    ["-60 deg", "0 mm"],
    ["-30 deg", "4.1 mm"],
    ["0 deg", "7 mm"],
    ["35 deg", "3.5 mm"],
    ["70 deg", "0 mm"],
]
SI = tuple((np.radians(a), h * 1e-3) for a, h in ((-60, 0), (-30, 4.1), (0, 7), (35, 3.5), (70, 0)))
PART = """\
format: 1
source: pellow-bench-book
standing: measured
parts:
  - part: MX-9
    kind: camshaft
    name: Marl 9
    maker: Marl
    has:
      ground_for: flat
      base_circle_radius: 0.55 in
      lobes_from: table
      intake_table: {table}
      exhaust_table: {good}
"""


@pytest.fixture
def read(library):
    """Reads values of a camshaft: what is found, and the faults as text."""

    def values(text, how=read_yaml):
        faults = []
        node = how(text, faults) if how is read_json else how(text, "kb/x.yaml", "shop", faults)
        has = Reader(node, "camshaft X-1", faults)
        defaults = Defaults("measured", "bench-book", ("bench-book",))
        found = read_values(has, library.vocabulary.kinds["camshaft"], defaults, Notes(faults, []))
        return found, [str(fault) for fault in faults]

    return values


@pytest.fixture
def shop(tmp_path):
    """Opens the library with a camshaft of a shop's own over it."""

    def opened(table=GOOD):
        (tmp_path / "parts.yaml").write_text(PART.format(table=table, good=GOOD), encoding="utf-8")
        return open_library([tmp_path])

    return opened


def test_pairs_with_units_become_pairs_in_si(read):
    found, faults = read(f"intake_table: {GOOD}\n")
    value = found["intake_table"]
    assert not faults
    assert np.array(value.magnitude) == pytest.approx(np.array(SI), rel=1e-12)
    assert (value.written, value.origin.line) == ("5 readings, 0 mm to 7 mm", 1)


def test_units_may_differ_from_reading_to_reading(read):
    found, _ = read("intake_table: [[-1 rad, 0 in], [0 deg, 5/16 in], [60 deg, 100 thou]]\n")
    # 5/16 of 25.4 mm, and a tenth of it.
    wanted = [[-1.0, 0.0], [0.0, 7.9375e-3], [np.pi / 3, 2.54e-3]]
    assert np.array(found["intake_table"].magnitude) == pytest.approx(np.array(wanted), rel=1e-12)


def test_json_and_the_long_form_say_the_same(read):
    plain, _ = read(f"intake_table: {GOOD}\n")
    long, faults = read(f"intake_table: {{is: {GOOD}, standing: assumed, note: rough}}\n")
    cells = str(ROWS).replace("'", '"')
    json, more = read(f'{{"intake_table": {cells}}}', read_json)
    assert not faults + more
    tables = {of["intake_table"].magnitude for of in (plain, long, json)}
    assert len(tables) == 1
    assert (long["intake_table"].standing, long["intake_table"].note) == ("assumed", "rough")


@pytest.mark.parametrize(
    ("table", "told"),
    [
        (
            "7 mm",
            'camshaft X-1, intake_table: found the text "7 mm"; expected a list of pairs of angle and lift.',
        ),
        ("[]", "intake_table: found 0 readings; expected 1 to 1000 of pairs of angle and lift."),
        ("[[0 deg]]", "intake_table 1: found 1 values; expected angle and lift in a pair."),
        (
            "[[0 deg, 0 mm], 5 mm]",
            'intake_table 2: found the text "5 mm"; expected angle and lift in a pair.',
        ),
        ("[[0 deg, 7]]", 'intake_table 1: found "7" without a unit; expected a length'),
        ("[[0 deg, 7 deg]]", 'intake_table 1: found "7 deg", an angle; expected a length'),
        ("[[0 deg, null]]", "intake_table 1: found nothing; expected the lift."),
        ("[[0 deg, [7 mm]]]", "intake_table 1: found a list; expected the lift."),
        (
            "[[0 deg, -1 mm]]",
            'intake_table 1: found "-1 mm"; expected 0 in to 0.787 in, beyond which nothing is',
        ),
        (
            "[[400 deg, 1 mm]]",
            'intake_table 1: found "400 deg"; expected -360 deg to 360 deg, beyond which nothing',
        ),
        (
            "{is: [[0 deg, 1 mm]], plus_minus: 1 mm}",
            'plus_minus: found the text "1 mm"; expected none, since this is',
        ),
    ],
)
def test_what_is_no_table_is_refused_in_words(read, table, told):
    _, faults = read(f"intake_table: {table}\n")
    assert len(faults) == 1
    assert faults[0].startswith("kb/x.yaml, line 1, ")
    assert told in faults[0]


def test_every_cell_has_its_own_line_or_pointer(read):
    _, faults = read("intake_table:\n- [0 deg, 1 mm]\n- [1 grad, 1 mm]\n- [2 deg, 1 furlong]\n")
    assert [fault.partition(", camshaft")[0] for fault in faults] == [
        "kb/x.yaml, line 3",
        "kb/x.yaml, line 4",
    ]
    _, faults = read('{"intake_table": [["0 deg", "1 mm"], ["5 deg", "1 furlong"]]}', read_json)
    assert faults[0].startswith("at /intake_table/1/1, camshaft X-1, intake_table 2: found")


def test_a_table_has_an_end(read):
    row = "[0 deg, 1 mm]"
    found, faults = read(f"intake_table: [{', '.join([row] * (MOST_READINGS + 1))}]\n")
    assert not found
    assert "found 1001 readings" in faults[0]


def test_null_is_unknown(read):
    assert read("intake_table: null\n") == ({}, [])


@pytest.mark.parametrize(
    ("table", "told"),
    [
        (
            "[[0 deg, 0 mm], [1 deg, 1 mm], [2 deg, 0 mm]]",
            "found 3 angles and 3 lifts; expected five pairs or more.",
        ),
        (GOOD.replace("-30 deg", "-70 deg"), "found -70 deg after -60 deg; expected angles that rise"),
        (GOOD.replace("7 mm", "3 mm"), "found a second rise near 0 deg; expected one nose."),
        (
            GOOD.replace("-60 deg, 0 mm", "-60 deg, 1 mm"),
            "found 1 mm at the start and 0 mm at the end; expected 0",
        ),
    ],
)
def test_a_table_that_is_no_lobe_is_a_fault_where_it_stands(shop, faults_of, table, told):
    with pytest.raises(DataFaults) as wrong:
        shop(table)
    (fault,) = wrong.value.faults
    assert (fault.origin.line, fault.path) == (13, "camshaft MX-9, intake_table")
    assert told in str(fault)
    rows = [cell.strip("[] ").split(", ") for cell in table.split("], ")]
    own = {"part": "QC-212", "has": {"lobes_from": "table", "intake_table": rows, "exhaust_table": ROWS}}
    (in_build,) = faults_of(slots={"camshaft": own})
    assert in_build.startswith("at /slots/camshaft/has/intake_table, camshaft QC-212, intake_table: ")
    assert told in in_build


def test_the_highest_reading_is_the_lobes_lift(shop):
    has = shop().knowledge.parts["MX-9"].has
    lift = has["intake_lift"]
    assert lift.magnitude == pytest.approx(7e-3)
    assert (lift.standing, lift.source, lift.origin) == (
        "measured",
        "pellow-bench-book",
        has["intake_table"].origin,
    )
    assert lift.note == "the highest reading of the intake table"
    assert list(has) == [
        name for name in open_library().vocabulary.kinds["camshaft"].attributes if name in has
    ]


def test_a_table_comes_out_of_the_cache_as_it_went_in(shop):
    library = shop()
    again = decode(encode(Loaded(library.knowledge, (), ()))).knowledge.parts["MX-9"]
    assert again == library.knowledge.parts["MX-9"]
    assert np.array(again.has["intake_table"].magnitude) == pytest.approx(np.array(SI), rel=1e-12)


def test_a_table_that_differs_in_one_reading_differs(tmp_path, shop):
    shop()
    other = PART.format(table=GOOD.replace("4.1", "4.2"), good=GOOD).replace("MX-9", "MX-10")
    (tmp_path / "more.yaml").write_text(other, encoding="utf-8")
    graph = PartGraph(open_library([tmp_path]).knowledge)
    assert [d.attribute for d in graph.differences("MX-9", "MX-10")] == ["intake_table"]


def test_a_layer_tells_that_it_replaces_a_table(tmp_path):
    over = tmp_path / "own"
    over.mkdir()
    text = PART.format(table=GOOD, good=GOOD).replace("MX-9", "PD-214")
    (over / "parts.yaml").write_text(text, encoding="utf-8")
    (override,) = open_library([over]).overrides
    changes = {change.name: (change.was, change.now) for change in override.changes}
    assert changes["intake_table"] == ("32 readings, 0 mm to 7.06 mm", "5 readings, 0 mm to 7 mm")


def test_readings_are_drawn_as_they_are(library, sheet_of):
    made = resolve(sheet_of(slots={"camshaft": "PD-214"}), library.knowledge, library.vocabulary)
    designed = reference_build(made.family, library.knowledge, library.vocabulary)
    drawn = draws(made, designed, library.vocabulary, 16)
    given = library.knowledge.parts["PD-214"].has["intake_table"].magnitude
    assert {variant.at("camshaft", 0)["intake_table"] for variant in drawn.builds} == {given}
    assert not any("table" in i.name for i in drawn.inputs)


def test_few_words_in_si_units(library):
    columns = library.vocabulary.kinds["camshaft"].attributes["intake_table"].table
    assert shown_table(SI, columns) == "5 readings, 0 mm to 7 mm"
