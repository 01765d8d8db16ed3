from pathlib import Path

from upfeed.knowledge.places import places
from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.physics.laws import LAWS

VOCABULARY = read_vocabulary(Path(__file__).parents[2] / "shared" / "vocabulary")


def test_heights_and_offsets_are_places_and_sizes_are_not():
    found = places(VOCABULARY)
    assert {"block.gallery_height", "camshaft.base_circle_radius", "rocker.rest_offset"} <= found
    assert "block.bush_hole_height" in found
    assert (
        not {
            "lifter.feed_hole",
            "lifter.wall",
            "block.lifter_bore",
            "lifter.band_from",
            "block.bush_hole_diameter",
        }
        & found
    )


def test_every_place_is_an_attribute_and_every_law_takes_its_places():
    for name in places(VOCABULARY):
        kind, _, attribute = name.partition(".")
        assert attribute in VOCABULARY.kinds[kind].attributes
    for law in LAWS.values():
        assert law.places <= set(law.arguments)
