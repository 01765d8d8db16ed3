"""The contract (OpenAPI 3.1), from the routes themselves and the vocabulary."""

import inspect
import json
import re
from collections.abc import Iterator, Mapping, Sequence

from litestar.handlers import HTTPRouteHandler

from upfeed import __version__
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.web.components import components
from upfeed.web.exampleanswers import ExampleAnswer
from upfeed.web.exampleplaces import ExamplePlaces
from upfeed.web.limits import Limits
from upfeed.web.operation import Body, Lead, Open, Operation, ident_schema
from upfeed.web.problem import PROBLEM_JSON
from upfeed.web.refusalwords import refusals_told
from upfeed.web.valueschema import Schema, ref

_TOLD = (
    "Does oil still get up to the rockers when parts of different pushrod engine families are mixed? Checks a"
    " build beside the engine family's reference build. Read-only: nothing that is sent is kept. All values"
    " computed are SI, with UCUM units. Additions may come under /v1; nothing of it goes away or changes its meaning."
)
_ALWAYS = (400, 406, 421, 500)
"""Statuses that every operation may refuse with."""

_LATER: Schema = {
    "Retry-After": {
        "description": "Seconds after which to ask again.",
        "required": True,
        "schema": {"type": "integer", "minimum": 1},
    }
}
_TAG: Schema = {
    "description": "Strong: the same program, knowledge, rules and request give the same tag and the same bytes.",
    "required": True,
    "schema": {"type": "string"},
}
_LINK: Schema = {"description": "The next page, where there is one (RFC 8288).", "schema": {"type": "string"}}


def document(
    routes: Sequence[HTTPRouteHandler],
    vocabulary: Vocabulary,
    limits: Limits,
    examples: Sequence[ExampleAnswer],
) -> bytes:
    """The contract as JSON, indented by two, with a final newline; `examples` are answers that it shows."""
    refusals, places = refusals_told(limits), ExamplePlaces(examples)
    answers = [operation.answers for operation in map(operation_of, routes) if operation.answers]
    told = {
        "openapi": "3.1.0",
        "info": {
            "title": "upfeed",
            "version": __version__,
            "description": _TOLD,
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
        },
        "servers": [{"url": "/"}],
        "security": [],
        "paths": _paths(routes, refusals, places),
        "components": {"schemas": components(answers, vocabulary), "examples": places.components},
    }
    return (json.dumps(told, indent=2, ensure_ascii=False) + "\n").encode()


def _paths(routes: Sequence[HTTPRouteHandler], refusals: Mapping[int, str], places: ExamplePlaces) -> Schema:
    """Each address once, with every method that it takes."""
    paths: dict[str, Schema] = {}
    for route in routes:
        paths.setdefault(_path(route), {}).update(_methods(route, refusals, places))
    return {path: dict(sorted(methods.items())) for path, methods in paths.items()}


def operation_of(route: HTTPRouteHandler) -> Operation:
    """What a route says it takes and gives."""
    operation = route.opt["operation"]
    assert isinstance(operation, Operation)
    return operation


def _path(route: HTTPRouteHandler) -> str:
    (path,) = route.paths
    return re.sub(r"{(\w+):str}", r"{\1}", path)


def _methods(route: HTTPRouteHandler, refusals: Mapping[int, str], places: ExamplePlaces) -> Schema:
    methods = sorted(route.http_methods)
    return {method.lower(): _operation(route, method, refusals, places) for method in methods}


def _operation(
    route: HTTPRouteHandler, method: str, refusals: Mapping[int, str], places: ExamplePlaces
) -> Schema:
    operation = operation_of(route)
    summary, _, more = inspect.cleandoc(route.fn.__doc__ or "").partition("\n")
    parameters = list(_parameters(route, operation))
    responses = dict(_responses(operation, method)) | dict(_refused(operation, refusals))
    shown = {status: places.at(str(route.operation_id), int(status)) for status in responses}
    return {
        "operationId": route.operation_id,
        "summary": summary.rstrip("."),
        **({"description": " ".join(more.split())} if more.strip() else {}),
        **({"parameters": parameters} if parameters else {}),
        **({"requestBody": _request_body(operation.takes)} if operation.takes else {}),
        "responses": {status: _showing(told, shown[status]) for status, told in responses.items()},
    }


def _parameters(route: HTTPRouteHandler, operation: Operation) -> Iterator[Schema]:
    for name in re.findall(r"{(\w+)}", _path(route)):
        of = "other part" if name == "other" else name
        told = {"description": f"The id of the {of}.", "schema": ident_schema()}
        yield {"name": name, "in": "path", "required": True, **told}
    for parameter in operation.query:
        told = {"description": parameter.description, "schema": parameter.schema}
        yield {"name": parameter.name, "in": "query", "required": False, **told}
    if operation.open:
        yield _open(operation.open)


def _open(of: Open) -> Schema:
    """Parameters with open names, which OpenAPI tells as one object in pieces."""
    told = {"description": of.description, "schema": of.schema}
    required = "required" in of.schema
    return {"name": of.name, "in": "query", "required": required, "style": "form", "explode": True, **told}


def _request_body(body: Body) -> Schema:
    examples = {
        id_: {"summary": value.get("name") or id_.replace("-", " "), "value": value}
        for id_, value in body.examples().items()
    }
    content = {"application/json": {"schema": ref(body.schema), "examples": examples}}
    return {"description": body.told, "required": True, "content": content}


def _responses(operation: Operation, method: str) -> Iterator[tuple[str, Schema]]:
    headers = dict(_head(operation))
    bare: Schema = {"type": "object" if operation.media == "application/json" else "string"}
    schema = ref(operation.answers.__name__) if operation.answers else bare
    paged = operation.answers is not None and "next" in operation.answers.__struct_fields__
    yield (
        "200",
        {
            "description": _sentence(operation),
            **({"headers": headers | ({"Link": _LINK} if paged else {})} if headers else {}),
            "content": {operation.media: {"schema": schema}},
            **({"links": _links(operation.leads_to)} if operation.leads_to else {}),
        },
    )
    if method == "GET" and operation.tagged:
        yield "304", {"description": "What the asker has is still right.", "headers": headers}


def _head(operation: Operation) -> Iterator[tuple[str, Schema]]:
    """Fields of an answer's head."""
    if operation.tagged:
        yield "ETag", _TAG | {"required": not operation.in_part}
    if operation.in_part:
        told = "Seconds after which to ask again, where something is still to come; then there is no ETag."
        yield "Retry-After", _LATER["Retry-After"] | {"description": told, "required": False}


def _refused(operation: Operation, refusals: Mapping[int, str]) -> Iterator[tuple[str, Schema]]:
    for status in sorted({*operation.refuses, *_ALWAYS}):
        content = {PROBLEM_JSON: {"schema": ref("Problem")}}
        headers = {"headers": _LATER} if status in (429, 503) else {}
        yield str(status), {"description": refusals[status], **headers, "content": content}


def _showing(response: Schema, examples: Schema) -> Schema:
    """A response with examples of what it holds."""
    content = {media: told | examples for media, told in response.get("content", {}).items()}
    return {**response, "content": content} if content else response


def _sentence(operation: Operation) -> str:
    if operation.answers is None:
        told = {"application/json": "The contract.", "text/markdown": "The guide."}
        return told.get(operation.media, "The figures.")
    return inspect.cleandoc(operation.answers.__doc__ or "").partition("\n")[0]


def _links(lead: Lead) -> Schema:
    parameters = {lead.parameter: f"$response.body#{lead.pointer}"}
    return {lead.operation: {"operationId": lead.operation, "parameters": parameters}}
