"""The command line."""

import sys

import click

from upfeed import __version__
from upfeed.cli.asking import layers, parts, show
from upfeed.cli.benching import sheet
from upfeed.cli.checking import check
from upfeed.cli.comparing import compare
from upfeed.cli.fitting import fits
from upfeed.cli.keepers import kb
from upfeed.cli.mending import mends
from upfeed.cli.options import UNUSABLE
from upfeed.cli.readings import readings
from upfeed.cli.rechecking import recheck
from upfeed.cli.relating import differ, instead
from upfeed.cli.rulekeepers import rules
from upfeed.cli.serving import serve
from upfeed.reading.faults import DataFaults

__all__ = ["cli", "main"]


@click.group()
@click.version_option(__version__)
def cli() -> None:
    """Does oil still get up to the rockers when parts of different engine families are mixed?

    Exit codes: 0 nothing at or above the asked weight; 1 findings; 2 input that can't be used; 3 cannot tell yet.
    """


_COMMANDS = (
    *(check, compare, mends, fits, readings, sheet),
    *(parts, show, differ, instead, layers),
    *(kb, rules, recheck, serve),
)

for command in _COMMANDS:
    cli.add_command(command)


def main() -> None:
    """Run a command; faults in the data go to standard error, one a line."""
    try:
        cli()
    except DataFaults as wrong:
        for fault in wrong.faults:
            click.echo(str(fault), err=True)
        sys.exit(UNUSABLE)
