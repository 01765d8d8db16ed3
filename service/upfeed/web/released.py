"""Holds the contract against the last one released: python -m upfeed.web.released.

Released contracts lie in openapi/released/<version>.json. What a client would break on is refused; what is added is
listed in openapi/CHANGELOG.md, by release, from these documents alone.
"""

import json
import re
import sys
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from pathlib import Path

import click
from msgspec import Struct

from upfeed.web.change import Change
from upfeed.web.contractchange import contract_changes
from upfeed.web.valueschema import Schema

_VERSION = re.compile(r"(\d+)\.(\d+)\.(\d+)", re.ASCII)
_HEAD = """# Changes of the contract

Written by `python -m upfeed.web.released --write` from `openapi.json` and `released/`. All of it was added; nothing
is taken away or changes its meaning under /v1.
"""


class Release(Struct, frozen=True):
    """A contract as it was released."""

    version: str
    document: Schema


def releases(folder: Path) -> list[Release]:
    """Every released contract, the earliest first. Raises UsageError for a file that is not named by a version."""
    files = sorted(folder.glob("*.json"), key=_number)
    return [Release(path.stem, json.loads(path.read_bytes())) for path in files]


def _number(path: Path) -> tuple[int, ...]:
    found = _VERSION.fullmatch(path.stem)
    if found is None:
        raise click.UsageError(f"{path}: a released contract is named by its version, as 1.2.0.json")
    return tuple(map(int, found.groups()))


def breaks(past: Sequence[Release], document: Schema) -> list[Change]:
    """On what a client of the last release would break."""
    return (
        [change for change in contract_changes(past[-1].document, document) if change.breaks] if past else []
    )


def changelog(past: Sequence[Release], document: Schema) -> str:
    """What each release added to the one before, the latest first."""
    steps = [*past, Release("Not released yet", document)]
    sections = [_section(*pair) for pair in pairwise(steps)]
    first = f"## {past[0].version}\n\nThe first." if past else "Nothing has been released yet."
    return "\n".join([_HEAD, *(f"{section}\n" for section in reversed(sections)), first]) + "\n"


def _section(before: Release, after: Release) -> str:
    lines = list(_lines(contract_changes(before.document, after.document)))
    return "\n".join([f"## {after.version}", "", *(lines or ["Nothing new."])])


def _lines(changes: Iterable[Change]) -> Iterator[str]:
    return (f"- {change}" for change in changes if not change.breaks)


@click.command()
@click.option("--write", "mode", flag_value="write", help="Write CHANGELOG.md.")
@click.option(
    "--check", "mode", flag_value="check", default="check", help="Fail where it is another (default)."
)
@click.argument("folder", type=click.Path(path_type=Path), default=Path("openapi"))
def main(mode: str, folder: Path) -> None:
    """Refuse openapi.json in FOLDER where clients of the last release break on it; list what it adds."""
    past, document = releases(folder / "released"), json.loads((folder / "openapi.json").read_bytes())
    refused = breaks(past, document)
    for change in refused:
        click.echo(f"breaks clients of {past[-1].version}: {change}", err=True)
    log, told = folder / "CHANGELOG.md", changelog(past, document)
    if mode == "write":
        log.write_text(told, encoding="utf-8")
    elif not log.is_file() or log.read_text(encoding="utf-8") != told:
        click.echo(f"{log} does not tell what changed; write it with --write", err=True)
        sys.exit(1)
    sys.exit(1 if refused else 0)


if __name__ == "__main__":
    main()
