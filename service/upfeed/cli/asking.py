"""List parts, show one, tell what layers replace."""

from pathlib import Path

import click

from upfeed.answering.library import open_library
from upfeed.cli.options import layered
from upfeed.text.layers import listing
from upfeed.text.show import list_parts, show_id


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
