"""Writes the contract to openapi/, or checks that what lies there is the contract: python -m upfeed.web.contract."""

import sys
from pathlib import Path

import click

from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.reading.folders import data_folder
from upfeed.web.app import ROUTES
from upfeed.web.document import document
from upfeed.web.limits import DEFAULTS


def contract() -> bytes:
    """The contract of this program, with the limits that hold unless a service is told otherwise."""
    return document(ROUTES, read_vocabulary(data_folder("shared") / "vocabulary"), DEFAULTS)


@click.command()
@click.option("--write", "mode", flag_value="write", help="Write it.")
@click.option(
    "--check", "mode", flag_value="check", default="check", help="Fail where the file is another (default)."
)
@click.argument("file", type=click.Path(path_type=Path), default=Path("openapi/openapi.json"))
def main(mode: str, file: Path) -> None:
    """Write the contract to FILE, or check FILE against it."""
    if mode == "write":
        file.write_bytes(contract())
    elif not file.is_file() or file.read_bytes() != contract():
        click.echo(f"{file} is not the contract of this program; write it with --write", err=True)
        sys.exit(1)


if __name__ == "__main__":
    main()
