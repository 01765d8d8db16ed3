"""An empty volume that is written down as unknown leaves first oil unknown between its ends, never fine."""

import pytest

from upfeed.answering.library import open_library

VOLUMES = [
    ("tarn-v8", "lifter", "inner_volume"),
    ("tarn-v8", "block", "lifter_gallery_volume"),
    ("tarn-v8", "oil_pump", "filter_volume"),
    ("orlebeck-five", "cylinder_head", "feed_volume"),
]
# Any of the others fills in seconds, however large.
LATE_AT_MOST = VOLUMES[1:3]

OWN = """
format: 1
standing: measured
sources:
  - {source: own-bench, title: Bench book of a shop (invented), kind: bench}
source: own-bench
parts:
  - part: OWN-1
    kind: oil_pump
    name: own gear pump
    maker: Marl
    has:
      displacement: 13.5 mL/rev
      drive_ratio: 0.5
      slip: 6e-13 m3
      relief_opens: 56 psi
      relief_slope: 60 L/min/bar
      filter_volume: null
"""


@pytest.fixture(scope="module")
def asked(library, ask):
    """The reference with a volume written down so."""

    def answer(family, slot, name, value):
        (fitting,) = library.knowledge.families[family].reference.slots[slot]
        return ask(family=family, slots={slot: {"part": fitting.part, "has": {name: value}}})

    return answer


def first_oil(answer):
    return {c.name: c for c in answer.points[0].computed}["first_oil_cranked.hot_idle"]


@pytest.mark.parametrize(("family", "slot", "name"), VOLUMES)
def test_first_oil_lies_between_both_ends_of_what_is_possible(asked, library, family, slot, name):
    ends = library.vocabulary.kinds[slot].attributes[name].possible
    unknown = first_oil(asked(family, slot, name, None))
    low, high = (first_oil(asked(family, slot, name, f"{end * 1e6:.9g} mL")).build for end in ends)
    assert unknown.build is None
    assert unknown.band == pytest.approx((low, high), rel=1e-7)
    assert low < high


@pytest.mark.parametrize(("family", "slot", "name"), LATE_AT_MOST)
def test_it_is_asked_for_and_holds_up_the_verdict_that_hangs_on_it(asked, family, slot, name):
    answer = asked(family, slot, name, None)
    (unknown,) = answer.unknown
    assert (unknown.name, unknown.slot, unknown.at) == (f"{slot}.{name}", slot, "all")
    assert "first-oil-late" in unknown.blocks
    assert answer.verdict == "cannot_tell_yet"
    assert not [finding.rule for finding in answer.findings if "first-oil" in finding.rule]


def test_a_part_of_the_catalogue_may_say_so_too_and_a_build_then_tells_it(ask, tmp_path):
    (tmp_path / "own.yaml").write_text(OWN, encoding="utf-8")
    own = open_library(kb=[tmp_path])
    asked = {"slots": {"oil_pump": "OWN-1"}}
    assert [u.name for u in ask(asked, own).unknown] == ["oil_pump.filter_volume"]
    told = {"slots": {"oil_pump": {"part": "OWN-1", "has": {"filter_volume": "150 mL"}}}}
    assert ask(told, own).unknown == []
