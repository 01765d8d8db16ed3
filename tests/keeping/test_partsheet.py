"""A spreadsheet of parts: all of it or none, every fault at its line, and back out without harm."""

import csv
import io

import pytest
from msgspec.structs import replace

from upfeed.keeping.columns import Reading, read_reading
from upfeed.keeping.partsheet import read_sheet_of_parts, write_sheet_of_parts, written
from upfeed.knowledge.partfile import NO_PARTS, read_part
from upfeed.knowledge.values import Defaults, Notes
from upfeed.knowledge.workedout import as_given
from upfeed.reading.reader import Reader
from upfeed.reading.yamltree import read_yaml

INCH = 25.4e-3
KINDS = ("gasket", "lifter", "camshaft", "oil", "oil_pump", "restrictor", "rocker")


@pytest.fixture
def taken_in(library):
    def take(text, kind="gasket", columns=""):
        of, sources = library.vocabulary.kinds[kind], library.knowledge.sources
        faults = []
        node = read_yaml(columns.encode(), "columns.yaml", "", faults) if columns else None
        reading = read_reading(node, of, sources, faults)
        content = text if isinstance(text, bytes) else text.encode()
        sheet = read_sheet_of_parts(content, "shop.csv", of, reading, library.vocabulary)
        return sheet, [str(fault) for fault in (*faults, *sheet.rejected)]

    return take


def parts_in(text, vocabulary, sources):
    """Parts of a file, as loading reads them."""
    faults = []
    content = Reader(read_yaml(text.encode(), "shop.yaml", "", faults), "", faults)
    over = Defaults("assumed", "", sources)
    parts = [read_part(given, over, vocabulary, Notes(faults, [])) for given in content.mappings("parts")]
    assert not faults
    return parts


HEAD = "part,name,maker,numbers,designed_for,thickness (thou),oil hole,oil_hole_diameter,drains_masked\n"
ROW = "PD-900,shop gasket,Pellow and Daughter,7700-1;7700-2,tarn-v8,51,punched,0.31 in,1\n"


def test_units_come_from_the_head_or_from_the_cell_itself(taken_in, library):
    sheet, faults = taken_in(HEAD + ROW)
    assert faults == []
    text = written(sheet, Reading({}, Defaults("measured", "pellow-bench-book", ())))
    (part,) = parts_in(text, library.vocabulary, library.knowledge.sources)
    assert part.has["thickness"].magnitude == pytest.approx(0.051 * INCH)
    assert part.has["oil_hole_diameter"].magnitude == pytest.approx(0.31 * INCH)
    assert part.numbers == ("7700-1", "7700-2")
    assert part.relations == {"designed_for": ("tarn-v8",)}


@pytest.mark.parametrize("separator", [";", "\t"])
def test_other_separators_are_known_by_the_head(taken_in, separator):
    text = (HEAD + ROW.replace(";", " ")).replace(",", separator)
    assert taken_in(text)[1] == []


def test_a_byte_order_mark_and_empty_rows_are_no_faults(taken_in):
    sheet, faults = taken_in(b"\xef\xbb\xbf" + (HEAD + ",,,,,,,,\n" + ROW).encode())
    assert (faults, len(sheet.parts)) == ([], 1)


def test_every_fault_of_every_row_is_told_with_its_line(taken_in):
    wrong = [
        ROW.replace(",51,", ",51 mph,"),
        ROW.replace("PD-900", "PD 901").replace("punched", "square"),
        ROW.replace("PD-900", "PD-902").rstrip("\n") + ",more\n",
        ROW,
        ROW,
        ROW.replace("PD-900", "PD-903").replace("51", '"1,32"'),
    ]
    _, faults = taken_in(HEAD + "".join(wrong))
    lines = [fault.partition(":")[0] for fault in faults]
    assert sorted({line.split(",")[1].strip() for line in lines}) == [f"line {n}" for n in range(2, 8)]
    assert any("second time" in fault for fault in faults)
    assert any("10 cells; expected 9" in fault for fault in faults)


def test_heads_that_mean_nothing_or_the_same_are_told_together(taken_in):
    _, faults = taken_in("thicknes,thickness (mm),Thickness [in]\n1,2,3\n")
    assert len(faults) == 3
    assert "Did you mean thickness?" in faults[0]
    assert "two columns for thickness" in faults[1]
    assert "column named part" in faults[2]


def test_a_file_of_columns_says_what_heads_do_not(taken_in, library):
    columns = """format: 1
standing: measured
source: pellow-bench-book
columns:
  Art. no.: part
  What: name
  t/mm: {is: thickness, unit: mm}
  Shelf: ignore
"""
    sheet, faults = taken_in("Art. no.,What,t/mm,Shelf,maker\nPD-9,gasket,1.3,B7,Pellow\n", columns=columns)
    assert faults == []
    assert sheet.parts[0]["has"] == {"thickness": "1.3 mm"}
    _, faults = taken_in(
        "part\nPD-9\n", columns="format: 1\ncolumns: {x: thicknes, b: {is: part, units: mm}}\n"
    )
    assert "columns.yaml, line 2" in faults[0]
    assert "Did you mean thickness?" in faults[0]
    assert "units" in faults[1]


