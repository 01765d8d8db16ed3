"""For whoever keeps the knowledge base: look it over."""

import sys
from pathlib import Path

import click

from upfeed.answering.library import layers_over, open_library
from upfeed.cli.options import FINDINGS, layered
from upfeed.keeping.lint import lint
from upfeed.reading.folders import data_folder


@click.group()
def kb() -> None:
    """Keep a knowledge base in order."""


@kb.command("lint")
@click.argument("folders", nargs=-1, type=click.Path(exists=True, file_okay=False, path_type=Path))
@layered
def lint_folders(folders: tuple[Path, ...], kb: tuple[Path, ...], rules: tuple[Path, ...]) -> None:
    """Tell every error in FOLDERS, laid over the base one after the other, else what is worth a second look in them.

    Without FOLDERS the base itself is looked over. Exit codes: 0 nothing to tell; 1 warnings; 2 errors.
    """
    over = (*kb, *folders)
    library = open_library(over, rules)
    asked = [layer.name for layer in layers_over(data_folder("kb"), over)[len(kb) + 1 :]]
    warnings = lint(library, asked)
    for warning in warnings:
        click.echo(str(warning))
    sys.exit(FINDINGS if warnings else 0)
