"""Set two parts side by side; tell what goes in a part's place."""

from pathlib import Path

import click

from upfeed.answering.library import open_library
from upfeed.answering.twoparts import stand_ins, two_parts
from upfeed.cli.options import layered
from upfeed.judging.message import System
from upfeed.text import relating

_FAMILY = click.option(
    "--family", help="The family to look at; otherwise all that the parts were designed for."
)
_UNITS = click.option("--units", type=click.Choice(["shop", "si"]), default="shop", show_default=True)


@click.command()
@click.argument("first")
@click.argument("second")
@_FAMILY
@_UNITS
@layered
def differ(
    first: str, second: str, family: str | None, units: System, kb: tuple[Path, ...], rules: tuple[Path, ...]
) -> None:
    """Tell in what two parts differ, what of it the oil feels, and what either does as the only change."""
    click.echo(relating.two_parts(two_parts(open_library(kb, rules), first, second, family), units), nl=False)


@click.command()
@click.argument("part")
@_FAMILY
@_UNITS
@layered
def instead(
    part: str, family: str | None, units: System, kb: tuple[Path, ...], rules: tuple[Path, ...]
) -> None:
    """Tell what the trade supplies in place of PART, what else takes up its room, and what each does."""
    click.echo(relating.stand_ins(part, stand_ins(open_library(kb, rules), part, family), units), nl=False)