def test_sizes_that_no_part_has_together_are_rejected(taken_in, library):
    text = write_sheet_of_parts([library.knowledge.parts["BW-118"]], library.vocabulary.kinds["lifter"])
    _, faults = taken_in(text.replace("1.05 in", "1.25 in"), "lifter")
    assert faults
    assert all("line 2" in fault for fault in faults)


@pytest.mark.parametrize("content", [b"", b"\n", b"\xff\xfe", b'part\n"open', b"part"])
def test_what_is_no_spreadsheet_is_said_to_be_none(taken_in, content):
    sheet, faults = taken_in(content)
    assert sheet.parts == ()
    assert bool(faults) == (content != b"part")


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_given_out_is_taken_in_the_same(library, taken_in, kind):
    of = library.vocabulary.kinds[kind]
    parts = [part for part in library.knowledge.parts.values() if part.kind == kind]
    assert parts
    sheet, faults = taken_in(write_sheet_of_parts(parts, of), kind)
    assert faults == []
    text = written(sheet, Reading({}, Defaults("assumed", "", ())))
    again = parts_in(text, library.vocabulary, library.knowledge.sources)
    for part, back in zip(parts, again, strict=True):
        assert (part.id, part.name, part.maker, part.numbers) == (
            back.id,
            back.name,
            back.maker,
            back.numbers,
        )
        assert part.relations == back.relations
        assert _sizes(of, part) == pytest.approx(_sizes(of, back))


def _sizes(kind, part):
    given = {n: v for n, v in as_given(part.has).items() if kind.attributes[n].table is None}
    sizes = {n: v.magnitude for n, v in given.items() if isinstance(v.magnitude, float)}
    return sizes | {f"{n} off": v.plus_minus for n, v in given.items() if v.plus_minus is not None}


def test_no_cell_that_is_given_out_computes(library):
    of = library.vocabulary.kinds["gasket"]
    nasty = ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "'quoted", 'a "b", c']
    part = library.knowledge.parts["TN-31"]
    named = [replace(part, id=f"X-{i}", name=name) for i, name in enumerate(nasty)]
    rows = list(csv.reader(io.StringIO(write_sheet_of_parts(named, of), newline="")))
    assert [row[1] for row in rows[1:]] == [f"'{n}" for n in nasty[:-1]] + nasty[-1:]
    assert all(cell == "" or cell[0] not in "=+-@\t\r" for row in rows for cell in row)


def test_every_kind_can_be_given_out(library):
    for kind in library.vocabulary.kinds.values():
        if kind.name not in NO_PARTS:
            parts = [part for part in library.knowledge.parts.values() if part.kind == kind.name]
            assert len(write_sheet_of_parts(parts, kind).splitlines()) == len(parts) + 1


def test_the_command_writes_all_or_nothing(upfeed, tmp_path):
    sheet, shop = tmp_path / "shop.csv", tmp_path / "shop" / "gaskets.yaml"
    sheet.write_text(HEAD + ROW + ROW.replace("PD-900", "PD-901").replace("51,", "51 mph,"))
    refused = upfeed("kb", "import", sheet, "--kind", "gasket", "--into", shop)
    assert refused.code == 2
    assert "line 3" in refused.err
    assert not shop.parent.exists()
    sheet.write_text(HEAD + ROW)
    assert upfeed("kb", "import", sheet, "--kind", "gasket", "--into", shop).code == 0
    assert upfeed("kb", "lint", shop.parent).code == 1  # nobody has said where the values come from
    assert [path.name for path in shop.parent.iterdir()] == ["gaskets.yaml"]
    again = upfeed("kb", "import", sheet, "--kind", "gasket", "--into", shop)
    assert "a file that is there already" in again.err
    twice = upfeed("kb", "import", sheet, "--kind", "gasket", "--into", shop.with_name("more.yaml"))
    assert "an id that is known already" in twice.err


def test_the_command_gives_out_what_it_takes_in(upfeed, tmp_path):
    out = upfeed("kb", "export", "--kind", "gasket").out
    assert out.startswith(b"part,name,maker")
    assert upfeed("kb", "export", "--kind", "gaskt").code == 2


def test_a_relation_to_nothing_known_is_refused_before_anything_is_written(upfeed, tmp_path):
    sheet, shop = tmp_path / "shop.csv", tmp_path / "shop" / "gaskets.yaml"
    sheet.write_text(HEAD + ROW.replace("tarn-v8", "tarn-v9"))
    refused = upfeed("kb", "import", sheet, "--kind", "gasket", "--into", shop)
    assert "Did you mean tarn-v8" in refused.err
    assert not shop.exists()
