"""A contract held against the last released one: every kind of change, the list of additions, the command."""

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from upfeed.web.contract import contract
from upfeed.web.contractchange import contract_changes
from upfeed.web.released import main

COMMITTED = Path(__file__).parents[2] / "openapi"
TEXT = {"type": "string"}


def document() -> dict[str, Any]:
    """A small contract: one build sent, one answer told."""
    answer = {"$ref": "#/components/schemas/Answer"}
    return {
        "openapi": "3.1.0",
        "info": {"title": "t", "version": "1.0.0"},
        "servers": [{"url": "/"}],
        "security": [],
        "paths": {
            "/v1/checks": {
                "post": {
                    "operationId": "checkBuild",
                    "parameters": [
                        {"name": "samples", "in": "query", "schema": {"type": "integer", "default": 64}},
                        {
                            "name": "units",
                            "in": "query",
                            "schema": {"type": "string", "enum": ["shop", "si"]},
                        },
                    ],
                    "requestBody": {
                        "required": False,
                        "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Build"}}},
                    },
                    "responses": {
                        "200": {
                            "headers": {"ETag": {"required": True, "schema": TEXT}},
                            "content": {"application/json": {"schema": answer}},
                            "links": {"getFamily": {"operationId": "getFamily"}},
                        },
                        "422": {"content": {"application/problem+json": {"schema": answer}}},
                    },
                }
            }
        },
        "components": {
            "schemas": {
                "Build": {
                    "type": "object",
                    "properties": {"family": TEXT, "name": TEXT},
                    "required": ["family"],
                    "additionalProperties": False,
                },
                "Answer": {
                    "type": "object",
                    "properties": {"verdict": {"type": "string", "enum": ["go", "stop"]}, "note": TEXT},
                    "required": ["verdict", "note"],
                    "additionalProperties": False,
                },
            }
        },
    }


Edit = Callable[[dict[str, Any]], object]


def post(told: dict[str, Any]) -> Any:
    return told["paths"]["/v1/checks"]["post"]


def fields(told: dict[str, Any], name: str) -> Any:
    return told["components"]["schemas"][name]["properties"]


def parameter(told: dict[str, Any], index: int) -> Any:
    return post(told)["parameters"][index]


def told_with(status: str) -> Callable[[dict[str, Any]], Any]:
    return lambda told: post(told)["responses"][status]


