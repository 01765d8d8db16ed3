"""Answers that the contract shows are answers of the service, and what their schemas say."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from msgspec.structs import replace
from web_asking import JSON, LIBRARY, ask

from upfeed.answering.digests import program
from upfeed.web import contract
from upfeed.web.exampleanswers import alike, example_file, read_examples, settled, written_examples
from upfeed.web.exampleshown import INVENTED_DIGEST, cut, with_invented

TOLD: dict[str, Any] = json.loads(contract.contract())
EXAMPLES = read_examples(example_file())
UNSHOWN = ("429", "500", "503", "listStandIns 422")
"""What no single request to a healthy service is answered with; the demo has no part with that many stand-ins."""


def responses() -> Iterator[tuple[str, dict[str, Any]]]:
    """What each status of each operation holds, by the two."""
    for methods in TOLD["paths"].values():
        for operation in methods.values():
            for status, response in operation["responses"].items():
                for content in response.get("content", {}).values():
                    yield f"{operation['operationId']} {status}", content


RESPONSES = dict(responses())


def test_every_answer_has_an_example() -> None:
    bare = {place for place, content in RESPONSES.items() if not content.get("examples")}
    assert bare == {place for place in RESPONSES if place.endswith(UNSHOWN)}


@pytest.mark.parametrize("place", [place for place in RESPONSES if not place.endswith(UNSHOWN)])
def test_examples_are_what_their_schema_says(place: str) -> None:
    content = RESPONSES[place]
    validator = Draft202012Validator({**content["schema"], "components": TOLD["components"]})
    for example in content["examples"].values():
        name = example["$ref"].removeprefix("#/components/examples/")
        validator.validate(TOLD["components"]["examples"][name]["value"])


def shown(operation: str, status: int) -> Any:
    """The answer that is shown there."""
    return next(one.value for one in EXAMPLES if (one.operation, one.status) == (operation, status))


@pytest.mark.parametrize(
    ("operation", "target"),
    [
        ("listParts", "/v1/parts?kind=lifter&limit=2"),
        ("getPart", "/v1/parts/BW-118"),
        ("getKnowledge", "/v1/knowledge"),
        ("getRuleGuide", "/v1/guides/rules"),
    ],
)
def test_the_service_answers_what_is_shown(operation: str, target: str) -> None:
    reply = ask(target)
    told = reply.json if "json" in reply.headers["content-type"] else reply.body.decode()
    assert with_invented(cut(told)) == shown(operation, 200)


def test_the_service_computes_what_is_shown() -> None:
    body = TOLD["paths"]["/v1/fits"]["post"]["requestBody"]["content"]["application/json"]["examples"]
    reply = ask("/v1/fits?slots=lifter", "POST", JSON, json.dumps(body["reference"]["value"]).encode())
    assert alike(with_invented(cut(reply.json)), shown("findFits", 200))


def test_the_service_refuses_as_is_shown() -> None:
    wrong = {
        "format": 1,
        "family": "tarn-v8",
        "slots": {"lifter": "BW-11"},
        "settings": {"preload": "25 psi"},
    }
    assert ask("/v1/checks", "POST", JSON, json.dumps(wrong).encode()).json == shown("checkBuild", 422)
    assert ask("/v1/parts/BW-11").json == shown("getPart", 404)


def test_nothing_that_every_edit_changes_is_shown() -> None:
    text = json.dumps(TOLD["components"]["examples"])
    assert INVENTED_DIGEST in text
    for digest in (program(), LIBRARY.knowledge.digest, LIBRARY.rulebook.digest):
        assert digest[:16] not in text


def test_lists_are_cut_but_not_their_entries() -> None:
    assert cut({"of": [{"band": [1.5, 2.5]}, {"band": None}, {"band": None}]}) == {
        "of": [{"band": [1.5, 2.5]}, {"band": None}]
    }
    assert cut("a\n" * 99) == "a\n" * 8


def test_last_digits_of_numbers_are_left_as_they_were_written() -> None:
    kept = next(one for one in EXAMPLES if one.operation == "checkBuild" and one.status == 200)
    near = replace(kept, value=moved(kept.value, 1e-9))
    assert settled([kept], [near]) == [kept] != [near]
    for made in (replace(kept, value=moved(kept.value, 1e-3)), replace(kept, summary="another")):
        assert settled([kept], [made]) == [made]
    assert settled([], [kept]) == [kept]


def moved(value: Any, by: float) -> Any:
    """An answer with all numbers that are not whole a little larger."""
    if isinstance(value, dict):
        return {key: moved(below, by) for key, below in value.items()}
    if isinstance(value, list):
        return [moved(below, by) for below in value]
    return value * (1 + by) if isinstance(value, float) else value


@pytest.fixture
def written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A contract and its answers in a folder of their own, as arguments."""
    monkeypatch.setattr(contract, "made_examples", lambda _: EXAMPLES)
    monkeypatch.setattr(contract, "open_library", lambda: LIBRARY)
    paths = [str(tmp_path / "openapi.json"), "--answers", str(tmp_path / "answers.json")]
    assert CliRunner().invoke(contract.main, ["--check", *paths]).exit_code == 1
    assert CliRunner().invoke(contract.main, ["--write", *paths]).exit_code == 0
    return paths


def test_one_generator_writes_and_checks(written: list[str]) -> None:
    run, file = CliRunner(), Path(written[0])
    assert run.invoke(contract.main, ["--check", *written]).exit_code == 0
    assert run.invoke(contract.main, written).exit_code == 0
    assert file.read_bytes() == contract.contract()
    file.write_bytes(file.read_bytes() + b"\n")
    assert run.invoke(contract.main, ["--check", *written]).exit_code == 1


def test_answers_that_have_changed_are_told(written: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    made = [*EXAMPLES[:-1], replace(EXAMPLES[-1], value={"title": "another"})]
    monkeypatch.setattr(contract, "made_examples", lambda _: made)
    told = CliRunner().invoke(contract.main, ["--check", *written])
    assert told.exit_code == 1
    assert "answers.json is not what this program makes" in told.output
    assert CliRunner().invoke(contract.main, ["--write", *written]).exit_code == 0
    assert Path(written[2]).read_bytes() == written_examples(made)
