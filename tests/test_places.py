from pathlib import Path

from upfeed.laws import LAWS
from upfeed.places import places
from upfeed.vocabularyfile import read_vocabulary

VOCABULARY = read_vocabulary(Path(__file__).parent.parent / "shared" / "vocabulary")


def test_heights_and_offsets_are_places_and_sizes_are_not():
    found = places(VOCABULARY)
    assert {"block.gallery_height", "camshaft.base_circle_radius", "rocker.rest_offset"} <= found
    assert not {"lifter.feed_hole", "lifter.wall", "block.lifter_bore", "lifter.band_from"} & found


def test_every_place_is_an_attribute_and_every_law_takes_its_places():
    for name in places(VOCABULARY):
        kind, _, attribute = name.partition(".")
        assert attribute in VOCABULARY.kinds[kind].attributes
    for law in LAWS.values():
        assert law.places <= set(law.arguments)
