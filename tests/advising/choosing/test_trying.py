"""Builds tried side by side come out as each does when it is checked by itself."""

from collections import defaultdict

import pytest

from shipped import BUILDS, answer_to, sheet_of
from upfeed.advising.choosing.trying import standings
from upfeed.flow.trials import trial
from upfeed.knowledge.build import reference_build, resolve

pytestmark = pytest.mark.no_cover  # whole checks of many builds


@pytest.fixture(scope="module")
def builds():
    of_family = defaultdict(list)
    for build in BUILDS:
        of_family[sheet_of(build).family].append(build)
    return of_family


def _standings(sheets, library):
    reference = reference_build(
        library.knowledge.families[sheets[0].family], library.knowledge, library.vocabulary
    )
    builds = (resolve(sheet, library.knowledge, library.vocabulary) for sheet in sheets)
    return standings([trial(build, reference, library.vocabulary) for build in builds], reference, library)


def _weighing(answer, weight):
    return {f.rule for f in answer.findings if f.weighs == weight and f.accepted is None}


def test_the_example_builds_stand_side_by_side_as_they_do_alone(builds, library):
    for of_family in builds.values():
        sheets = [sheet_of(build) for build in of_family]
        for build, standing in zip(of_family, _standings(sheets, library), strict=True):
            alone = answer_to(build)
            assert standing.stops == _weighing(alone, "stop"), build
            assert standing.cautions == _weighing(alone, "caution"), build
            assert standing.verdict == alone.verdict, build


def test_the_reference_build_has_nothing_against_it_and_stands_where_the_design_does(library):
    for family in library.knowledge.families.values():
        (standing,) = _standings([family.reference], library)
        assert standing.raised == frozenset(), family.id
        assert standing.astray == 0
        assert standing.pressure_lost == 0
