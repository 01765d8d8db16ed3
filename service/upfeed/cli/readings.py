"""Tell what gauge readings say of a build."""

import sys
from pathlib import Path

import click

from upfeed.advising.gauge.readings import explain_readings
from upfeed.answering.buildfile import read_build
from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.cli.options import CANNOT_TELL, layered
from upfeed.flow.gauges import GALLERY
from upfeed.judging.message import System
from upfeed.text.readings import readings as as_text

_TOLD = ("agrees", "explained", "two_at_once")


@click.command()
@click.argument("build")
@click.option(
    "--at",
    "texts",
    multiple=True,
    required=True,
    metavar="READING",
    help='What was read, as "650 rpm, 100 C, 14 psi", or with the place behind it: "..., pump". Repeat it.',
)
@click.option(
    "--port",
    default=GALLERY,
    show_default=True,
    help="Where the gauge stands: gallery, mains, pump and others.",
)
@click.option("--error", help='How far the gauge may be off, as "1 psi", or "3 %" of the reading.')
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--units", type=click.Choice(["shop", "si"]), default="shop", show_default=True)
@layered
def readings(  # noqa: PLR0913, PLR0917 - one for each option
    build: str,
    texts: tuple[str, ...],
    port: str,
    error: str | None,
    form: str,
    units: System,
    kb: tuple[Path, ...],
    rules: tuple[Path, ...],
) -> None:
    """Tell which uncertain values of BUILD explain gauge readings that differ from what is expected.

    Exit codes: 0 they agree or are explained; 2 input that can't be used; 3 they cannot tell.
    """
    library = open_library(kb, rules)
    answer = explain_readings(read_build(build, library), library, texts, port, error, units)
    if form == "json":
        sys.stdout.buffer.write(encode(answer))
    else:
        click.echo(as_text(answer, units), nl=False)
    sys.exit(0 if answer.outcome in _TOLD else CANNOT_TELL)
