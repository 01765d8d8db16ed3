"""One line a finding, whatever it says, and why a thing counts since an earlier answer."""

import re

import msgspec
from hypothesis import given
from hypothesis import strategies as st

from made_findings import TAKEN, Made, figure, made
from upfeed.advising.comparing.earlier import Earlier
from upfeed.advising.comparing.since import reckon
from upfeed.answering.wire import encode
from upfeed.text.lines import counted, lines


def told(answer, earlier=None):
    kept = [msgspec.json.decode(encode(earlier), type=Earlier)] if earlier else []
    reckoned = reckon(answer, "caution", *kept)
    return list(lines("b.yaml", answer, reckoned)), list(counted("b.yaml", reckoned))


def test_a_line_has_build_weight_finding_and_sentence():
    lines_, _ = told(made(Made("dry@a/all", "stop", says="Dry."), Made(says="Less."), Made("n@a/1", "note")))
    assert lines_ == [
        "b.yaml: stop: dry@a/all: Dry.",
        "b.yaml: caution: less-oil@gallery-lifter/all: Less.",
        "b.yaml: note: n@a/1: Less oil than designed.",
    ]


def test_what_does_not_count_says_so_in_place_of_its_weight():
    answer = made(Made("a@x/all", "stop", accepted=TAKEN), Made("b@x/all"))
    lines_, since = told(answer, made(Made("b@x/all")))
    assert [line.split(": ")[1] for line in lines_] == ["accepted", "known"]
    assert since == []


def test_what_cannot_be_told_has_a_line_with_what_it_waits_for():
    lines_, since = told(made(untold=["dry@a/all", "odd@a/all"], blocks=["dry"]))
    assert lines_ == [
        "b.yaml: unknown: dry@a/all: can't tell yet; it waits for lifter notch area.",
        "b.yaml: unknown: odd@a/all: can't tell yet; what is known allows both answers.",
    ]
    assert since == ["b.yaml: unknown: dry@a/all", "b.yaml: unknown: odd@a/all"]


def test_what_has_grown_worse_says_by_how_much():
    was = made(Made("a@x/all", "note", figure(2.0)), Made("b@x/all", "note"), Made("d@x/all", accepted=TAKEN))
    now = made(
        Made("a@x/all", "caution", figure(3.0)),
        Made("b@x/all", "stop"),
        Made("c@x/all"),
        Made("d@x/all"),
        Made("e@x/all", "note"),
    )
    assert told(now, was)[1] == [
        "b.yaml: worse: a@x/all (a note, now a caution; was 2 times, now 3 times)",
        "b.yaml: worse: b@x/all (a note, now a stop)",
        "b.yaml: new: c@x/all",
        "b.yaml: lapsed: d@x/all",
    ]


@given(build=st.text(st.characters(), max_size=20), says=st.text(st.characters(), max_size=20))
def test_whatever_is_said_stays_on_one_line_and_can_be_written(build, says):
    answer = made(Made(says=says))
    (line,) = lines(build, answer, reckon(answer, "caution"))
    assert line.splitlines() == [line]
    assert line.isprintable()
    assert re.search(r": caution: less-oil@gallery-lifter/all: ", line)
    line.encode()
