"""Set two parts side by side; tell what goes in a part's place."""

import sys
from pathlib import Path

import click

from upfeed.advising.inplace.standins import StandIns, stand_ins
from upfeed.advising.inplace.twoparts import two_parts
from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.cli.options import layered
from upfeed.judging.message import System
from upfeed.text import relating

_FAMILY = click.option(
    "--family", help="The family to look at; otherwise all that the parts were designed for."
)
_UNITS = click.option("--units", type=click.Choice(["shop", "si"]), default="shop", show_default=True)

_FORM = click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)


@click.command()
@click.argument("first")
@click.argument("second")
@_FAMILY
@_FORM
@_UNITS
@layered
def differ(
    first: str, second: str, family: str | None, form: str, units: System, **layers: tuple[Path, ...]
) -> None:
    """Tell in what two parts differ, what of it the oil feels, and what either does as the only change."""
    told = two_parts(open_library(**layers), first, second, family)
    if form == "json":
        sys.stdout.buffer.write(encode(told))
    else:
        click.echo(relating.two_parts(told, units), nl=False)


@click.command()
@click.argument("part")
@_FAMILY
@_FORM
@_UNITS
@layered
def instead(part: str, family: str | None, form: str, units: System, **layers: tuple[Path, ...]) -> None:
    """Tell what the trade supplies in place of PART, what else takes up its room, and what each does."""
    told = stand_ins(open_library(**layers), part, family)
    if form == "json":
        sys.stdout.buffer.write(encode(StandIns(part, told)))
    else:
        click.echo(relating.stand_ins(part, told, units), nl=False)
