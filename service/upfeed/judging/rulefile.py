"""Reads rule.yaml: one rule, compiled and checked against everything it names."""

from collections.abc import Collection

from upfeed.judging.condition import Condition, names_of
from upfeed.judging.dimension import Number
from upfeed.judging.message import Message, compile_message
from upfeed.judging.quick import quick_test
from upfeed.judging.rulelines import read_condition, read_lets
from upfeed.judging.rules import WEIGHTS, Let, Mend, Rule, Walk, Weight, Worst
from upfeed.judging.ruleterms import GALLERY, RuleTerms, compiled, with_lets
from upfeed.reading.faults import Fault, quoted
from upfeed.reading.nearest import did_you_mean, either
from upfeed.reading.nodes import Node, Sequence
from upfeed.reading.reader import Reader

_FIELDS = (
    *("format", "rule", "area", "walks", "weighs", "explains", "about", "why"),
    *("let", "when", "says", "worst", "mend", "known_limits", "sources"),
)


def read_rule(node: Node, area: str, id_: str, terms: RuleTerms, faults: list[Fault]) -> Rule | None:
    """The rule of a file in folder area/id, without its cases; None if anything is wrong."""
    before = len(faults)
    file = Reader(node, f"rule {id_}", faults)
    file.only(*_FIELDS)
    file.format()
    _named_as(file, "rule", id_)
    _named_as(file, "area", area)
    lets = read_lets(file, terms)
    own = with_lets(terms, lets)
    when, says = read_condition(file, own), _sentence(file, own)
    weighs = _weight(file)
    walks, about = _walks(file, terms), _known(file, "about", _values(terms), "an attribute or setting")
    explains, why, mend = file.words("explains"), file.text("why"), _mends(file, terms)
    worst, known_limits = _worst(file, lets), file.text("known_limits")
    sources = _known(file, "sources", terms.sources, "a known source")
    if not sources:
        file.fault("sources", "no source", "at least one known source")
    if when is None or says is None or weighs is None:
        return None
    reads, limits = _read(when, says, lets, terms)
    if not reads:
        file.fault("when", "a rule that reads nothing of a build", "a line that reads a value or a fact")
    told_by = {terms.names[name].told_by for name in reads}
    if told_by - {"flow"} and weighs != "note":
        expected = (
            "note, for a rule that reads what only parts' numbers or draws tell: neither changes a verdict"
        )
        file.fault("weighs", weighs, expected)
    if len(faults) > before:
        return None
    used = {name: terms.limits[name] for name in limits}
    return Rule(
        id=id_,
        area=area,
        walks=walks,
        weighs=weighs,
        explains=explains,
        about=about,
        why=why,
        lets=lets,
        limits=used,
        when=when,
        test=quick_test(when, lets, used, own.types),
        says=says,
        mend=mend,
        known_limits=known_limits,
        sources=sources,
        reads=reads,
        cases=(),
        builds=(),
        origin=file.origin(),
        worst=worst,
        of_draws="draws" in told_by,
    )


def _read(
    when: Condition, says: Message, lets: tuple[Let, ...], terms: RuleTerms
) -> tuple[frozenset[str], list[str]]:
    """The names a place must provide, and the limits used."""
    names = names_of(when) | says.names
    names = names.union(*(let.calculation.names for let in lets))
    reads = names - terms.limits.keys() - {let.name for let in lets}
    return reads, sorted(names & terms.limits.keys())


def _named_as(file: Reader, key: str, folder: str) -> None:
    text = file.text(key)
    if text and text != folder:
        file.fault(key, quoted(text), f"{folder}, the name of its folder")


def _weight(file: Reader) -> Weight | None:
    word = file.one_of("weighs", WEIGHTS)
    if file.node("weighs") is None:
        file.fault("weighs", "nothing", either(WEIGHTS))
    return next((weight for weight in WEIGHTS if weight == word), None)


def _worst(file: Reader, lets: tuple[Let, ...]) -> Worst | None:
    """As `{least: left}`: the calculation that tells which place is the worst, and at which end."""
    given = file.mapping("worst")
    if given is None:
        return None
    given.only("least", "most")
    ends = [end for end in ("least", "most") if given.node(end)]
    if len(ends) != 1:
        found = "both `least` and `most`" if ends else "neither `least` nor `most`"
        file.fault("worst", found, "one of them, with a calculation of `let`")
        return None
    by_name = {let.name: let for let in lets if isinstance(let.shown.type, Number)}
    name = given.one_of(ends[0], by_name)
    return Worst(by_name[name], ends[0] == "most") if name else None


def _walks(file: Reader, terms: RuleTerms) -> tuple[Walk, ...]:
    """One stretch, or several of which a family's first counts."""
    several = isinstance(file.node("walks"), Sequence)
    texts = file.words("walks") if several else (file.text("walks"),)
    if several and not texts:
        file.fault("walks", "no stretch", "slots along the oil's path, joined by >")
    return tuple(_walk(file, text, terms) for text in texts)


def _walk(file: Reader, text: str, terms: RuleTerms) -> Walk:
    words = tuple(word.strip() for word in text.split(">"))
    known = {GALLERY, *terms.slots}
    for word in filter(None, words):
        if word not in known:
            expected = "slots along the oil's path, joined by >"
            file.fault("walks", f"the unknown slot {quoted(word)}", expected, did_you_mean(word, known))
    return words


def _known(file: Reader, key: str, known: Collection[str], expected: str) -> tuple[str, ...]:
    words = file.words(key)
    for word in words:
        if word not in known:
            file.fault(key, quoted(word), expected, did_you_mean(word, known))
    return words


def _values(terms: RuleTerms) -> set[str]:
    owners = {*terms.slots, "settings"}
    return {
        name for name, shown in terms.names.items() if name.partition(".")[0] in owners and not shown.proper
    }


def _sentence(file: Reader, terms: RuleTerms) -> Message | None:
    text = file.text("says")
    if not text:
        return None
    origin, path = file.origin("says"), file.path_of("says")
    return compiled(lambda: compile_message(text, terms.names), origin, path, file.faults, marked=False)


def _mends(file: Reader, terms: RuleTerms) -> tuple[Mend, ...]:
    known = terms.slots | terms.settings | terms.sizes
    mends = []
    for mend in file.mappings("mend"):
        mend.only("do", "tries")
        mends.append(Mend(mend.text("do"), mend.one_of("tries", sorted(known))))
    return tuple(mends)
