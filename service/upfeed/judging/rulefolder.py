"""Loads every rule of every layer, with its limits and cases, or says all that is wrong with them."""

import hashlib
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from upfeed.judging.casefile import read_cases
from upfeed.judging.limitfile import of_limit, read_limits
from upfeed.judging.rulefile import read_rule
from upfeed.judging.rules import Limit, Rule, Rulebook
from upfeed.judging.ruleterms import RuleTerms, rule_terms, with_limits
from upfeed.knowledge.load import Layer
from upfeed.knowledge.records import Override
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted
from upfeed.reading.nearest import did_you_mean
from upfeed.reading.yamltree import Node, read_yaml

LIMITS, RULE, CASES = "limits.yaml", "rule.yaml", "cases.yaml"


class _File(Struct, frozen=True):
    """One file of a layer: its folders below the layer's, its name and its bytes."""

    layer: Layer
    shown: str
    folders: tuple[str, ...]
    name: str
    content: bytes


def load_rules(layers: Iterable[Layer], vocabulary: Vocabulary, sources: Collection[str]) -> Rulebook:
    """All rules by id, from folders of area/limits.yaml and area/rule-id/{rule,cases}.yaml.

    Limits and rules of later layers take the place of earlier ones of the same name.

    Raises DataFaults with everything that is wrong in any file.
    """
    faults: list[Fault] = []
    files = [file for layer in layers for file in _files(layer, faults)]
    terms = rule_terms(vocabulary, sources)
    overrides: list[Override] = []
    limits = _limits(files, terms, overrides, faults)
    areas = {area: with_limits(terms, own) for area, own in limits.items()}
    rules = _rules(files, areas, terms, overrides, faults)
    _check_roots(rules, {file.folders[1] for file in files if file.name != LIMITS}, faults)
    if faults:
        raise DataFaults(faults)
    return Rulebook(dict(sorted(rules.items())), _digest(files), tuple(overrides))


def _files(layer: Layer, faults: list[Fault]) -> Iterator[_File]:
    if not layer.folder.is_dir():
        at = Origin(layer.name, layer.folder.as_posix())
        faults.append(Fault(at, "", "no such folder", "a folder of rules"))
    for path in sorted(layer.folder.rglob("*")):
        inner = path.relative_to(layer.folder)
        if path.is_dir() or any(part.startswith(".") for part in inner.parts):
            continue
        file = _File(layer, f"{layer.folder.name}/{inner.as_posix()}", inner.parts[:-1], inner.name, b"")
        if (len(file.folders), file.name) in {(1, LIMITS), (2, RULE), (2, CASES)}:
            yield from _opened(file, path, faults)
        else:
            expected = f"area/{LIMITS}, area/rule-id/{RULE} or area/rule-id/{CASES}"
            faults.append(Fault(Origin(layer.name, file.shown), "", "a file that holds no rules", expected))


def _opened(file: _File, path: Path, faults: list[Fault]) -> Iterator[_File]:
    try:
        yield replace(file, content=path.read_bytes())
    except OSError as error:
        found = f"an unreadable file ({error.strerror})"
        faults.append(Fault(Origin(file.layer.name, file.shown), "", found, "a file that may be read"))


def _limits(
    files: Sequence[_File], terms: RuleTerms, overrides: list[Override], faults: list[Fault]
) -> dict[str, dict[str, Limit]]:
    """The limits by area, and in it by full name."""
    limits: dict[str, dict[str, Limit]] = {}
    for file in files:
        node = _tree(file, faults) if file.name == LIMITS else None
        if node is not None:
            area = file.folders[0]
            known, own = limits.setdefault(area, {}), read_limits(node, area, terms, faults)
            overrides += [of_limit(known[name], limit, area) for name, limit in own.items() if name in known]
            known.update(own)
    return limits


def _rules(
    files: Sequence[_File],
    areas: Mapping[str, RuleTerms],
    terms: RuleTerms,
    overrides: list[Override],
    faults: list[Fault],
) -> dict[str, Rule]:
    by_folder: dict[tuple[Layer, tuple[str, ...]], dict[str, _File]] = {}
    for file in files:
        if file.name != LIMITS:
            by_folder.setdefault((file.layer, file.folders), {})[file.name] = file
    rules: dict[str, Rule] = {}
    owners: dict[tuple[Layer, str], str] = {}
    for (layer, (area, id_)), own in by_folder.items():
        rule = _rule(own, areas.get(area, terms), faults)
        owner = owners.setdefault((layer, id_), area)
        if owner != area:
            found = f"an id that a rule of {owner} has"
            faults.append(Fault(_folder(own), f"rule {id_}", found, "an id of its own"))
        if rule and id_ in rules and rules[id_].origin.layer != layer.name:
            overrides.append(Override("rule", id_, rules[id_].origin, rule.origin))
        if rule:
            rules[id_] = rule
    return rules


def _rule(files: Mapping[str, _File], terms: RuleTerms, faults: list[Fault]) -> Rule | None:
    area, id_ = next(iter(files.values())).folders
    for name in (RULE, CASES):
        if name not in files:
            expected = f"{RULE} and {CASES} side by side"
            faults.append(Fault(_folder(files), f"rule {id_}", f"no {name}", expected))
    if len(files) < 2:
        return None
    node, cases = _tree(files[RULE], faults), _tree(files[CASES], faults)
    rule = read_rule(node, area, id_, terms, faults) if node else None
    if rule is None or cases is None:
        return None
    shown_by, builds = read_cases(cases, rule, terms, faults)
    return replace(rule, cases=shown_by, builds=builds)


def _folder(files: Mapping[str, _File]) -> Origin:
    some = next(iter(files.values()))
    return Origin(some.layer.name, some.shown.removesuffix(f"/{some.name}"))


def _tree(file: _File, faults: list[Fault]) -> Node | None:
    return read_yaml(file.content, file.shown, file.layer.name, faults)


def _check_roots(rules: Mapping[str, Rule], ids: Collection[str], faults: list[Fault]) -> None:
    for rule in rules.values():
        for word in rule.explains:
            if word not in ids:
                _blame(rule, quoted(word), "the id of a rule", did_you_mean(word, ids), faults)
        if rule.id in _explained(rule, rules):
            _blame(rule, "a rule that in the end explains itself", "a root of other rules", "", faults)


def _blame(rule: Rule, found: str, expected: str, advice: str, faults: list[Fault]) -> None:
    faults.append(Fault(rule.origin, f"rule {rule.id}, explains", found, expected, advice))


def _explained(rule: Rule, rules: Mapping[str, Rule]) -> set[str]:
    found: set[str] = set()
    waiting = list(rule.explains)
    while waiting:
        id_ = waiting.pop()
        if id_ not in found and id_ in rules:
            waiting += rules[id_].explains
        found.add(id_)
    return found


def _digest(files: Iterable[_File]) -> str:
    digest = hashlib.sha256()
    for file in files:
        for part in (file.shown.encode(), file.content):
            digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest()