OK = told_with("200")
BREAKS: dict[str, Edit] = {
    "POST /v1/checks: is gone": lambda d: d["paths"].clear(),
    "POST /v1/checks: is called check, was checkBuild": lambda d: post(d).update(operationId="check"),
    "POST /v1/checks: asks for other credentials": lambda d: post(d).update(security=[{"key": []}]),
    "POST /v1/checks, query samples: is gone": lambda d: post(d)["parameters"].pop(0),
    "POST /v1/checks, query samples: has to be given now": lambda d: parameter(d, 0).update(required=True),
    "POST /v1/checks, query samples: is written otherwise": lambda d: parameter(d, 0).update(explode=False),
    "POST /v1/checks, query samples: is string, was integer": lambda d: parameter(d, 0).update(schema=TEXT),
    "POST /v1/checks, query samples: left out, it is 8, was 64": lambda d: parameter(d, 0)["schema"].update(
        default=8
    ),
    "POST /v1/checks, query units: si is gone": lambda d: parameter(d, 1)["schema"]["enum"].pop(),
    "POST /v1/checks, query day: has to be given now": lambda d: post(d)["parameters"].append(
        {"name": "day", "in": "query", "required": True, "schema": TEXT}
    ),
    "POST /v1/checks, body: is gone": lambda d: post(d).pop("requestBody"),
    "POST /v1/checks, body: has to be given now": lambda d: post(d)["requestBody"].update(required=True),
    "POST /v1/checks, body: application/json is gone": lambda d: post(d)["requestBody"].update(
        content={"text/csv": {}}
    ),
    "POST /v1/checks, 200: is gone": lambda d: post(d)["responses"].pop("200"),
    "POST /v1/checks, 202: may come now": lambda d: post(d)["responses"].update({"202": {}}),
    "POST /v1/checks, 200: application/json is gone": lambda d: OK(d).update(content={}),
    "POST /v1/checks, 200, ETag: is gone": lambda d: OK(d)["headers"].pop("ETag"),
    "POST /v1/checks, 200, ETag: may be left out now": lambda d: OK(d)["headers"]["ETag"].update(
        required=False
    ),
    "POST /v1/checks, 200, ETag: is integer, was string": lambda d: OK(d)["headers"]["ETag"].update(
        schema={"type": "integer"}
    ),
    "POST /v1/checks, 200, link getFamily: is gone": lambda d: OK(d)["links"].clear(),
    "Build.name: is gone": lambda d: fields(d, "Build").pop("name"),
    "Build.name: has to be given now": lambda d: d["components"]["schemas"]["Build"]["required"].append(
        "name"
    ),
    "Build.name: is integer, was string": lambda d: fields(d, "Build").update(name={"type": "integer"}),
    "Answer.note: is gone": lambda d: fields(d, "Answer").pop("note"),
    "Answer.note: may be left out now": lambda d: d["components"]["schemas"]["Answer"]["required"].remove(
        "note"
    ),
    "Answer.verdict: stop is gone": lambda d: fields(d, "Answer")["verdict"]["enum"].remove("stop"),
    "Answer.verdict: may be wait now": lambda d: fields(d, "Answer")["verdict"]["enum"].append("wait"),
    "Answer.note: may be null now": lambda d: fields(d, "Answer").update(note={"type": ["string", "null"]}),
    "Spare: is gone": lambda d: d["components"]["schemas"].pop("Spare"),
    "servers: are /api, were /": lambda d: d.update(servers=[{"url": "/api"}]),
}
ADDS: dict[str, Edit] = {
    "GET /v1/parts: is new": lambda d: d["paths"].update(
        {"/v1/parts": {"get": {"operationId": "listParts", "responses": {}}}}
    ),
    "PUT /v1/checks: is new": lambda d: d["paths"]["/v1/checks"].update(put={"responses": {}}),
    "POST /v1/checks, query day: is new": lambda d: d["paths"]["/v1/checks"].update(
        parameters=[{"name": "day", "in": "query", "schema": TEXT}]
    ),
    "POST /v1/checks, query units: takes metric": lambda d: parameter(d, 1)["schema"]["enum"].append(
        "metric"
    ),
    "POST /v1/checks, body: may be text/csv": lambda d: post(d)["requestBody"]["content"].update(
        {"text/csv": {}}
    ),
    "POST /v1/checks, 429: may come": lambda d: post(d)["responses"].update({"429": {}}),
    "POST /v1/checks, 200: may be text/csv": lambda d: OK(d)["content"].update({"text/csv": {}}),
    "POST /v1/checks, 200, Link: is new": lambda d: OK(d)["headers"].update({"Link": {}}),
    "POST /v1/checks, 200, link getRule: is new": lambda d: OK(d)["links"].update(getRule={}),
    "Build.day: is new": lambda d: fields(d, "Build").update(day=TEXT),
    "Build.name: may be null": lambda d: fields(d, "Build").update(name={"type": ["string", "null"]}),
    "Answer.day: is new": lambda d: fields(d, "Answer").update(day=TEXT),
}
HARMLESS: dict[str, Edit] = {
    "nothing": lambda d: None,
    "the version": lambda d: d["info"].update(version="2.0.0"),
    "what is said": lambda d: (
        post(d).update(summary="s"),
        fields(d, "Answer")["note"].update(description="d"),
    ),
    "a refusal less": lambda d: post(d)["responses"].pop("422"),
    "the order of fields": lambda d: d["components"]["schemas"].update(
        dict(reversed(d["components"]["schemas"].items()))
    ),
}


def changed(edit: Edit) -> list[str]:
    """What is said of an edit of the small contract; an exclamation mark ahead of what breaks."""
    old, new = document(), document()
    for told in (old, new):
        told["components"]["schemas"]["Spare"] = {"type": "null"}
    edit(new)
    return [f"{'!' if change.breaks else ''}{change}" for change in contract_changes(old, new)]


