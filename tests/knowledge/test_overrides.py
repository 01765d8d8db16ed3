from pathlib import Path

import pytest

from upfeed.answering.library import open_library
from upfeed.text.layers import listing

PART = """\
format: 1
source: common-practice
parts:
  - part: PR-9
    kind: pushrod
    name: Hethermoor 9, bored out
    maker: Hethermoor
    has: {material: steel, drilled: drilled, bore: 4 mm, tip_hole: 1.6 mm}
sources:
  - {source: estimate, title: Estimates of the shop, kind: practice}
"""
LIMITS = """\
format: 1
limits:
  no_preload: {is: 2 thou, quantity: length, means: hot preload that the shop calls none, source: estimate}
"""


@pytest.fixture
def shop(tmp_path):
    kb, rules = tmp_path / "own", tmp_path / "own-rules"
    (rules / "lifter").mkdir(parents=True)
    kb.mkdir()
    (kb / "parts.yaml").write_text(PART, encoding="utf-8")
    (rules / "lifter" / "limits.yaml").write_text(LIMITS, encoding="utf-8")
    return kb, rules


def test_nothing_is_replaced_where_there_is_one_layer():
    library = open_library()
    assert library.overrides == library.rulebook.overrides == ()


def test_each_thing_replaced_is_told_with_both_its_places(shop):
    kb, rules = shop
    library = open_library([kb], [rules])
    source, part = library.overrides
    assert (part.what, part.id) == ("pushrod", "PR-9")
    assert (part.was.layer, part.was.file) == ("base", "kb/demo/valve-gear.yaml")
    assert (part.now.layer, part.now.file, part.now.line) == ("own", "own/parts.yaml", 4)
    assert (source.what, source.id, source.now.line) == ("source", "estimate", 10)
    (limit,) = library.rulebook.overrides
    assert (limit.what, limit.id) == ("limit", "lifter, limits.no_preload")
    assert (limit.now.file, limit.changes[0].now) == ("own-rules/lifter/limits.yaml", "2 thou")


def test_only_values_that_differ_are_told(shop):
    was, now = open_library().knowledge.parts["PR-9"], open_library([shop[0]]).knowledge.parts["PR-9"]
    changed = {change.name: change for change in open_library([shop[0]]).overrides[1].changes}
    assert changed["bore"].now == "4 mm"
    assert changed["bore"].was == was.has["bore"].written
    assert changed["length"].now is None  # a part is replaced whole, so what it leaves out is not known
    assert "length" not in now.has
    assert "material" not in changed


def test_the_cache_remembers_what_was_replaced(shop):
    assert open_library([shop[0]]).overrides == open_library([shop[0]]).overrides != ()


def test_a_rule_in_place_of_another(tmp_path):
    base = Path(__file__).parents[2] / "rules" / "lifter" / "disc-not-seated"
    own = tmp_path / "stricter" / "lifter" / "disc-not-seated"
    own.mkdir(parents=True)
    for file in base.iterdir():
        text = file.read_text(encoding="utf-8").replace("weighs: caution", "weighs: stop")
        (own / file.name).write_text(text, encoding="utf-8")
    (rule,) = open_library((), [tmp_path / "stricter"]).rulebook.overrides
    assert (rule.what, rule.id, rule.now.layer) == ("rule", "disc-not-seated", "stricter")


def test_the_command_line_lists_them(shop, upfeed):
    told = upfeed("layers", "--kb", shop[0], "--rules", shop[1])
    assert told.code == 0
    assert (
        "pushrod PR-9\n  layer own: own/parts.yaml, line 4\n  in place of layer base: kb/demo/" in told.text
    )
    assert "  bore: 4 mm, was " in told.text
    assert "  is: 2 thou, was 0 thou\n" in told.text
    assert upfeed("layers").out == b""


def test_the_listing_of_nothing_is_empty():
    assert listing([]) == ""
