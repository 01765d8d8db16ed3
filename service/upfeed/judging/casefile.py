"""Reads cases.yaml: facts that a rule is shown by, and what it says to them."""

from upfeed.judging.dimension import Word
from upfeed.judging.lexicon import Name
from upfeed.judging.rules import OUTCOMES, BuildCase, Case, Outcome, Rule
from upfeed.judging.ruleterms import RuleTerms
from upfeed.judging.terms import Reading
from upfeed.reading import units
from upfeed.reading.faults import Fault, Origin, quoted
from upfeed.reading.nearest import did_you_mean, either
from upfeed.reading.nodes import Node, Scalar, described
from upfeed.reading.reader import Reader


def read_cases(
    node: Node, rule: Rule, terms: RuleTerms, faults: list[Fault]
) -> tuple[tuple[Case, ...], tuple[BuildCase, ...]]:
    """The cases and build cases of a rule; what is wrong with them is added to `faults`."""
    file = Reader(node, f"cases of {rule.id}", faults)
    file.only("format", "cases", "builds")
    file.format()
    cases = [_case(reader, rule.reads, terms) for reader in file.mappings("cases")]
    builds = [_build(reader) for reader in file.mappings("builds")]
    for outcome in OUTCOMES:
        if outcome not in [case.expect for case in cases if case]:
            file.fault(
                "cases", f"no case that expects {outcome}", "one that fires, one quiet and one unknown"
            )
    return tuple(case for case in cases if case), tuple(build for build in builds if build)


def _case(case: Reader, reads: frozenset[str], terms: RuleTerms) -> Case | None:
    case.only("case", "expect", "facts", "says", "blocked_by")
    words, expect = case.text("case"), _expectation(case)
    facts = _facts(case, reads, terms)
    says, blocked_by = case.optional_text("says"), case.words("blocked_by")
    if expect is None:
        return None
    if (says is not None) != (expect == "fires"):
        advice = "A rule speaks when it fires, and only then."
        case.fault("says", "no sentence" if says is None else "a sentence", f"what suits {expect}", advice)
    if bool(blocked_by) != (expect == "unknown"):
        advice = "Name what a rule waits for when it cannot tell, and only then."
        case.fault("blocked_by", f"{len(blocked_by)} names", f"what suits {expect}", advice)
    for name in blocked_by:
        _check_read(case, "blocked_by", name, reads)
    return Case(words, expect, facts, says, blocked_by, case.origin())


def _build(build: Reader) -> BuildCase | None:
    build.only("build", "expect")
    name, expect = build.ident("build"), _expectation(build)
    return BuildCase(name, expect, build.origin()) if name and expect else None


def _expectation(reader: Reader) -> Outcome | None:
    word = reader.one_of("expect", OUTCOMES)
    if reader.node("expect") is None:
        reader.fault("expect", "nothing", either(OUTCOMES))
    return next((outcome for outcome in OUTCOMES if outcome == word), None)


def _facts(case: Reader, reads: frozenset[str], terms: RuleTerms) -> dict[str, Reading]:
    section = case.mapping("facts")
    if section is None:
        return {}
    return {
        name: _reading(node, terms.names[name], section.path_of(name), case.faults)
        for name, node, _ in section.items()
        if _check_read(section, name, name, reads)
    }


def _check_read(reader: Reader, key: str, name: str, reads: frozenset[str]) -> bool:
    if name not in reads:
        reader.fault(key, f"the name {quoted(name)}", "a name that the rule reads", did_you_mean(name, reads))
    return name in reads


def _reading(node: Node, name: Name, path: str, faults: list[Fault]) -> Reading:
    if not isinstance(node, Scalar):
        faults.append(Fault(node.origin, path, described(node), "a value, or null for unknown"))
        return None
    if node.form in {"null", "refused"}:
        return None
    if isinstance(name.type, Word):
        return _word(node, name.type, path, faults)
    return _number(node.text, name, node.origin, path, faults)


def _word(node: Scalar, type_: Word, path: str, faults: list[Fault]) -> str | None:
    if node.form == "text" and (type_.words is None or node.text in type_.words):
        return node.text
    known = sorted(type_.words or ())
    expected = either(known) if known else "text"
    faults.append(Fault(node.origin, path, described(node), expected, did_you_mean(node.text, known)))
    return None


def _number(text: str, name: Name, origin: Origin, path: str, faults: list[Fault]) -> float | None:
    try:
        return units.parse(text, name.quantity or "ratio")
    except units.UnitFault as fault:
        faults.append(Fault(origin, path, fault.found, fault.expected, fault.advice))
        return None