@pytest.mark.parametrize("told", BREAKS)
def test_what_clients_break_on_is_told(told: str) -> None:
    found = changed(BREAKS[told])
    assert f"!{told}" in found
    assert found[0].startswith("!")


@pytest.mark.parametrize("told", ADDS)
def test_what_is_added_is_told_and_breaks_nothing(told: str) -> None:
    assert changed(ADDS[told]) == [told]


@pytest.mark.parametrize("what", HARMLESS)
def test_what_no_client_feels_is_not_told(what: str) -> None:
    assert changed(HARMLESS[what]) == []


def test_a_body_where_there_was_none() -> None:
    without, with_ = document(), document()
    del post(without)["requestBody"]
    assert [str(c) for c in contract_changes(without, with_)] == ["POST /v1/checks, body: may be given"]
    post(with_)["requestBody"]["required"] = True
    (change,) = contract_changes(without, with_)
    assert change.breaks


CONTRACT = json.loads(contract())


def test_this_contract_is_like_itself() -> None:
    assert contract_changes(CONTRACT, copy.deepcopy(CONTRACT)) == []


@pytest.mark.parametrize("name", ["Answer", "Finding", "SolvedPoint", "Build", "Sizes", "Part", "Problem"])
def test_every_field_of_this_contract_is_missed(name: str) -> None:
    less = copy.deepcopy(CONTRACT)
    names = list(CONTRACT["components"]["schemas"][name]["properties"])
    less["components"]["schemas"][name]["properties"] = {}
    found = {str(change) for change in contract_changes(CONTRACT, less) if change.breaks}
    assert {f"{name}.{field}: is gone" for field in names} <= found


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder as openapi/ with two releases, the later one with a field more; nothing added since."""
    (tmp_path / "released").mkdir()
    later = document()
    fields(later, "Answer")["since_1_1"] = TEXT
    for version, told in (("1.0.0", document()), ("1.10.0", later), ("1.9.0", document())):
        (tmp_path / "released" / f"{version}.json").write_text(json.dumps(told))
    (tmp_path / "openapi.json").write_text(json.dumps(later))
    return tmp_path


def run(*arguments: str | Path) -> tuple[int, str]:
    ran = CliRunner().invoke(main, [str(argument) for argument in arguments])
    return ran.exit_code, ran.output


def test_additions_are_listed_by_release_the_latest_first(folder: Path) -> None:
    told = document()
    fields(told, "Answer").update(since_1_1=TEXT, later=TEXT)
    (folder / "openapi.json").write_text(json.dumps(told))
    assert run("--write", folder) == (0, "")
    log = (folder / "CHANGELOG.md").read_text()
    assert log.partition("\n## ")[2].splitlines() == [
        *("Not released yet", "", "- Answer.later: is new", ""),
        *("## 1.10.0", "", "- Answer.since_1_1: is new", ""),
        *("## 1.9.0", "", "Nothing new.", ""),
        *("## 1.0.0", "", "The first."),
    ]


def test_the_list_is_checked(folder: Path) -> None:
    code, said = run(folder)
    assert code == 1
    assert "write it with --write" in said
    run("--write", folder)
    assert run(folder) == run("--check", folder) == (0, "")
    (folder / "CHANGELOG.md").write_text("Nothing new.\n")
    assert run(folder)[0] == 1


def test_what_breaks_clients_of_the_last_release_is_refused(folder: Path) -> None:
    (folder / "openapi.json").write_text(json.dumps(document()))
    told = "breaks clients of 1.10.0: Answer.since_1_1: is gone\n"
    assert run("--write", folder) == (1, told)
    assert run(folder) == (1, told)


def test_before_the_first_release_nothing_is_refused(tmp_path: Path) -> None:
    (tmp_path / "openapi.json").write_text(json.dumps(document()))
    assert run("--write", tmp_path) == (0, "")
    assert "Nothing has been released yet." in (tmp_path / "CHANGELOG.md").read_text()


def test_a_release_without_a_version_is_refused(folder: Path) -> None:
    (folder / "released" / "latest.json").write_text("{}")
    code, said = run(folder)
    assert code == 2
    assert "latest.json: a released contract is named by its version" in said


def test_the_committed_list_is_in_step() -> None:
    assert run("--check", COMMITTED) == (0, "")
