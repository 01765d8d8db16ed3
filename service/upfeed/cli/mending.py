"""What may be done about a build."""

import sys
from pathlib import Path

import click

from upfeed.advising.choosing.mends import MOST
from upfeed.advising.choosing.mends import mends as search
from upfeed.answering.buildfile import read_build
from upfeed.answering.check import MOST_SAMPLES
from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.cli.options import CANNOT_TELL, FINDINGS, layered
from upfeed.judging.message import System
from upfeed.text.mending import mending


@click.command()
@click.argument("build")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--units", type=click.Choice(["shop", "si"]), default="shop", show_default=True)
@click.option(
    "--most", type=click.IntRange(1, 50), default=MOST, show_default=True, help="Ways out that are told."
)
@click.option(
    "--samples",
    type=click.IntRange(0, MOST_SAMPLES),
    default=0,
    show_default=True,
    help="Draws of the values within their spread, for the bands of each way; 0 makes none.",
)
@layered
def mends(
    build: str,
    form: str,
    units: System,
    most: int,
    samples: int,
    kb: tuple[Path, ...],
    rules: tuple[Path, ...],
) -> None:
    """Say what may be done about what stands against BUILD, each way with its computed effect, the best first.

    Tried are every known part that may go in, the settings and sizes that rules name, and two of these together where
    none alone will do. Exit codes as for check: what stands against the build as it is.
    """
    library = open_library(kb, rules)
    found = search(read_build(build, library), library, units, samples, most)
    if form == "json":
        sys.stdout.buffer.write(encode(found))
    else:
        click.echo(mending(found, library.vocabulary, units), nl=False)
    if found.verdict == "cannot_tell_yet":
        sys.exit(CANNOT_TELL)
    sys.exit(FINDINGS if found.findings else 0)
