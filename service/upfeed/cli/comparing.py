"""Set two builds side by side."""

import sys
from pathlib import Path

import click

from upfeed.advising.comparing.compare import compare as compare_builds
from upfeed.advising.comparing.comparison import BuildComparison
from upfeed.answering.buildfile import read_builds
from upfeed.answering.check import MOST_SAMPLES, SAMPLES
from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.cli.options import CANNOT_TELL, FINDINGS, layered
from upfeed.judging.message import System
from upfeed.judging.rules import WEIGHTS, Weight
from upfeed.text.comparing import Comparer


@click.command()
@click.argument("first", metavar="A")
@click.argument("second", metavar="B")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--units", type=click.Choice(["shop", "si"]), default="shop", show_default=True)
@click.option("--fail-on", type=click.Choice(WEIGHTS[::-1]), default="caution", show_default=True)
@click.option(
    "--samples",
    type=click.IntRange(0, MOST_SAMPLES),
    default=SAMPLES,
    show_default=True,
    help="Draws of each build's values within their spread; 0 makes none.",
)
@layered
def compare(
    first: str,
    second: str,
    form: str,
    units: System,
    fail_on: Weight,
    samples: int,
    **layers: tuple[Path, ...],
) -> None:
    """Set build A beside build B, YAML or JSON files (one of them may be -, standard input).

    Tells in which parts and settings they differ, which findings are gone, new or kept, and the pressures and flows of
    both with their ratio, B over A, within bounds where both are drawn.

    Exit codes: 0 no finding at or above the asked weight is new in B or has grown worse; 1 some are; 2 input that can't
    be used; 3 of one of the builds cannot be told yet. What B accepts does not count.
    """
    library = open_library(**layers)
    one, other = read_builds([first, second], library)
    told = compare_builds(one, other, library, units, samples)
    if form == "json":
        sys.stdout.buffer.write(encode(told))
    else:
        click.echo(Comparer(library.vocabulary, units).comparison(told), nl=False)
    sys.exit(exit_code(told, fail_on))


def exit_code(told: BuildComparison, fail_on: Weight) -> int:
    """What the shell is told."""
    if "cannot_tell_yet" in (told.first.verdict, told.second.verdict):
        return CANNOT_TELL
    asked = WEIGHTS[: WEIGHTS.index(fail_on) + 1]
    new = any(f.weighs in asked and f.accepted is None for f in told.new)
    grown = any(
        k.weighs in asked and k.change in ("worse", "mixed") and k.second_accepted is None for k in told.kept
    )
    return FINDINGS if new or grown else 0
