"""Rules put to draws come out as `judge` has them for each draw by itself."""

from pathlib import Path

import pytest

from upfeed.answering.buildfile import read_build
from upfeed.flow.drawn import drawn
from upfeed.flow.survey import survey
from upfeed.judging.judge import judge
from upfeed.judging.language import Comparison
from upfeed.judging.often import Often
from upfeed.judging.walks import sites

BUILDS = Path(__file__).parents[2] / "shared" / "builds"
OUTCOMES = {True: "fires", False: "quiet", None: "unknown"}
COUNT = 8


class OneDraw:
    """A place at which one draw alone is seen, under every limit."""

    def __init__(self, site, made, draw):
        self.id, self.walk, self.at = site.id, site.walk, site.at
        self._site, self._made, self._draw = site, made, draw

    def read(self, name):
        return self._made.known(name, self._site.valves[0])[self._draw :: COUNT]


@pytest.mark.parametrize("build", ["preload-lost", "six-feed-wide-open", "one-odd-lifter", "twin-wide-band"])
def test_every_rule_at_every_place_in_every_draw(library, build):
    sheet = read_build(str(BUILDS / f"{build}.yaml"), library)
    of = survey(sheet, library.knowledge, library.vocabulary)
    made = drawn(of, library.vocabulary, COUNT)
    seen = set()
    for rule in library.rulebook.rules.values():
        for site in sites(of, rule.walks):
            often = Often(rule, made, site.valves[0])
            one_by_one = [judge(rule, OneDraw(site, made, draw)) for draw in range(COUNT)]
            assert [OUTCOMES[truth] for truth in often.truths()] == [one.outcome for one in one_by_one]
            seen |= set(often.truths())
            for let in rule.lets:
                assert often.column(let.name)[:COUNT] == tuple(one.seen[let.name][0] for one in one_by_one)
    assert {True, False} <= seen


def lines(condition):
    if isinstance(condition, Comparison):
        return [condition]
    return [line for part in condition.parts for line in lines(part)]


def test_a_margin_is_above_zero_where_the_left_side_is_the_larger(library):
    sheet = read_build(str(BUILDS / "preload-lost.yaml"), library)
    of = survey(sheet, library.knowledge, library.vocabulary)
    made, told = drawn(of, library.vocabulary, COUNT), 0
    for rule in library.rulebook.rules.values():
        for site in sites(of, rule.walks):
            often = Often(rule, made, site.valves[0])
            for line in lines(rule.when):
                for margin, holds in zip(often.margin(line), often.line_truths(line), strict=False):
                    if margin is not None and abs(margin) > 1e-6:
                        assert holds is ((margin > 0) == (">" in line.text)), line.text
                        told += 1
    assert told > 100


def test_words_have_no_margin(library):
    rule = library.rulebook.rules["disc-not-seated"]
    words = [line for line in lines(rule.when) if '"' in line.text]
    assert words
    assert all(line.margin is None for line in words)
