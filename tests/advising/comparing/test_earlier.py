"""Answers that were kept: one or a list, whatever else they hold, and what is said of files that are none."""

import json

import pytest

from made_findings import Made, made
from upfeed.advising.comparing.earlier import NOTHING, read_baseline
from upfeed.answering.several import Checked, Checks, Refused
from upfeed.answering.wire import encode
from upfeed.reading.faults import DataFaults

ANSWER = made(Made())


@pytest.fixture
def told(tmp_path):
    """Reads a file of this content as a baseline."""

    def read(content, of_several=False):
        file = tmp_path / "earlier.json"
        file.write_bytes(content)
        return read_baseline(file, of_several=of_several)

    return read


def test_one_answer_is_that_of_the_one_build(told):
    baseline = told(encode(ANSWER))
    assert [finding.id for finding in baseline.of("whatever.yaml").findings] == [Made().id]


def test_of_a_list_the_answer_is_found_by_the_build(told):
    outcomes = [
        Checked("a.yaml", ANSWER),
        Checked("b.yaml", made()),
        Refused("c.yaml", "unusable-build", "It can't be checked.", []),
    ]
    for of_several in (True, False):
        baseline = told(encode(Checks(1, outcomes)), of_several)
        assert baseline.of("a.yaml").findings
        assert not baseline.of("b.yaml").findings
        assert baseline.of("c.yaml") is baseline.of("d.yaml") is NOTHING


def test_fields_that_came_or_went_since_do_not_matter(told):
    kept = json.loads(encode(ANSWER)) | {"came_later": {"a": [1]}}
    del kept["priming"], kept["findings"][0]["mends"]
    assert told(json.dumps(kept).encode()).of("a").findings[0].id == Made().id


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (b"", "text that is no answer"),
        (b"[1]", "text that is no answer"),
        (b'{"format": 1}', "text that is no answer"),
        (b"\xff\xfe", "text that is no answer"),
        (encode(ANSWER)[:-2] + b', "more": ' + b"[" * 100_000, "nested too deep"),
        (encode(ANSWER).replace(b'"caution"', b'"heavy"'), "text that is no answer"),
        (encode(ANSWER).replace(b'"format": 1', b'"format": 2'), "an answer of format 2"),
    ],
    ids=["nothing", "number", "little", "bytes", "deep", "weight", "format"],
)
def test_what_is_no_answer_is_named(told, content, found):
    with pytest.raises(DataFaults) as wrong:
        told(content)
    (fault,) = wrong.value.faults
    assert found in fault.found
    assert fault.origin.file.endswith("earlier.json")


def test_one_answer_is_not_that_of_several_builds(told):
    with pytest.raises(DataFaults, match="found one answer; expected the list of answers"):
        told(encode(ANSWER), of_several=True)


def test_a_file_that_is_not_there_is_named(tmp_path):
    with pytest.raises(DataFaults, match="found no such file or directory"):
        read_baseline(tmp_path / "none.json", of_several=False)
