"""OPTIONS for addresses that several routes share: the framework tells only the methods of the first."""

from collections.abc import Iterable, Iterator

from litestar import Response, route
from litestar.handlers import HTTPRouteHandler


def options_for(routes: Iterable[HTTPRouteHandler]) -> Iterator[HTTPRouteHandler]:
    """A route for each address that more than one of these has; to be given to the framework ahead of them."""
    methods: dict[str, list[str]] = {}
    for one in routes:
        for path in one.paths:
            methods.setdefault(path, []).extend(one.http_methods)
    for path, found in methods.items():
        if len(found) > 1:
            yield _options(path, ", ".join(sorted({*found, "OPTIONS"})))


def _options(path: str, allow: str) -> HTTPRouteHandler:
    @route(path, http_method="OPTIONS", status_code=204)
    async def options() -> Response[None]:
        return Response(None, headers={"Allow": allow})

    return options
