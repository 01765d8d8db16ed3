"""Answers as JUnit XML, which servers of continuous integration read.

There is no standard of it. This keeps to what its common readers take: suites and cases as Maven Surefire writes them
(surefire-test-report.xsd), gathered in `testsuites` as Apache Ant's JUnitReport gathers them.
"""

from collections.abc import Iterable, Mapping, Sequence
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from msgspec import Struct

from upfeed.advising.comparing.since import Held, Reckoned
from upfeed.answering.answer import Answer
from upfeed.answering.several import Checked, Refused
from upfeed.reading.faults import visible
from upfeed.text.lines import waits_for

_USABLE = "build"
"""The case that every suite has: whether the build could be checked at all."""


class _Area(Struct, frozen=True):
    """What the rules of one area say of one build."""

    counting: list[Held]
    untold: list[str]
    others: list[Held]


class Reporter:
    """Reports builds: a suite each, in it a case for every area of rules, so that a case can be followed over time.

    An area fails where a finding of it counts, and is in error where it can't be told. `areas` are those of the rules.
    """

    def __init__(self, areas: Mapping[str, str]) -> None:
        self._areas = areas

    def report(self, outcomes: Iterable[tuple[Checked | Refused, Reckoned | None]]) -> bytes:
        """The whole report. Times are nought: the same builds give the same bytes."""
        suites = [self._suite(outcome, reckoned) for outcome, reckoned in outcomes]
        root = Element("testsuites", {"name": "upfeed check"} | _counts(suites))
        root.extend(suites)
        indent(root)
        report: bytes = tostring(root, encoding="utf-8", xml_declaration=True)
        return report + b"\n"

    def _suite(self, outcome: Checked | Refused, reckoned: Reckoned | None) -> Element:
        suite, name = Element("testsuite"), visible(outcome.build)
        usable = _case(suite, name, _USABLE)
        if isinstance(outcome, Refused):
            says = [fault.says for fault in outcome.faults]
            _verdict(usable, "error", "unusable", says[0], says)
        elif reckoned:
            for area, told in self._by_area(reckoned).items():
                _tell(_case(suite, name, area), told, outcome.answer)
        suite.attrib.update({"name": name} | _counts([suite]) | {"skipped": "0", "time": "0"})
        return suite

    def _by_area(self, reckoned: Reckoned) -> dict[str, _Area]:
        found = {area: _Area([], [], []) for area in sorted(set(self._areas.values()))}
        for held in reckoned.findings:
            area = found[self._areas[held.finding.rule]]
            (area.counting if held.counts else area.others).append(held)
        for id_ in reckoned.untold:
            found[self._areas[id_.partition("@")[0]]].untold.append(id_)
        return found


def _tell(case: Element, area: _Area, answer: Answer) -> None:
    """One failure a case: most readers keep no more than one."""
    untold = [f"unknown: {id_}\n{waits_for(id_, answer)}" for id_ in area.untold]
    if area.counting:
        first = area.counting[0].finding
        _verdict(case, "failure", first.weighs, first.says, [*map(_told, area.counting), *untold])
    elif untold:
        _verdict(case, "error", "unknown", waits_for(area.untold[0], answer), untold)
    if area.others:
        SubElement(case, "system-out").text = _lines(map(_told, area.others))


def _told(held: Held) -> str:
    finding = held.finding
    since = f", {held.since}" if held.since in ("accepted", "known") else ""
    return f"{finding.weighs}{since}: {finding.id}\n{finding.says}\nWhy: {finding.why}"


def _case(suite: Element, build: str, name: str) -> Element:
    return SubElement(suite, "testcase", {"name": name, "classname": build, "time": "0"})


def _verdict(case: Element, tag: str, type_: str, message: str, told: Iterable[str]) -> None:
    SubElement(case, tag, {"message": visible(message), "type": type_}).text = _lines(told)


def _lines(told: Iterable[str]) -> str:
    """Lines without a character that XML 1.0 has not (2.2): what prints is in it, and no control character does."""
    return "\n".join(visible(line) for text in told for line in text.split("\n"))


def _counts(suites: Sequence[Element]) -> dict[str, str]:
    counted = {"tests": "testcase", "failures": "failure", "errors": "error"}
    return {name: str(sum(1 for suite in suites for _ in suite.iter(tag))) for name, tag in counted.items()}
