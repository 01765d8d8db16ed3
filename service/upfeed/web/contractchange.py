"""What changes from one OpenAPI document to another, and on what of it a client of the first breaks."""

from collections.abc import Iterator
from typing import Any

from upfeed.web.change import Change, addition, breaking
from upfeed.web.schemachange import SchemaChanges
from upfeed.web.valueschema import Schema

_METHODS = ("get", "head", "post", "put", "patch", "delete", "options", "trace")
_HOW_WRITTEN = ("style", "explode", "allowReserved")


def contract_changes(old: Schema, new: Schema) -> list[Change]:
    """All changes, each once: those on which a client breaks, then additions."""
    found = dict.fromkeys([*_components(old, new), *_servers(old, new), *_Operations(old, new).changes()])
    return sorted(found, key=lambda change: not change.breaks)


def _components(old: Schema, new: Schema) -> Iterator[Change]:
    """Generated clients call types by the names of components."""
    for name in _schemas(old):
        if name not in _schemas(new):
            yield breaking(name, "is gone")


def _schemas(document: Schema) -> Schema:
    schemas: Schema = document.get("components", {}).get("schemas", {})
    return schemas


def _servers(old: Schema, new: Schema) -> Iterator[Change]:
    before, after = ([one["url"] for one in document.get("servers", ())] for document in (old, new))
    if before != after:
        yield breaking(
            "servers", f"are {', '.join(after) or 'not told'}, were {', '.join(before) or 'not told'}"
        )


class _Operations:
    """Changes of operations, by method and path."""

    def __init__(self, old: Schema, new: Schema) -> None:
        self._old, self._new = old, new
        self._sent, self._told = SchemaChanges(old, new, "sent"), SchemaChanges(old, new, "told")

    def changes(self) -> Iterator[Change]:
        before, after = _operations(self._old), _operations(self._new)
        for name, operation in before.items():
            if name in after:
                yield from self._operation(operation, after[name], name)
            else:
                yield breaking(name, "is gone")
        for name in after:
            if name not in before:
                yield addition(name, "is new")

    def _operation(self, old: Schema, new: Schema, name: str) -> Iterator[Change]:
        ids = [operation.get("operationId") for operation in (old, new)]
        if ids[0] != ids[1]:
            yield breaking(name, f"is called {ids[1]}, was {ids[0]}")
        credentials = _credentials(self._old, old), _credentials(self._new, new)
        if credentials[0] != credentials[1]:
            yield breaking(name, "asks for other credentials")
        yield from self._parameters(_parameters(old), _parameters(new), name)
        yield from self._body(old.get("requestBody"), new.get("requestBody"), f"{name}, body")
        yield from self._responses(old["responses"], new["responses"], name)

    def _parameters(self, old: Schema, new: Schema, name: str) -> Iterator[Change]:
        for key, parameter in old.items():
            place = f"{name}, {key}"
            if key in new:
                yield from self._parameter(parameter, new[key], place)
            else:
                yield breaking(place, "is gone")
        for key, parameter in new.items():
            if key not in old:
                place, needed = f"{name}, {key}", parameter.get("required")
                yield breaking(place, "has to be given now") if needed else addition(place, "is new")

    def _parameter(self, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        if new.get("required") and not old.get("required"):
            yield breaking(place, "has to be given now")
        if any(old.get(how) != new.get(how) for how in _HOW_WRITTEN):
            yield breaking(place, "is written otherwise")
        yield from self._sent.between(old.get("schema", True), new.get("schema", True), place)

    def _body(self, old: Schema | None, new: Schema | None, place: str) -> Iterator[Change]:
        if old is None or new is None:
            if new is not None:
                needed = new.get("required")
                yield breaking(place, "has to be given now") if needed else addition(place, "may be given")
            elif old is not None:
                yield breaking(place, "is gone")
            return
        if new.get("required") and not old.get("required"):
            yield breaking(place, "has to be given now")
        yield from self._content(old, new, place, self._sent)

    def _responses(self, old: Schema, new: Schema, name: str) -> Iterator[Change]:
        for status, response in old.items():
            place = f"{name}, {status}"
            if status in new:
                yield from self._response(response, new[status], place)
            elif status.startswith("2"):
                yield breaking(place, "is gone")
        for status in new:
            if status not in old:
                place = f"{name}, {status}"
                yield (
                    breaking(place, "may come now") if status.startswith("2") else addition(place, "may come")
                )

    def _response(self, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        yield from self._content(old, new, place, self._told)
        yield from self._headers(old.get("headers", {}), new.get("headers", {}), place)
        for name in _gone(old.get("links", {}), new.get("links", {})):
            yield breaking(f"{place}, link {name}", "is gone")
        for name in _gone(new.get("links", {}), old.get("links", {})):
            yield addition(f"{place}, link {name}", "is new")

    def _headers(self, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        for name, header in old.items():
            where = f"{place}, {name}"
            if name not in new:
                yield breaking(where, "is gone")
                continue
            if header.get("required") and not new[name].get("required"):
                yield breaking(where, "may be left out now")
            yield from self._told.between(header.get("schema", True), new[name].get("schema", True), where)
        for name in _gone(new, old):
            yield addition(f"{place}, {name}", "is new")

    def _content(self, old: Schema, new: Schema, place: str, schemas: SchemaChanges) -> Iterator[Change]:
        before, after = old.get("content", {}), new.get("content", {})
        for media in before:
            if media in after:
                yield from schemas.between(
                    before[media].get("schema", True), after[media].get("schema", True), place
                )
            else:
                yield breaking(place, f"{media} is gone")
        for media in _gone(after, before):
            yield addition(place, f"may be {media}")


def _operations(document: Schema) -> dict[str, Schema]:
    return {
        f"{method.upper()} {path}": _with_shared(item, item[method])
        for path, item in document["paths"].items()
        for method in _METHODS
        if method in item
    }


def _with_shared(item: Schema, operation: Schema) -> Schema:
    """An operation with the parameters that all of its path have, its own going first."""
    return {**operation, "parameters": [*item.get("parameters", ()), *operation.get("parameters", ())]}


def _credentials(document: Schema, operation: Schema) -> Any:
    return operation.get("security", document.get("security", []))


def _parameters(operation: Schema) -> Schema:
    return {f"{one['in']} {one['name']}": one for one in operation["parameters"]}


def _gone(before: Any, after: Any) -> list[str]:
    return [name for name in before if name not in after]
