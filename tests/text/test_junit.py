"""JUnit XML, read back by another parser: suites, cases, counts, and whatever characters there are."""

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from made_findings import TAKEN, Made, made
from upfeed.advising.comparing.since import reckon
from upfeed.answering.several import BuildFault, Checked, Refused
from upfeed.text.junit import Reporter

AREAS = {"less-oil": "lifter", "dry": "path", "blind": "path", "odd": "rocker"}
FAULT = BuildFault("b.yaml", 2, None, "family", "x", "y", None, "b.yaml, line 2: found x; expected y.")

# From memory: children and attributes of Maven Surefire's schema for reports (surefire-test-report.xsd), below the
# testsuites of Apache Ant's JUnitReport. A suite needs name, tests, failures, errors, skipped; a case name and time.
CHILDREN = {
    "testsuites": {"testsuite"},
    "testsuite": {"testcase"},
    "testcase": {"failure", "error", "system-out"},
    "failure": set(),
    "error": set(),
    "system-out": set(),
}
ATTRIBUTES = {
    "testsuites": {"name", "tests", "failures", "errors"},
    "testsuite": {"name", "tests", "failures", "errors", "skipped", "time"},
    "testcase": {"name", "classname", "time"},
    "failure": {"message", "type"},
    "error": {"message", "type"},
    "system-out": set(),
}


def report(*builds, fail_on="caution"):
    outcomes = [
        (build, reckon(build.answer, fail_on) if isinstance(build, Checked) else None) for build in builds
    ]
    root = ElementTree.fromstring(Reporter(AREAS).report(outcomes))
    for element in root.iter():
        assert {child.tag for child in element} <= CHILDREN[element.tag]
        assert set(element.attrib) == ATTRIBUTES[element.tag]
    return root


def unusable(build, faults):
    return Refused(build, "unusable-build", "It can't be checked.", faults)


def suite_of(*findings, fail_on="caution", **more):
    (suite,) = report(Checked("b.yaml", made(*findings, **more)), fail_on=fail_on)
    return suite


def outcomes_of(suite):
    """What each case of a suite comes to."""
    return {case.get("name"): next((below.tag for below in case), "passed") for case in suite}


def test_every_suite_has_the_same_cases_and_says_which_build_they_are_of():
    clean, bad = report(Checked("a.yaml", made()), Checked("b.yaml", made(Made("dry@a/all", "stop"), Made())))
    assert outcomes_of(clean) == dict.fromkeys(("build", "lifter", "path", "rocker"), "passed")
    assert outcomes_of(bad) == {"build": "passed", "lifter": "failure", "path": "failure", "rocker": "passed"}
    assert {case.get("classname") for case in bad} == {bad.get("name")} == {"b.yaml"}


def test_a_case_has_one_failure_that_tells_all_findings_of_its_area():
    suite = suite_of(Made("dry@a/all", "stop", says="Dry."), Made("blind@a/all", "stop", says="Blind."))
    (failure,) = suite.iter("failure")
    assert (failure.get("type"), failure.get("message")) == ("stop", "Dry.")
    assert "stop: dry@a/all\nDry.\nWhy: Oil cools.\nstop: blind@a/all\nBlind." in failure.text


def test_what_does_not_count_passes_and_is_told():
    suite = suite_of(Made(weighs="note"), Made("dry@a/all", "stop", accepted=TAKEN))
    assert set(outcomes_of(suite).values()) == {"passed", "system-out"}
    told = [element.text for element in suite.iter("system-out")]
    assert told[0].startswith("note: less-oil@")
    assert told[1].startswith("stop, accepted: dry@")
    assert outcomes_of(suite_of(Made(weighs="note"), fail_on="note"))["lifter"] == "failure"


def test_a_rule_that_cannot_be_told_is_an_error_and_says_what_it_waits_for():
    suite = suite_of(Made("odd@a/all"), untold=["less-oil@a/all", "odd@b/all"], blocks=["less-oil"])
    (error,) = suite.iter("error")
    assert (error.get("type"), error.get("message")) == (
        "unknown",
        "can't tell yet; it waits for lifter notch area.",
    )
    (failure,) = suite.iter("failure")
    assert "unknown: odd@b/all\ncan't tell yet; what is known allows both answers." in failure.text


def test_a_build_that_cannot_be_used_is_an_error_with_every_fault():
    (suite,) = report(unusable("b.yaml", [FAULT, FAULT]))
    assert outcomes_of(suite) == {"build": "error"}
    (error,) = suite.iter("error")
    assert error.text == f"{FAULT.says}\n{FAULT.says}"


def test_counts_are_those_of_the_cases():
    builds = [
        Checked("a.yaml", made(Made())),
        unusable("b.yaml", [FAULT]),
        Checked("c.yaml", made(untold=["odd@a/all"])),
    ]
    root = report(*builds)
    for element in (root, *root):
        cases = list(element.iter("testcase"))
        assert int(element.get("tests")) == len(cases)
        assert int(element.get("failures")) == sum(case.find("failure") is not None for case in cases)
        assert int(element.get("errors")) == sum(case.find("error") is not None for case in cases)
    assert [root.get(name) for name in ("tests", "failures", "errors")] == ["9", "1", "2"]


ODD = st.text(st.characters(), max_size=20) | st.sampled_from(
    ["]]>", "<a/>", "&amp;", "a\r\nb", "\x00\x1b[31m", "\ud800", "\ufffe", "\u2028", '"', "'", "--", "\x85"]
)


@given(build=ODD, says=ODD, why=ODD)
def test_any_text_gives_xml_that_reads_back(build, says, why):
    answer = made(Made(says=says, why=why), Made("odd@a/all", "note", says=says))
    (suite,) = report(Checked(build, answer))
    (failure,) = suite.iter("failure")
    told = [suite.get("name"), failure.get("message"), *"".join(failure.text).split("\n")]
    assert all(text.isprintable() for text in told)
    for given_, shown in ((build, suite.get("name")), (says, failure.get("message"))):
        if given_.isprintable():
            assert shown == given_


@pytest.mark.parametrize("text", ["", " ", "\n", "a\tb"])
def test_white_space_is_kept_apart_from_layout(text):
    (suite,) = report(Checked("b.yaml", made(Made(says=text))))
    (failure,) = suite.iter("failure")
    assert failure.text.endswith("\nWhy: Oil cools.")
