"""A build checked over HTTP has the bytes that the command line prints."""

import json
from pathlib import Path

import pytest
from web_asking import BUILDS, LIBRARY, check

from upfeed.answering.buildfile import read_build
from upfeed.answering.check import check as check_sheet
from upfeed.answering.wire import encode
from upfeed.web.examples import example_builds

EXAMPLES = example_builds(path.stem for path in BUILDS)


@pytest.mark.parametrize("path", BUILDS, ids=lambda path: path.stem)
def test_the_same_bytes_as_the_command_line(path: Path) -> None:
    reply = check(EXAMPLES[path.stem])
    assert reply.status == 200
    assert reply.body == encode(check_sheet(read_build(str(path), LIBRARY), LIBRARY))
    assert reply.headers["content-type"] == "application/json"


def test_si_units_as_the_command_line_has_them() -> None:
    path = next(path for path in BUILDS if path.stem == "preload-lost")
    reply = check(EXAMPLES[path.stem], "?units=si")
    assert reply.body == encode(check_sheet(read_build(str(path), LIBRARY), LIBRARY, "si"))
    assert reply.body != check(EXAMPLES[path.stem]).body


def test_draws_as_the_command_line_makes_them() -> None:
    path = next(path for path in BUILDS if path.stem == "preload-lost")
    reply = check(EXAMPLES[path.stem], "?samples=16")
    assert reply.body == encode(check_sheet(read_build(str(path), LIBRARY), LIBRARY, samples=16))
    assert reply.json["how_sure"]["samples"] == 16
    assert reply.headers["etag"] != check(EXAMPLES[path.stem], "?samples=8").headers["etag"]


@pytest.mark.parametrize("samples", ["-1", "513", "1e2", "016", "", "16.0", "many"])
def test_draws_that_cannot_be_made(samples: str) -> None:
    (error,) = check(EXAMPLES["reference"], f"?samples={samples}").json["errors"]
    assert (error["pointer"], error["expected"]) == ("/samples", "a whole number from 0 to 256")


def test_order_of_keys_and_blanks_change_nothing() -> None:
    build = EXAMPLES["feed-hole-unknown"]
    has = build["slots"]["lifter"]["has"]
    turned = {**build, "slots": {"lifter": {"has": dict(reversed(has.items()))}}}
    first, second = check(build), check(json.dumps(dict(reversed(turned.items())), indent=7))
    assert first.body == second.body
    assert first.headers["etag"] == second.headers["etag"]


def test_another_build_has_another_tag() -> None:
    tags = {check(build).headers["etag"] for build in EXAMPLES.values()}
    assert len(tags) == len(EXAMPLES)
    assert check(EXAMPLES["reference"], "?units=si").headers["etag"] not in tags


def test_values_written_in_the_body_are_named_by_pointer() -> None:
    answer = check(EXAMPLES["preload-lost"]).json
    preload = next(q for q in answer["build"]["settings"] if q["name"] == "settings.preload")
    assert preload["from"] == {"in": "build", "build": "/settings/preload"}
