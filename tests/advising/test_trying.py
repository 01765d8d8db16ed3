"""Builds tried side by side come out as each does when it is checked by itself."""

from collections import defaultdict
from pathlib import Path

import pytest

from upfeed.advising.trying import standings
from upfeed.answering.buildfile import read_build
from upfeed.answering.check import check
from upfeed.flow.trials import trial
from upfeed.knowledge.build import reference_build, resolve

pytestmark = pytest.mark.no_cover  # whole checks of many builds

BUILDS = sorted(Path("shared/builds").glob("*.yaml"))


@pytest.fixture(scope="module")
def sheets(library):
    of_family = defaultdict(list)
    for path in BUILDS:
        sheet = read_build(str(path), library)
        of_family[sheet.family].append(sheet)
    return of_family


def _standings(sheets, library):
    reference = reference_build(
        library.knowledge.families[sheets[0].family], library.knowledge, library.vocabulary
    )
    builds = (resolve(sheet, library.knowledge, library.vocabulary) for sheet in sheets)
    return standings([trial(build, reference, library.vocabulary) for build in builds], reference, library)


def _weighing(answer, weight):
    return {f.rule for f in answer.findings if f.weighs == weight and f.accepted is None}


def test_the_example_builds_stand_side_by_side_as_they_do_alone(sheets, library):
    for of_family in sheets.values():
        for sheet, standing in zip(of_family, _standings(of_family, library), strict=True):
            alone = check(sheet, library)
            assert standing.stops == _weighing(alone, "stop"), sheet.id
            assert standing.cautions == _weighing(alone, "caution"), sheet.id
            assert standing.verdict == alone.verdict, sheet.id


def test_the_reference_build_has_nothing_against_it_and_stands_where_the_design_does(library):
    for family in library.knowledge.families.values():
        (standing,) = _standings([family.reference], library)
        assert standing.raised == frozenset(), family.id
        assert standing.astray == 0
        assert standing.pressure_lost == 0
