"""A part begun with the command loads as it is, and asks for what it lacks."""

import pytest

from upfeed.answering.library import open_library
from upfeed.keeping.newpart import part_scaffold
from upfeed.knowledge.partfile import NO_PARTS


def test_a_part_of_every_kind_can_be_begun(library, tmp_path):
    kinds = [kind for name, kind in library.vocabulary.kinds.items() if name not in NO_PARTS]
    for number, kind in enumerate(kinds):
        (tmp_path / f"{kind.name}.yaml").write_text(part_scaffold(kind, f"PD-{900 + number}"))
    parts = open_library([tmp_path]).knowledge.parts
    assert [parts[f"PD-{900 + n}"].kind for n in range(len(kinds))] == [kind.name for kind in kinds]
    assert all(parts[f"PD-{900 + n}"].has == {} for n in range(len(kinds)))


def test_every_attribute_is_there_with_how_to_measure_it(library):
    kind = library.vocabulary.kinds["lifter"]
    text = part_scaffold(kind, "PD-900")
    for attribute in kind.attributes.values():
        assert f"\n      {attribute.name}:" in text
        assert attribute.definition in text
        assert attribute.how in text


@pytest.mark.parametrize("like", ["BW-118", "PD-31", "PD-214", "TN-1"])
def test_a_part_begun_from_another_has_its_values_assumed(library, tmp_path, like):
    other = library.knowledge.parts[like]
    kind = library.vocabulary.kinds[other.kind]
    (tmp_path / "new.yaml").write_text(part_scaffold(kind, "PD-900", other))
    part = open_library([tmp_path]).knowledge.parts["PD-900"]
    assert part.has
    for name, value in part.has.items():
        assert value.magnitude == pytest.approx(other.has[name].magnitude)
        assert value.standing == "assumed"
    assert part.relations == {"same_envelope_as": (like,)}


def test_the_command_begins_a_part_in_a_new_file_only(upfeed, tmp_path):
    file = tmp_path / "shop" / "lifter.yaml"
    assert upfeed("kb", "add", "lifter", "PD-900", "--into", file, "--like", "BW-118").code == 0
    assert "already" in upfeed("kb", "add", "lifter", "PD-901", "--into", file).err
    assert "Did you mean lifter?" in upfeed("kb", "add", "liftr", "PD-901", "--into", file).err
    unknown = upfeed("kb", "add", "lifter", "PD-901", "--into", tmp_path / "x.yaml", "--like", "BW-119")
    assert "Did you mean BW-11" in unknown.err
    assert not (tmp_path / "x.yaml").exists()
