"""Judge saved builds by another knowledge base."""

import sys
from pathlib import Path

import click

from upfeed.answering.library import open_library
from upfeed.cli.options import FINDINGS, UNUSABLE, layered
from upfeed.keeping.recheck import Rechecked
from upfeed.keeping.recheck import recheck as judged_by_both
from upfeed.text.prose import words

_FOLDER = click.Path(exists=True, file_okay=False, path_type=Path)


@click.command()
@click.argument("folder", type=_FOLDER)
@click.option(
    "--against", required=True, type=_FOLDER, help="A folder of knowledge to lay over the base as well."
)
@layered
def recheck(folder: Path, against: Path, kb: tuple[Path, ...], rules: tuple[Path, ...]) -> None:
    """List the saved builds of FOLDER whose verdict or findings change with another knowledge base.

    Exit codes: 0 no verdict changes; 1 some do; 2 some builds can't be judged (the others are).
    """
    before, after = open_library(kb, rules), open_library((*kb, against), rules)
    told, faults = judged_by_both(folder, before, after)
    for build in told:
        if build.differs:
            _tell(build)
    changed = sum(build.was != build.now for build in told)
    click.echo(f"builds: {len(told)}, verdicts that change: {changed}")
    for fault in faults:
        click.echo(str(fault), err=True)
    sys.exit(UNUSABLE if faults else FINDINGS if changed else 0)


def _tell(build: Rechecked) -> None:
    verdict = (
        f"still {words(build.now)}" if build.was == build.now else f"{words(build.was)} -> {words(build.now)}"
    )
    click.echo(f"{build.file}: {verdict}")
    for id_ in build.gone:
        click.echo(f"  no longer {id_}")
    for id_ in build.new:
        click.echo(f"  new: {id_}")
