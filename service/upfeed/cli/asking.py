"""Check a build, list parts, show one, tell what layers replace."""

import sys
from pathlib import Path

import click

from upfeed.answering.answer import Answer
from upfeed.answering.buildfile import read_build
from upfeed.answering.check import MOST_SAMPLES, SAMPLES
from upfeed.answering.check import check as check_build
from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.cli.options import CANNOT_TELL, FINDINGS, layered
from upfeed.judging.message import System
from upfeed.text.layers import listing
from upfeed.text.say import Speaker
from upfeed.text.show import list_parts, show_id

WEIGHTS = ("note", "caution", "stop")


@click.command()
@click.argument("build")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--units", type=click.Choice(["shop", "si"]), default="shop", show_default=True)
@click.option("--fail-on", type=click.Choice(WEIGHTS), default="caution", show_default=True)
@click.option(
    "--samples",
    type=click.IntRange(0, MOST_SAMPLES),
    default=SAMPLES,
    show_default=True,
    help="Draws of the values within their spread, to tell how sure the answer is; 0 makes none.",
)
@layered
def check(
    build: str,
    form: str,
    units: System,
    fail_on: str,
    samples: int,
    kb: tuple[Path, ...],
    rules: tuple[Path, ...],
) -> None:
    """Check BUILD, a YAML or JSON file (- reads standard input), beside its family's reference build."""
    library = open_library(kb, rules)
    answer = check_build(read_build(build, library), library, units, samples)
    if form == "json":
        sys.stdout.buffer.write(encode(answer))
    else:
        click.echo(Speaker(library.vocabulary, units).answer(answer), nl=False)
    sys.exit(exit_code(answer, fail_on))


def exit_code(answer: Answer, fail_on: str) -> int:
    """What the shell is told."""
    if answer.verdict == "cannot_tell_yet":
        return CANNOT_TELL
    asked = WEIGHTS[WEIGHTS.index(fail_on) :]
    raised = any(finding.weighs in asked and finding.accepted is None for finding in answer.findings)
    return FINDINGS if raised else 0


@click.command()
@click.option("--kind", help="Only parts of this kind, as lifter.")
@click.option("--family", help="Only parts designed for this family.")
@layered
def parts(kind: str | None, family: str | None, kb: tuple[Path, ...], rules: tuple[Path, ...]) -> None:
    """List the known parts."""
    click.echo(list_parts(open_library(kb, rules), kind, family), nl=False)


@click.command()
@click.argument("id_", metavar="ID")
@layered
def show(id_: str, kb: tuple[Path, ...], rules: tuple[Path, ...]) -> None:
    """Show a part, by its id or a number it is sold under, a family or a rule."""
    click.echo(show_id(open_library(kb, rules), id_), nl=False)


@click.command()
@layered
def layers(kb: tuple[Path, ...], rules: tuple[Path, ...]) -> None:
    """List what the folders given with --kb and --rules put in place of what lies below them."""
    library = open_library(kb, rules)
    click.echo(listing([*library.overrides, *library.rulebook.overrides]), nl=False)
