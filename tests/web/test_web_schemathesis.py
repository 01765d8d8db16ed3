"""The service keeps its own contract, whatever is sent to it."""

import json
import os
from typing import Any

import pytest
import schemathesis
from hypothesis import settings
from msgspec.structs import replace
from schemathesis.config import SchemathesisConfig
from web_asking import LIBRARY

from upfeed.answering.check import MOST_SAMPLES
from upfeed.web.app import create_app
from upfeed.web.contract import contract
from upfeed.web.limits import DEFAULTS

pytestmark = pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time

PATIENCE = 600  # s; that a machine is busy says nothing of the contract
APP = create_app(LIBRARY, limits=replace(DEFAULTS, seconds=float(PATIENCE)))

# A schema can't tell that no part has an id, or that a hole is larger than any can be: 404 and 422 say so.
CHECKS = {"positive_data_acceptance": {"expected-statuses": ["2xx", "404", "422"]}}
# Nor can it tell a cursor, or a size as a shop writes it, from other text: 400 says so.
TEXTS = {"positive_data_acceptance": {"expected-statuses": ["2xx", "400", "404", "422"]}}
TAKE_BUILDS = ("checkBuild", "checkBuilds", "findMends", "findFits", "compareBuilds", "explainReadings")
OPERATIONS = [
    *({"include-operation-id": id_, "phases": {"coverage": {"enabled": False}}} for id_ in TAKE_BUILDS),
    {"include-operation-id": "makeBenchSheet", "phases": {"coverage": {"enabled": False}}, "checks": TEXTS},
    {"include-operation-id": "listParts", "checks": TEXTS},
    # Of many builds each has its own faults, beside the answers of the others.
    {"include-operation-id": "checkBuilds", "checks": {"negative_data_rejection": {"enabled": False}}},
]
EXAMPLES = int(os.environ.get("UPFEED_EXAMPLES", "50"))  # of an operation
FIXED = settings(max_examples=EXAMPLES, derandomize=True, database=None, deadline=None)


def with_fewer_sizes() -> dict[str, Any]:
    """The contract with one size of a part and at one point: all of them make sixteen thousand cases of one kind."""
    told: dict[str, Any] = json.loads(contract())
    schemas = told["components"]["schemas"]
    only(schemas["Sizes"], "metering")
    points = only(schemas["Build"]["properties"]["points"]["anyOf"][0], "hot_idle")
    only(points["hot_idle"], "speed")
    only(schemas["Build"]["properties"]["settings"]["anyOf"][0], "preload")
    return told


def only(schema: dict[str, Any], name: str) -> dict[str, Any]:
    """Leave one property."""
    schema["properties"] = {name: schema["properties"][name]}
    return schema["properties"]


ASKED = {"checks": CHECKS, "request-timeout": PATIENCE}
WHOLE = schemathesis.openapi.from_asgi(
    "/openapi.json", APP, config=SchemathesisConfig.from_dict({**ASKED, "operations": OPERATIONS})
)
CUT = schemathesis.openapi.from_dict(with_fewer_sizes(), config=SchemathesisConfig.from_dict(ASKED))
CUT.app = APP
CUT.location = "/openapi.json"
FLOWS = WHOLE.as_state_machine()


@schemathesis.hook
def map_query(_ctx: Any, query: Any) -> Any:
    """Draws by the hundred tell nothing here that one does not."""
    if (
        isinstance(query, dict)
        and isinstance(query.get("samples"), int)
        and 1 < query["samples"] <= MOST_SAMPLES
    ):
        query["samples"] = 1
    return query


@schemathesis.check
def faults_stand_in_the_body(_ctx: Any, response: schemathesis.Response, case: schemathesis.Case) -> None:
    """Every pointer into the body leads somewhere."""
    if response.status_code == 422:
        for error in response.json()["errors"]:
            if error["in"] != "body":
                continue
            assert leads_somewhere(error["pointer"], case.body), error


def leads_somewhere(pointer: str, value: Any) -> bool:
    for step in pointer.split("/")[1:]:
        key = step.replace("~1", "/").replace("~0", "~")
        if isinstance(value, dict) and key in value:
            value = value[key]
        elif isinstance(value, list) and key.isdigit() and int(key) < len(value):
            value = value[int(key)]
        else:
            return False
    return True


@WHOLE.parametrize()
@FIXED
def test_every_operation_keeps_the_contract(case: schemathesis.Case) -> None:
    case.call_and_validate()


@CUT.include(operation_id="checkBuild").parametrize()
@FIXED
def test_every_form_of_a_build_keeps_the_contract(case: schemathesis.Case) -> None:
    case.call_and_validate()


TestFlows = FLOWS.TestCase
TestFlows.settings = settings(FIXED, max_examples=5, stateful_step_count=6)
