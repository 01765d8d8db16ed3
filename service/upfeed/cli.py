"""The command line: check a build, list parts, show one."""

import sys
from collections.abc import Callable
from pathlib import Path

import click

from upfeed import __version__
from upfeed.answering.answer import Answer
from upfeed.answering.buildfile import read_build
from upfeed.answering.check import MOST_SAMPLES, SAMPLES
from upfeed.answering.check import check as check_build
from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.judging.message import System
from upfeed.reading.faults import DataFaults
from upfeed.text.layers import listing
from upfeed.text.say import Speaker
from upfeed.text.show import list_parts, show_id

FINDINGS, UNUSABLE, CANNOT_TELL = 1, 2, 3
"""Exit codes beside 0: findings at or above the asked weight, input that can't be used, not enough known."""

_WEIGHTS = ("note", "caution", "stop")
_Command = Callable[..., None]


def layered(command: _Command) -> _Command:
    """Options that lay a shop's own folders over what comes with upfeed."""
    folder = click.Path(file_okay=False, path_type=Path)
    kb = click.option("--kb", multiple=True, type=folder, help="A folder of knowledge laid over the base.")
    rules = click.option("--rules", multiple=True, type=folder, help="A folder of rules laid over the base.")
    return kb(rules(command))


@click.group()
@click.version_option(__version__)
def cli() -> None:
    """Does oil still get up to the rockers when parts of different engine families are mixed?

    Exit codes: 0 nothing at or above the asked weight; 1 findings; 2 input that can't be used; 3 cannot tell yet.
    """


@cli.command()
@click.argument("build")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--units", type=click.Choice(["shop", "si"]), default="shop", show_default=True)
@click.option("--fail-on", type=click.Choice(_WEIGHTS), default="caution", show_default=True)
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
    asked = _WEIGHTS[_WEIGHTS.index(fail_on) :]
    raised = any(finding.weighs in asked and finding.accepted is None for finding in answer.findings)
    return FINDINGS if raised else 0


@cli.command()
@click.option("--kind", help="Only parts of this kind, as lifter.")
@click.option("--family", help="Only parts designed for this family.")
@layered
def parts(kind: str | None, family: str | None, kb: tuple[Path, ...], rules: tuple[Path, ...]) -> None:
    """List the known parts."""
    click.echo(list_parts(open_library(kb, rules), kind, family), nl=False)


@cli.command()
@click.argument("id_", metavar="ID")
@layered
def show(id_: str, kb: tuple[Path, ...], rules: tuple[Path, ...]) -> None:
    """Show a part, by its id or a number it is sold under, a family or a rule."""
    click.echo(show_id(open_library(kb, rules), id_), nl=False)


@cli.command()
@layered
def layers(kb: tuple[Path, ...], rules: tuple[Path, ...]) -> None:
    """List what the folders given with --kb and --rules put in place of what lies below them."""
    library = open_library(kb, rules)
    click.echo(listing([*library.overrides, *library.rulebook.overrides]), nl=False)


@cli.command()
@click.option("--host", default="127.0.0.1", show_default=True)
@click.option("--port", type=click.IntRange(0, 65535), default=8080, show_default=True)
@click.option(
    "--origin", multiple=True, help="A web origin that may ask from a browser, as https://shop.example."
)
@click.option("--workers", type=click.IntRange(1, 64), default=1, show_default=True)
@layered
def serve(
    host: str, port: int, origin: tuple[str, ...], workers: int, kb: tuple[Path, ...], rules: tuple[Path, ...]
) -> None:
    """Answer the same questions over HTTP, on this machine unless told otherwise."""
    # The web stack is loaded only here: every other command would wait for it.
    from upfeed.web.serve import serve as serve_http  # noqa: PLC0415

    try:
        serve_http(host, port, origins=origin, kb=kb, rules=rules, workers=workers)
    except (OSError, ValueError) as wrong:
        raise click.UsageError(str(wrong)) from wrong


def main() -> None:
    """Run a command; faults in the data go to standard error, one a line."""
    try:
        cli()
    except DataFaults as wrong:
        for fault in wrong.faults:
            click.echo(str(fault), err=True)
        sys.exit(UNUSABLE)
