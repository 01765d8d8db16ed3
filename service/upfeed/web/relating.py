"""The routes to how parts stand to one another: relations, differences, what goes in a part's place."""

from collections.abc import Iterator
from typing import get_args

from litestar import Response, get
from msgspec import Struct

from upfeed.advising.inplace.standins import StandIns, builds_of_stand_ins, stand_ins
from upfeed.advising.inplace.twoparts import TwoParts, builds_of_two, two_parts
from upfeed.answering.library import Library
from upfeed.answering.wire import encode
from upfeed.knowledge.records import Part
from upfeed.knowledge.relations import PartGraph
from upfeed.reading.faults import quoted
from upfeed.web.asking import Asked, query_of
from upfeed.web.desk import At
from upfeed.web.finding import find
from upfeed.web.known import Relation, RelationName, relations
from upfeed.web.operation import Lead, Operation, ident
from upfeed.web.problem import Refusal, flaw
from upfeed.web.question import of_library

_FAMILY = ident("family", "The family to look at; otherwise all that the parts were designed for.")


class Supplied(Struct, frozen=True, forbid_unknown_fields=True):
    """A part, and the chain that leads to it, each supplied in place of the one before."""

    part: str
    chain: list[str]


class PartRelations(Struct, frozen=True, forbid_unknown_fields=True):
    """How a part stands to others: what it names, what names it, and what follows through others.

    `same_envelope` take up the same room, `same_gallery_height` were laid out for the same gallery; `supplied_for_it`
    are supplied in its place.
    """

    part: str
    names: list[Relation]
    named_by: list[Relation]
    same_envelope: list[str]
    same_gallery_height: list[str]
    supplied_for_it: list[Supplied]


@get(
    "/v1/parts/{part:str}/relations",
    operation_id="getPartRelations",
    operation=Operation(PartRelations, refuses=(404, 429, 503)),
)
async def get_part_relations(request: Asked, desk: At) -> Response[bytes]:
    """How a part stands to others: made for what, in place of what, alike to what."""
    record = find(desk.library.knowledge.parts, request.path_params["part"], "part", "part")
    return await of_library(request, desk, lambda library: encode(_relations(record, library)))


def _relations(record: Part, library: Library) -> PartRelations:
    graph = PartGraph(library.knowledge)
    supplied = graph.supplied_for(record.id)
    return PartRelations(
        part=record.id,
        names=relations(record),
        named_by=list(_named_by(record.id, graph)),
        same_envelope=list(graph.same_envelope(record.id)),
        same_gallery_height=list(graph.gallery_height(record.id)),
        supplied_for_it=[Supplied(other, list(graph.substitution(record.id, other))) for other in supplied],
    )


def _named_by(id_: str, graph: PartGraph) -> Iterator[Relation]:
    for name in get_args(RelationName):
        found = graph.naming(id_, name)
        if found:
            yield Relation(name, list(found))


@get(
    "/v1/parts/{part:str}/differences/{other:str}",
    operation_id="getPartDifferences",
    operation=Operation(TwoParts, (_FAMILY,), refuses=(404, 422, 429, 503)),
)
async def get_part_differences(request: Asked, desk: At) -> Response[bytes]:
    """In what two parts of a kind differ, what of it the oil feels, and what either does as the only change.

    Each is checked alone in every family that either was made for, or in the one that is asked for. Their states count
    toward the limit of one answer as those of builds do.
    """
    parts = desk.library.knowledge.parts
    one, other = (find(parts, request.path_params[name], "part", name) for name in ("part", "other"))
    family = _family(request, desk.library)
    if one.kind != other.kind:
        wrong = flaw("path", "/other", f"{quoted(other.id)}, a {other.kind}", f"a {one.kind}, as {one.id} is")
        raise Refusal("two-kinds", "Parts of two kinds have nothing to set side by side.", [wrong])
    return await of_library(
        request,
        desk,
        lambda library: encode(two_parts(library, one.id, other.id, family)),
        lambda library: builds_of_two(library, one.id, other.id, family),
    )


@get(
    "/v1/parts/{part:str}/stand-ins",
    operation_id="listStandIns",
    operation=Operation(
        StandIns, (_FAMILY,), (404, 422, 429, 503), leads_to=Lead("getPart", "part", "/stand_ins/0/part")
    ),
)
async def list_stand_ins(request: Asked, desk: At) -> Response[bytes]:
    """List what the trade supplies in place of a part, then what else takes up its room, and what each does.

    Each is checked alone in every family that the part was made for, or in the one that is asked for. Their states
    count toward the limit of one answer as those of builds do.
    """
    id_ = find(desk.library.knowledge.parts, request.path_params["part"], "part", "part").id
    family = _family(request, desk.library)
    return await of_library(
        request,
        desk,
        lambda library: encode(StandIns(id_, stand_ins(library, id_, family))),
        lambda library: builds_of_stand_ins(library, id_, family),
    )


def _family(request: Asked, library: Library) -> str | None:
    asked = query_of(request).get("family")
    return None if asked is None else find(library.knowledge.families, asked, "family", "family", "query").id


ROUTES = [get_part_relations, get_part_differences, list_stand_ins]
