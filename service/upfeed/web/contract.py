"""Writes the contract to openapi/, or checks that what lies there is the contract: python -m upfeed.web.contract.

The answers that it shows are made by asking the service in memory; they lie in shared/, so that it can send them too.
"""

import sys
from collections.abc import Sequence
from pathlib import Path

import click
import msgspec

from upfeed.answering.library import open_library
from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.reading.folders import data_folder
from upfeed.web.app import ROUTES
from upfeed.web.document import document
from upfeed.web.exampleanswers import ExampleAnswer, example_file, read_examples, settled, written_examples
from upfeed.web.examplemaking import made_examples
from upfeed.web.limits import DEFAULTS


def contract() -> bytes:
    """The contract of this program, with the limits that hold unless a service is told otherwise."""
    return _contract(read_examples(example_file()))


def _contract(examples: Sequence[ExampleAnswer]) -> bytes:
    return document(ROUTES, read_vocabulary(data_folder("shared") / "vocabulary"), DEFAULTS, examples)


@click.command()
@click.option("--write", "mode", flag_value="write", help="Write it.")
@click.option(
    "--check", "mode", flag_value="check", default="check", help="Fail where the file is another (default)."
)
@click.option(
    "--answers", type=click.Path(path_type=Path), default=example_file, help="The answers that it shows."
)
@click.argument("file", type=click.Path(path_type=Path), default=Path("openapi/openapi.json"))
def main(mode: str, answers: Path, file: Path) -> None:
    """Write the contract to FILE and the answers that it shows, or check both."""
    examples = settled(_kept(answers), made_examples(open_library()))
    made = {answers: written_examples(examples), file: _contract(examples)}
    if mode == "write":
        for path, content in made.items():
            path.write_bytes(content)
        return
    stale = [path for path, content in made.items() if not path.is_file() or path.read_bytes() != content]
    for path in stale:
        click.echo(f"{path} is not what this program makes; write it anew with --write", err=True)
    sys.exit(1 if stale else 0)


def _kept(answers: Path) -> list[ExampleAnswer]:
    """The answers that were written before; none where they can't be read."""
    try:
        return read_examples(answers)
    except (OSError, msgspec.DecodeError):
        return []


if __name__ == "__main__":
    main()
