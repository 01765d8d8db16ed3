"""For whoever keeps the knowledge base: look it over, begin a part, take in a spreadsheet, give one out."""

import sys
from collections.abc import Iterable
from pathlib import Path

import click

from upfeed.answering.library import layers_over, open_library
from upfeed.cli.options import FINDINGS, layered
from upfeed.keeping.columns import read_reading
from upfeed.keeping.lint import lint
from upfeed.keeping.newfile import put
from upfeed.keeping.newpart import part_scaffold
from upfeed.keeping.partsheet import read_sheet_of_parts, write_sheet_of_parts, written
from upfeed.knowledge.partfile import NO_PARTS
from upfeed.knowledge.vocabulary import Kind, Vocabulary
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted
from upfeed.reading.folders import data_folder
from upfeed.reading.nearest import did_you_mean, either
from upfeed.reading.yamltree import read_yaml

_Folders = tuple[Path, ...]
_FOLDER = click.Path(exists=True, file_okay=False, path_type=Path)
_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
_NEW_FILE = click.Path(dir_okay=False, path_type=Path)


@click.group()
def kb() -> None:
    """Keep a knowledge base in order."""


@kb.command("lint")
@click.argument("folders", nargs=-1, type=_FOLDER)
@layered
def lint_folders(folders: _Folders, kb: _Folders, rules: _Folders) -> None:
    """Tell every error in FOLDERS, laid over the base one after the other, else what is worth a second look in them.

    Without FOLDERS the base itself is looked over. Exit codes: 0 nothing to tell; 1 warnings; 2 errors.
    """
    over = (*kb, *folders)
    asked = [layer.name for layer in layers_over(data_folder("kb"), over)[len(kb) + 1 :]]
    warnings = lint(open_library(over, rules), asked)
    for warning in warnings:
        click.echo(str(warning))
    sys.exit(FINDINGS if warnings else 0)


@kb.command("add")
@click.argument("kind")
@click.argument("id_", metavar="ID")
@click.option(
    "--into", required=True, type=_NEW_FILE, help="The file to write, in a folder of the shop's own."
)
@click.option("--like", help="A part to begin from; its values are then assumed of the new one.")
@layered
def add(kind: str, id_: str, into: Path, like: str | None, kb: _Folders, rules: _Folders) -> None:
    """Begin the part ID of a KIND: a file with every attribute, how it is measured, and room for its value."""
    library = open_library(kb, rules)
    of = _kind(kind, library.vocabulary)
    known = {part.id: part for part in library.knowledge.parts.values() if part.kind == of.name}
    if like is not None and like not in known:
        raise DataFaults([_unknown(like, known, f"a known {of.name}")])
    put(part_scaffold(of, id_, known[like] if like else None), into, kb, rules)
    click.echo(f"{into}: fill it in, then upfeed kb lint {into.parent}")


@kb.command("import")
@click.argument("file", type=_FILE)
@click.option("--kind", required=True, help="What every row is, as lifter.")
@click.option(
    "--into", required=True, type=_NEW_FILE, help="The file to write, in a folder of the shop's own."
)
@click.option(
    "--columns", type=_FILE, help="A YAML file that says what columns hold, where their heads do not."
)
@layered
def import_(file: Path, kind: str, into: Path, columns: Path | None, kb: _Folders, rules: _Folders) -> None:
    """Take in the parts of FILE, a spreadsheet saved as CSV: a part a row, all of them or none.

    Heads are words of a part (part, name, maker, numbers, designed_for ...) or attributes, with the unit of their
    cells in brackets: "feed hole (mm)". A cell's own unit goes before it. Rows that cannot be are listed by line.
    """
    library = open_library(kb, rules)
    of = _kind(kind, library.vocabulary)
    faults: list[Fault] = []
    node = read_yaml(columns.read_bytes(), str(columns), "", faults) if columns else None
    reading = read_reading(node, of, library.knowledge.sources, faults)
    sheet = read_sheet_of_parts(file.read_bytes(), str(file), of, reading, library.vocabulary)
    if faults or sheet.rejected:
        raise DataFaults([*faults, *sheet.rejected])
    put(written(sheet, reading), into, kb, rules)
    click.echo(f"{into}: {len(sheet.parts)} parts")


@kb.command("export")
@click.option("--kind", required=True, help="Which parts, as lifter.")
@layered
def export(kind: str, kb: _Folders, rules: _Folders) -> None:
    """Write the parts of a kind to standard output, as CSV that is safe to open in a spreadsheet."""
    library = open_library(kb, rules)
    of = _kind(kind, library.vocabulary)
    parts = (part for part in library.knowledge.parts.values() if part.kind == of.name)
    sys.stdout.buffer.write(write_sheet_of_parts(parts, of).encode())


def _kind(name: str, vocabulary: Vocabulary) -> Kind:
    known = {kind.name: kind for kind in vocabulary.kinds.values() if kind.name not in NO_PARTS}
    if name not in known:
        raise DataFaults([_unknown(name, known, either(known))])
    return known[name]


def _unknown(word: str, known: Iterable[str], expected: str) -> Fault:
    advice = did_you_mean(word, known)
    return Fault(Origin(file="command line"), "", quoted(word), expected, advice)
