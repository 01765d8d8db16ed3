"""What is asked so that the contract can show the answers: for each operation, and for each way it may refuse."""

import json
from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import quote

from litestar.handlers import HTTPRouteHandler
from msgspec import Struct
from msgspec.structs import replace

from upfeed.web.document import operation_of
from upfeed.web.limits import BUILDS_BODY
from upfeed.web.problemtypes import ADDRESS

HOST = "localhost"
"""The host that answers for itself."""


class Ask(Struct, frozen=True):
    """A request, and by what name the contract shows its answer (none: by the kind of problem that it is)."""

    target: str
    status: int = 200
    name: str = ""
    method: str = "GET"
    body: bytes = b""
    accept: str = "*/*"
    content: str = "application/json"
    host: str = HOST


_SHOWN = {
    "listParts": "/v1/parts?kind=lifter&limit=2",
    "getPart": "/v1/parts/BW-118",
    "getFamily": "/v1/families/tarn-v8",
    "getRule": "/v1/rules/blind-lifter-ends-the-way",
    "getPartRelations": "/v1/parts/BW-118/relations",
    "getPartDifferences": "/v1/parts/OS-54/differences/OS-51?family=ashquill-twin",
    "listStandIns": "/v1/parts/SK-71/stand-ins",
    "checkBuildInQuery": f"/v1/checks?family=tarn-v8&lifter=BW-118&settings.preload={quote('30 thou')}&samples=0",
    "getProblemType": f"{ADDRESS}/not-found",
}
"""By operation; others that need nothing are asked as they are."""

_SENT = {
    "checkBuild": ("blind-lifter", "feed-hole-unknown"),
    "findMends": ("blind-lifter",),
    "findFits": ("reference",),
    "compareBuilds": ("preload-lost",),
    "makeBenchSheet": ("reference",),
}
"""Which of the bodies that the contract shows are answered there; all, where nothing is said."""

_QUERIES = {"compareBuilds": "?samples=0", "findFits": "?slots=lifter", "makeBenchSheet": "?samples=0"}
"""Draws are shown by one operation: they take the longest."""

_MISSING = {
    "listParts": "/v1/parts?kind=liftr",
    "getPart": "/v1/parts/BW-11",
    "getFamily": "/v1/families/tarn-v9",
    "getRule": "/v1/rules/blind-lifter",
    "getPartRelations": "/v1/parts/BW-11/relations",
    "getPartDifferences": "/v1/parts/OS-54/differences/OS-511",
    "listStandIns": "/v1/parts/SK-7/stand-ins",
    "getProblemType": f"{ADDRESS}/not-there",
}

_GOOD = {"format": 1, "family": "tarn-v8"}
_WRONG = {**_GOOD, "slots": {"lifter": "BW-11"}, "settings": {"preload": "25 psi"}}
_UNUSABLE: Mapping[str, Any] = {
    "Build": _WRONG,
    "Builds": {"builds": []},
    "TwoBuilds": {"first": _GOOD, "second": _WRONG},
    "GaugedBuild": {"build": _GOOD, "readings": ["650 rpm, 100 C, 14 mm"]},
}
"""By what the body should have been."""

_UNUSABLE_QUERIES = {
    "checkBuildInQuery": "/v1/checks?family=tarn-v8&lifter=BW-11",
    "getPartDifferences": "/v1/parts/OS-54/differences/SK-71",
}


def asks(route: HTTPRouteHandler) -> list[Ask]:
    """Everything that is asked of one operation: what it answers, then what it refuses by status."""
    answered = list(_answered(route))
    return [*answered, *sorted(_refused(route, answered[0]), key=lambda ask: ask.status)]


def _answered(route: HTTPRouteHandler) -> Iterator[Ask]:
    id_, (path,), takes = str(route.operation_id), route.paths, operation_of(route).takes
    if takes is None:
        yield Ask(_SHOWN.get(id_, path), name="demo")
        return
    bodies = takes.examples()
    for name in _SENT.get(id_, bodies):
        yield Ask(path + _QUERIES.get(id_, ""), 200, name, "POST", json.dumps(bodies[name]).encode())


def _refused(route: HTTPRouteHandler, good: Ask) -> Iterator[Ask]:
    id_, operation = str(route.operation_id), operation_of(route)
    mark = "&" if "?" in good.target else "?"
    yield replace(good, name="", status=400, target=f"{good.target}{mark}Units=si")
    yield replace(good, name="", status=406, accept="image/png")
    yield replace(good, name="", status=421, host="elsewhere.example")
    if id_ in _MISSING:
        yield Ask(_MISSING[id_], 404)
    if id_ in _UNUSABLE_QUERIES:
        yield Ask(_UNUSABLE_QUERIES[id_], 422)
    if operation.takes:
        wrong = json.dumps(_UNUSABLE[operation.takes.schema]).encode()
        yield replace(good, name="", status=413, body=b" " * (BUILDS_BODY + 1))
        yield replace(good, name="", status=415, content="text/plain")
        yield replace(good, name="", status=422, body=wrong)
