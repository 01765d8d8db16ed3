"""The committed guides in Markdown: rules, and how everything is measured.

`python -m upfeed.keeping.guides --write` makes the files of shared/guides anew; `--check` tells whether they are.
"""

import sys
from pathlib import Path

import click

from upfeed.answering.library import Library, open_library
from upfeed.reading.folders import data_folder
from upfeed.text.measuring import measuring_guide
from upfeed.text.rulecatalogue import rule_catalogue


def guides(library: Library) -> dict[str, bytes]:
    """The bytes of every guide, by the name of its file."""
    made = {"rules.md": rule_catalogue(library.rulebook), "measuring.md": measuring_guide(library.vocabulary)}
    return {name: text.encode() for name, text in made.items()}


@click.command()
@click.option("--write", "wanted", flag_value="write", help="Write the files.")
@click.option("--check", "wanted", flag_value="check", default=True, help="Tell whether they are up to date.")
@click.option("--folder", type=click.Path(path_type=Path), help="Where, if not in the checkout.")
def main(wanted: str, folder: Path | None) -> None:
    """Write or check the guides of shared/guides."""
    there = folder or data_folder("shared") / "guides"
    made = guides(open_library())
    if wanted == "write":
        there.mkdir(parents=True, exist_ok=True)
        for name, content in made.items():
            (there / name).write_bytes(content)
        return
    stale = [
        n
        for n, content in made.items()
        if not ((there / n).is_file() and (there / n).read_bytes() == content)
    ]
    for name in stale:
        click.echo(
            f"{there / name} is not what rules and vocabulary make; write it anew with --write", err=True
        )
    sys.exit(1 if stale else 0)


if __name__ == "__main__":
    main()
