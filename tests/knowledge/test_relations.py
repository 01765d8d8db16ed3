"""The part graph: substitution, room, differences."""

import pytest

from upfeed.knowledge.load import Layer, load
from upfeed.knowledge.relations import PartGraph

PART = (
    "  - {{part: {id}, kind: oil, name: an oil, maker: me, numbers: [{number}], relations: {{{relations}}},"
    " has: {has}}}\n"
)


@pytest.fixture(scope="module")
def graph(library, tmp_path_factory):
    """A replaced B, which replaced C; D too replaced B; C takes the room of E, E of F."""
    rows = [
        ("A", "n-1", "supplied_in_place_of: [B]", "{viscosity_100: 10 cSt, viscosity_40: 60 cSt}"),
        ("B", "n-2", "supplied_in_place_of: [C], designed_for: []", "{viscosity_100: 10.0 cSt}"),
        (
            "C",
            "n-1",
            "same_envelope_as: [E], needs: [F, A]",
            "{viscosity_100: 12 cSt, density_15: 860 kg/m3}",
        ),
        ("D", "n-4", "supplied_in_place_of: [B]", "{}"),
        ("E", "n-5", "same_envelope_as: [F]", "{}"),
        ("F", "n-6", "", "{}"),
    ]
    folder = tmp_path_factory.mktemp("graph")
    text = "format: 1\nparts:\n" + "".join(
        PART.format(id=i, number=n, relations=r, has=h) for i, n, r, h in rows
    )
    (folder / "oils.yaml").write_text(text)
    return PartGraph(load([Layer("base", folder)], library.vocabulary).knowledge)


def test_the_chain_of_substitutions_leads_from_the_old_part_to_the_new(graph):
    assert graph.substitution("C", "A") == ("C", "B", "A")
    assert graph.substitution("C", "D") == ("C", "B", "D")
    assert graph.substitution("B", "A") == ("B", "A")


def test_there_is_no_chain_backwards_sideways_or_from_nowhere(graph):
    assert graph.substitution("A", "C") == ()
    assert graph.substitution("A", "D") == ()
    assert graph.substitution("C", "F") == ()
    assert graph.substitution("C", "nothing") == ()


def test_the_same_room_goes_both_ways_and_through_others(graph):
    assert graph.same_envelope("C") == ("E", "F")
    assert graph.same_envelope("F") == ("C", "E")
    assert graph.same_envelope("A") == ()


def test_relations_are_read_forwards_and_backwards(graph):
    assert graph.related("C", "needs") == ("F", "A")
    assert graph.related("C", "excludes") == ()
    assert graph.naming("B", "supplied_in_place_of") == ("A", "D")
    assert graph.naming("A", "needs") == ("C",)


def test_a_part_is_found_by_its_id_and_every_number_it_is_sold_under(graph):
    assert [part.id for part in graph.sold_under("n-1")] == ["A", "C"]
    assert [part.id for part in graph.sold_under("D")] == ["D"]
    assert graph.sold_under("n-9") == ()


def test_differences_are_of_values_not_of_how_they_are_written(graph):
    assert [d.attribute for d in graph.differences("A", "B")] == ["viscosity_40"]


def test_a_value_only_one_has_is_a_difference(graph):
    by_name = {d.attribute: d for d in graph.differences("A", "C")}
    assert set(by_name) == {"viscosity_100", "viscosity_40", "density_15"}
    assert by_name["density_15"].first is None
    assert by_name["density_15"].second.written == "860 kg/m3"
    assert by_name["viscosity_100"].first.written == "10 cSt"


def test_nothing_differs_from_itself(graph):
    assert graph.differences("C", "C") == ()


def test_an_unknown_part_is_a_key_error(graph):
    with pytest.raises(KeyError):
        graph.differences("A", "nothing")


def test_the_demo_says_how_its_lifters_came_to_be_offered(library):
    shipped = PartGraph(library.knowledge)
    assert shipped.substitution("BW-110", "BW-126") == ("BW-110", "BW-118", "BW-126")
    assert "BW-126" in shipped.same_envelope("BW-118")
    assert [d.attribute for d in shipped.differences("BW-118", "BW-126")] == ["feed_hole"]


def test_families_of_one_gallery_height_are_those_whose_blocks_have_it(library):
    """By the heights of the blocks as they are written, the relations left aside."""
    shipped = PartGraph(library.knowledge)
    heights = {}
    for family in library.knowledge.families.values():
        (block,) = family.reference.slots["block"]
        height = library.knowledge.parts[block.part].has.get("gallery_height")
        if height:
            heights[family.id] = height.magnitude
    assert len(heights) >= 7
    for family in library.knowledge.families:
        alike = [
            other for other, height in heights.items() if other != family and height == heights.get(family)
        ]
        assert shipped.families_of_one_gallery_height(family) == tuple(sorted(alike)), family


def test_parts_are_laid_out_for_one_height_for_several_or_for_nobody_knows_which(library):
    shipped = PartGraph(library.knowledge)
    assert shipped.one_gallery_height("BW-118", "BW-118") is True
    assert shipped.one_gallery_height("BW-118", "WX-50") is True
    assert shipped.one_gallery_height("BW-118", "BW-204") is False
    assert shipped.one_gallery_height("BW-118", "HM-40") is None


def test_parts_that_share_a_gallery_height_were_made_for_blocks_that_do(library):
    """No two blocks of one group lie more than a hundredth of an inch apart (how well the demo gives a height)."""
    shipped, parts = PartGraph(library.knowledge), library.knowledge.parts
    for part in parts.values():
        alike = [parts[id_] for id_ in shipped.gallery_height(part.id)]
        heights = [p.has["gallery_height"].magnitude for p in (part, *alike) if "gallery_height" in p.has]
        assert not heights or max(heights) - min(heights) <= 0.01 * 0.0254, part.id
