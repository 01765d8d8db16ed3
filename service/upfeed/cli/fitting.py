"""What still fits a build."""

import sys
from pathlib import Path

import click

from upfeed.advising.choosing.fits import fits as choose
from upfeed.answering.buildfile import read_build
from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.cli.options import FINDINGS, layered
from upfeed.judging.message import System
from upfeed.text.fitting import fitting


@click.command()
@click.argument("build")
@click.option("--slot", "slots", multiple=True, help="Choose for this slot, whatever stands in it now.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--units", type=click.Choice(["shop", "si"]), default="shop", show_default=True)
@layered
def fits(
    build: str,
    slots: tuple[str, ...],
    form: str,
    units: System,
    kb: tuple[Path, ...],
    rules: tuple[Path, ...],
) -> None:
    """List every known part for the slots that BUILD leaves open, or for those named: what fits, and why not.

    Exit code 0 where something fits in each slot, with or without findings, else 1.
    """
    library = open_library(kb, rules)
    found = choose(read_build(build, library), library, slots, units)
    if form == "json":
        sys.stdout.buffer.write(encode(found))
    else:
        click.echo(fitting(found, units), nl=False)
    goes_in = ("fits", "fits_with_findings")
    sys.exit(0 if all(any(c.fit in goes_in for c in slot.choices) for slot in found.slots) else FINDINGS)
