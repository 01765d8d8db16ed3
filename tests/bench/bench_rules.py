"""What judging costs a rule while nothing fires, beside two general engines on the same conditions and facts.

    python tests/bench/bench_rules.py [--turns 300]

The facts are those of a reference build, the conditions those of the shipped rules that the other engines can be
told too (they know no max, min, abs and sqrt); limits stand in the conditions as numbers. Every engine has to find
every rule quiet. The others are compiled once and given their facts once; `common-expression-language` and
`rule-engine` are optional, and what is not installed is said and left out.
"""

import argparse
import importlib
import re
import time
from collections.abc import Callable, Iterator

from upfeed.answering.library import Library, open_library
from upfeed.flow.survey import Survey, survey
from upfeed.judging.condition import Condition, names_of
from upfeed.judging.language import Comparison
from upfeed.judging.rules import Rule
from upfeed.judging.terms import Reading
from upfeed.judging.walks import Site, sites
from upfeed.knowledge.records import BuildSheet

NAME = re.compile(r'"[^"]*"|[A-Za-z_][\w.]*')
NOT_TOLD = ("max(", "min(", "abs(", "sqrt(")
FAMILY = "tarn-v8"
Facts = dict[str, Reading]
Judging = Callable[[], object]


def reference(library: Library) -> Survey:
    """The facts of a family's reference build."""
    family = library.knowledge.families[FAMILY]
    return survey(
        BuildSheet("", "", family.id, None, {}, {}, {}, (), (), family.origin),
        library.knowledge,
        library.vocabulary,
    )


def asked(library: Library, of: Survey) -> Iterator[tuple[Rule, Site]]:
    """Rules that all engines can be told and that a reference build knows all about, each at its first place."""
    for rule in library.rulebook.rules.values():
        for site in sites(of, rule.walks)[:1]:
            facts = [site.read(name)[0] for name in rule.reads]
            if None not in facts and not any(word in text for text in texts(rule) for word in NOT_TOLD):
                yield rule, site


def texts(rule: Rule) -> list[str]:
    """Every line of a rule."""
    return [*lines(rule.when), *(let.calculation.text for let in rule.lets)]


def lines(condition: Condition) -> list[str]:
    """Its comparisons as written."""
    if isinstance(condition, Comparison):
        return [condition.text]
    return [line for part in condition.parts for line in lines(part)]


def told(rule: Rule, both: str, either: str, negation: str) -> str:
    """A rule's condition in a general language: names in one word, limits and calculations written out."""

    def spell(text: str) -> str:
        return NAME.sub(lambda match: word(match[0]), text)

    def word(name: str) -> str:
        if name in rule.limits:
            return f"({rule.limits[name].value!r})"
        let = next((let for let in rule.lets if let.name == name), None)
        return f"({spell(squared(let.calculation.text))})" if let else plain(name)

    def condition(part: Condition) -> str:
        if isinstance(part, Comparison):
            return f"({spell(listed(squared(part.text)))})"
        joined = f" {both if part.by == 'all' else either} ".join(condition(inner) for inner in part.parts)
        return f"({negation}({joined}))" if part.by == "none" else f"({joined})"

    return condition(rule.when)


def plain(name: str) -> str:
    """A name in one word; words in quotes, `in` and `not` stay."""
    return name if name[0] == '"' or name in {"in", "not"} else name.replace(".", "_")


def squared(text: str) -> str:
    """Areas written out."""
    return re.sub(r"area\(([\w.]+)\)", r"(0.7853981633974483 * \1 * \1)", text)


def listed(text: str) -> str:
    """Words in round brackets go in square ones; whole numbers get a point."""
    squares = re.sub(r"in \(([^)]*)\)", r"in [\1]", text)
    return re.sub(r"(?<![\w.\"])(\d+)(?![\w.\"])", r"\1.0", squares)


def with_cel(rules: list[tuple[Rule, Facts]]) -> list[Judging]:
    """Common Expression Language, each rule with a context of its own."""
    cel = importlib.import_module("cel")
    judging = []
    for rule, facts in rules:
        program = cel.compile(told(rule, "&&", "||", "!"))
        context = cel.Context(variables={plain(name): value for name, value in facts.items()})
        judging.append(lambda program=program, context=context: program.execute(context))
    return judging


def with_rule_engine(rules: list[tuple[Rule, Facts]]) -> list[Judging]:
    """rule-engine, each rule with a mapping of its own."""
    engine = importlib.import_module("rule_engine")
    judging = []
    for rule, facts in rules:
        compiled = engine.Rule(told(rule, "and", "or", "not "))
        known = {plain(name): value for name, value in facts.items()}
        judging.append(lambda compiled=compiled, known=known: compiled.matches(known))
    return judging


def with_upfeed(rules: list[tuple[Rule, Facts]]) -> list[Judging]:
    """The rules as they are loaded."""
    return [lambda test=rule.test, facts=facts: test(facts) for rule, facts in rules]


ENGINES = {
    "upfeed": with_upfeed,
    "common-expression-language": with_cel,
    "rule-engine": with_rule_engine,
}


def microseconds(judging: list[Judging], turns: int) -> float:
    """A rule's share of the quickest of a number of turns through all of them."""
    best = float("inf")
    for _ in range(turns):
        begun = time.perf_counter()
        for judge in judging:
            judge()
        best = min(best, time.perf_counter() - begun)
    return best / len(judging) * 1e6


def main() -> None:
    """Print the table."""
    chosen = argparse.ArgumentParser(description=__doc__)
    chosen.add_argument("--turns", type=int, default=300)
    turns = chosen.parse_args().turns
    library = open_library()
    of = reference(library)
    rules = [(rule, {name: site.read(name)[0] for name in rule.reads}) for rule, site in asked(library, of)]
    compared = sum(len(lines(rule.when)) for rule, _ in rules)
    print(f"{len(rules)} rules with {compared} comparisons over {len(names(rules))} facts; none fires")
    own = None
    for name, prepare in ENGINES.items():
        try:
            judging = prepare(rules)
        except ModuleNotFoundError:
            print(f"{name:>28}  not installed, left out")
            continue
        wrong = [rule.id for (rule, _), judge in zip(rules, judging, strict=True) if judge() is not False]
        assert not wrong, (name, wrong)
        took = microseconds(judging, turns)
        own = own or took
        print(f"{name:>28}  {took:7.2f} us a rule  {took / own:6.1f} times")


def names(rules: list[tuple[Rule, Facts]]) -> set[str]:
    """Every fact that a condition reads."""
    return {name for rule, facts in rules for name in names_of(rule.when) & facts.keys()}


if __name__ == "__main__":
    main()
