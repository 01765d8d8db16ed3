"""Check one build or many, for a person to read or for a pipeline."""

import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import click

from upfeed.advising.choosing.mends import check_with_mends
from upfeed.advising.comparing.earlier import Baseline, read_baseline
from upfeed.advising.comparing.since import Reckoned, reckon
from upfeed.answering.answer import FORMAT
from upfeed.answering.check import MOST_SAMPLES, SAMPLES
from upfeed.answering.check import check as check_build
from upfeed.answering.library import Library, open_library
from upfeed.answering.several import Checked, Checks, Refused, check_each, is_folder
from upfeed.answering.wire import encode
from upfeed.cli.options import CANNOT_TELL, FINDINGS, UNUSABLE, layered
from upfeed.judging.message import System
from upfeed.judging.rules import WEIGHTS, Weight
from upfeed.reading.faults import visible
from upfeed.text.junit import Reporter
from upfeed.text.lines import counted, lines
from upfeed.text.say import Speaker

_FORMS = ("text", "json", "junit", "lines")
_WORST_FIRST = (UNUSABLE, FINDINGS, CANNOT_TELL)


_Checked = tuple[Checked | Refused, Reckoned | None]
"""One build's outcome, and what of its answer counts, where it has one."""


@click.command()
@click.argument("builds", nargs=-1, required=True, metavar="BUILD...")
@click.option("--format", "form", type=click.Choice(_FORMS), default="text", show_default=True)
@click.option("--units", type=click.Choice(["shop", "si"]), default="shop", show_default=True)
@click.option("--fail-on", type=click.Choice(WEIGHTS[::-1]), default="caution", show_default=True)
@click.option(
    "--baseline",
    type=click.Path(path_type=Path),
    help="What --format json wrote earlier; only what is new or has grown worse since counts.",
)
@click.option(
    "--samples",
    type=click.IntRange(0, MOST_SAMPLES),
    default=SAMPLES,
    show_default=True,
    help="Draws of the values within their spread, to tell how sure the answer is; 0 makes none.",
)
@click.option("--mends", is_flag=True, help="Search for ways out of each finding, which takes longer.")
@layered
def check(
    builds: tuple[str, ...],
    form: str,
    units: System,
    fail_on: Weight,
    baseline: Path | None,
    samples: int,
    mends: bool,
    **layers: tuple[Path, ...],
) -> None:
    """Check each BUILD beside its family's reference build.

    A BUILD is a YAML or JSON file, a folder (every .yaml, .yml and .json file in and below it), or - for standard
    input. Of several, or of a folder, JSON is a list under `checks`, each `checked` with its answer or `refused` with
    its faults, as POST /v1/checks/many answers; one that can't be used does not stop the others. JUnit XML has a suite
    for each build, in it a case for each area of rules.

    Exit codes: 0 nothing counts; 1 findings at or above --fail-on that nobody accepts; 2 a build that can't be used; 3
    a build of which too little is known. Of several builds the worst decides, in the order 2, 1, 3, 0. With --baseline
    only findings count that are new, weigh more, whose figure is worse by more than a twentieth, or that were accepted
    and are not any more; of a list the earlier answer is found by the name of the build as it was given.
    """
    library = open_library(**layers)
    as_list = len(builds) > 1 or is_folder(builds[0])
    earlier = read_baseline(baseline, of_several=as_list) if baseline else Baseline({}, None)
    judge = check_with_mends if mends else check_build
    checked: list[_Checked] = []
    for outcome in check_each(builds, library, units, samples, judge):
        checked.append((outcome, _reckoned(outcome, fail_on, earlier)))
    if form == "text":
        _say(checked, Speaker(library.vocabulary, units), as_list=as_list)
    else:
        sys.stdout.buffer.write(_written(checked, form, library, as_list=as_list))
    _warn(checked, since_earlier=baseline is not None)
    sys.exit(worst(exit_code(reckoned) for _, reckoned in checked))


def _reckoned(outcome: Checked | Refused, fail_on: Weight, earlier: Baseline) -> Reckoned | None:
    if isinstance(outcome, Refused):
        return None
    return reckon(outcome.answer, fail_on, earlier.of(outcome.build))


def exit_code(reckoned: Reckoned | None) -> int:
    """What the shell is told of one build; None: it can't be used."""
    if reckoned is None:
        return UNUSABLE
    if reckoned.untold:
        return CANNOT_TELL
    return FINDINGS if any(held.counts for held in reckoned.findings) else 0


def worst(codes: Iterable[int]) -> int:
    """The exit code of all builds."""
    found = set(codes)
    return next((code for code in _WORST_FIRST if code in found), 0)


def _say(checked: Sequence[_Checked], speaker: Speaker, *, as_list: bool) -> None:
    """Answers for a person, each under the name of its build where there are several."""
    told = [
        (outcome.build, speaker.answer(outcome.answer))
        for outcome, _ in checked
        if isinstance(outcome, Checked)
    ]
    click.echo(
        "\n".join(f"{visible(build)}\n\n{said}" if as_list else said for build, said in told), nl=False
    )


def _written(checked: Sequence[_Checked], form: str, library: Library, *, as_list: bool) -> bytes:
    """Answers for a program."""
    if form == "junit":
        return Reporter({id_: rule.area for id_, rule in library.rulebook.rules.items()}).report(checked)
    if form == "lines":
        return "".join(f"{line}\n" for line in _lines(checked)).encode()
    if as_list:
        return encode(Checks(FORMAT, [outcome for outcome, _ in checked]))
    return b"".join(encode(outcome.answer) for outcome, _ in checked if isinstance(outcome, Checked))


def _lines(checked: Sequence[_Checked]) -> Iterator[str]:
    for outcome, reckoned in checked:
        if isinstance(outcome, Checked) and reckoned:
            yield from lines(outcome.build, outcome.answer, reckoned)


def _warn(checked: Sequence[_Checked], *, since_earlier: bool) -> None:
    """What can't be used, and what fails since the earlier answers, on standard error in every format."""
    for outcome, reckoned in checked:
        for fault in outcome.faults if isinstance(outcome, Refused) else ():
            click.echo(fault.says, err=True)
        if reckoned and since_earlier:
            for line in counted(outcome.build, reckoned):
                click.echo(line, err=True)
