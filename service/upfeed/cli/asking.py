"""List parts, show one, tell what layers replace."""

import sys
from pathlib import Path

import click

from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.cli.options import layered
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted
from upfeed.text.layers import listing
from upfeed.text.show import list_parts, show_id
from upfeed.web.shown import shown


@click.command()
@click.option("--kind", help="Only parts of this kind, as lifter.")
@click.option("--family", help="Only parts designed for this family.")
@layered
def parts(kind: str | None, family: str | None, kb: tuple[Path, ...], rules: tuple[Path, ...]) -> None:
    """List the known parts."""
    click.echo(list_parts(open_library(kb, rules), kind, family), nl=False)


@click.command()
@click.argument("id_", metavar="ID")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@layered
def show(id_: str, form: str, kb: tuple[Path, ...], rules: tuple[Path, ...]) -> None:
    """Show a part, by its id or a number it is sold under, a family or a rule; JSON goes by the id alone."""
    library = open_library(kb, rules)
    text = show_id(library, id_)
    if form == "text":
        click.echo(text, nl=False)
        return
    found = shown(library, id_)
    if found is None:
        raise DataFaults([Fault(Origin(file="command line"), "", f"{quoted(id_)}, a number", "an id")])
    sys.stdout.buffer.write(encode(found))


@click.command()
@layered
def layers(kb: tuple[Path, ...], rules: tuple[Path, ...]) -> None:
    """List what the folders given with --kb and --rules put in place of what lies below them."""
    library = open_library(kb, rules)
    click.echo(listing([*library.overrides, *library.rulebook.overrides]), nl=False)
