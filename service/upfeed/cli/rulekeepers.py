"""For whoever keeps the rules: begin one, put them to their cases."""

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from upfeed.answering.library import Library, layers_over, open_library
from upfeed.cli.options import FINDINGS, layered
from upfeed.judging.rules import Rule
from upfeed.keeping.casetest import put_to_builds, put_to_cases
from upfeed.keeping.newrule import rule_scaffold
from upfeed.knowledge.vocabulary import Attribute
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted
from upfeed.reading.folders import data_folder
from upfeed.reading.nearest import did_you_mean
from upfeed.reading.reader import is_ident

_Folders = tuple[Path, ...]
_FOLDER = click.Path(exists=True, file_okay=False, path_type=Path)


_COMMAND_LINE = Origin(file="command line")


@click.group()
def rules() -> None:
    """Keep rules in order."""


@rules.command("test")
@click.argument("folders", nargs=-1, type=_FOLDER)
@click.option(
    "--builds", type=_FOLDER, help="Where the builds lie that rules are shown by; upfeed's own otherwise."
)
@layered
def test_rules(folders: _Folders, builds: Path | None, kb: _Folders, rules: _Folders) -> None:
    """Put the rules of FOLDERS, laid over the base, to their cases and builds; without FOLDERS those of the base.

    Exit codes: 0 all come out as written; 1 some do not; 2 rules that do not load.
    """
    over = (*rules, *folders)
    library = open_library(kb, over)
    asked = _of_layers(
        library, [layer.name for layer in layers_over(data_folder("rules"), over)[len(rules) + 1 :]]
    )
    told = [*put_to_cases(asked), *put_to_builds(asked, builds or data_folder("shared") / "builds", library)]
    for fault in told:
        click.echo(str(fault))
    cases = sum(len(rule.cases) for rule in asked)
    click.echo(f"rules: {len(asked)}, cases: {cases}, otherwise than written: {len(told)}")
    sys.exit(FINDINGS if told else 0)


def _of_layers(library: Library, names: Sequence[str]) -> list[Rule]:
    rules = library.rulebook.rules.values()
    return [rule for rule in rules if not names or rule.origin.layer in names]


@rules.command("add")
@click.argument("rule", metavar="AREA/RULE")
@click.option(
    "--about", required=True, metavar="KIND.ATTRIBUTE", help="What the rule looks at, as lifter.feed_hole."
)
@click.option(
    "--into", required=True, type=click.Path(file_okay=False, path_type=Path), help="A folder of rules."
)
@layered
def add(rule: str, about: str, into: Path, kb: _Folders, rules: _Folders) -> None:
    """Begin a rule in AREA: two files that load and agree, to be made into what is meant."""
    library = open_library(kb, rules)
    area, _, id_ = rule.partition("/")
    kind, attribute = _attribute(about, library)
    wrong = [word for word in (area, id_) if not is_ident(word)]
    taken = id_ in library.rulebook.rules
    folder = into / area / id_
    if wrong or taken or folder.exists():
        found = f"{quoted(rule)}, which is there already" if taken or folder.exists() else quoted(rule)
        raise DataFaults(
            [Fault(Origin(file="command line"), "", found, "area/rule, both ids, of a rule that is new")]
        )
    folder.mkdir(parents=True)
    for name, text in rule_scaffold(id_, area, kind, attribute).items():
        (folder / name).write_text(text, encoding="utf-8")
    click.echo(f"{folder}: make it into what is meant, then upfeed rules test {into}")


def _attribute(about: str, library: Library) -> tuple[str, Attribute]:
    known = {
        f"{kind.name}.{attribute.name}": (kind.name, attribute)
        for kind in library.vocabulary.kinds.values()
        for attribute in kind.attributes.values()
        if attribute.table is None
    }
    if about not in known:
        advice = did_you_mean(about, known)
        raise DataFaults([Fault(_COMMAND_LINE, "", quoted(about), "kind.attribute", advice)])
    return known[about]
