"""JSON Schemas for whoever edits YAML: generated from the vocabulary, checked against it.

`python -m upfeed.schemas.generate --write` makes the files of openapi/schemas anew; `--check` tells whether they are.
"""

import json
import sys
from collections.abc import Callable
from pathlib import Path

import click

from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.reading.folders import data_folder
from upfeed.schemas import knowledgeschema, ruleschema
from upfeed.schemas.schemawords import Schema

DIALECT = "https://json-schema.org/draft/2020-12/schema"

_FILES: dict[str, tuple[str, Callable[[Vocabulary], Schema]]] = {
    "knowledge": ("upfeed: a file of parts, families and sources (kb/**/*.yaml)", knowledgeschema.knowledge),
    "build": ("upfeed: a build (shared/builds/*.yaml)", knowledgeschema.build),
    "rule": ("upfeed: a rule (rules/*/*/rule.yaml)", ruleschema.rule),
    "cases": ("upfeed: cases of a rule (rules/*/*/cases.yaml)", ruleschema.cases),
    "limits": ("upfeed: limits of an area of rules (rules/*/limits.yaml)", ruleschema.limits),
}


def schemas(vocabulary: Vocabulary) -> dict[str, Schema]:
    """The schema of every kind of file, by name: knowledge, build, rule, cases, limits."""
    return {
        name: {"$schema": DIALECT, "$id": f"{name}.schema.json", "title": title, **make(vocabulary)}
        for name, (title, make) in _FILES.items()
    }


def files(vocabulary: Vocabulary) -> dict[str, bytes]:
    """The bytes of every schema file, by its name."""
    return {
        f"{name}.schema.json": (json.dumps(schema, indent=1, ensure_ascii=False) + "\n").encode()
        for name, schema in schemas(vocabulary).items()
    }


@click.command()
@click.option("--write", "wanted", flag_value="write", help="Write the files.")
@click.option("--check", "wanted", flag_value="check", default=True, help="Tell whether they are up to date.")
@click.option("--folder", type=click.Path(path_type=Path), help="Where, if not in the checkout.")
def main(wanted: str, folder: Path | None) -> None:
    """Write or check the JSON Schemas of openapi/schemas."""
    there = folder or data_folder("shared").parent / "openapi" / "schemas"
    made = files(read_vocabulary(data_folder("shared") / "vocabulary"))
    if wanted == "write":
        there.mkdir(parents=True, exist_ok=True)
        for name, content in made.items():
            (there / name).write_bytes(content)
        return
    stale = [n for n, content in made.items() if not _same(there / n, content)]
    for name in stale:
        click.echo(f"{there / name} is not what the vocabulary makes; write it anew with --write", err=True)
    sys.exit(1 if stale else 0)


def _same(path: Path, content: bytes) -> bool:
    return path.is_file() and path.read_bytes() == content


if __name__ == "__main__":
    main()
