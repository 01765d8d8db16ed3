"""Routes to what is known: parts, families and rules."""

from litestar import Response, get

from upfeed.judging.lexicon import lexicon
from upfeed.web.asking import Asked, answer, open_query_of, query_of
from upfeed.web.cursor import CURSOR
from upfeed.web.desk import Known
from upfeed.web.families import Families, Family, families, family
from upfeed.web.finding import find
from upfeed.web.operation import Lead, Operation, Parameter, ident, word
from upfeed.web.parts import MOST_PARTS, PAGE, Part, Parts, part, part_page
from upfeed.web.ranges import SIZES
from upfeed.web.rules import Rule, Rules, rule, rules
from upfeed.web.valueschema import whole

_PART_QUERY = (
    word("kind", "Only parts of this kind, as lifter."),
    ident("family", "Only parts that were designed for this family, by its id."),
    Parameter(
        name="number",
        description="Only parts that are sold under this number; a part's id is one of its numbers.",
        expected="a part's number, at most 80 characters",
        pattern=r"[^\x00-\x1f\x7f]+",
        schema={"type": "string", "pattern": whole(r"[^\u0000-\u001f\u007f]+"), "maxLength": 80},
    ),
    CURSOR,
    Parameter(
        name="limit",
        description="How many parts at most.",
        expected=f"a whole number from 1 to {MOST_PARTS}",
        pattern=r"[1-9]|[1-9][0-9]|[1-4][0-9]{2}|500",
        schema={"type": "integer", "minimum": 1, "maximum": MOST_PARTS, "default": PAGE},
    ),
)
_LIST_PARTS = Operation(
    Parts, _PART_QUERY, (404,), leads_to=Lead("getPart", "part", "/parts/0/id"), open=SIZES
)
_LIST_FAMILIES = Operation(Families, leads_to=Lead("getFamily", "family", "/families/0/id"))
_LIST_RULES = Operation(Rules, leads_to=Lead("getRule", "rule", "/rules/0/id"))


@get("/v1/parts", operation_id="listParts", operation=_LIST_PARTS)
async def list_parts(request: Asked, library: Known) -> Response[bytes]:
    """List parts, in order of id.

    Parameters narrow the list together. An unknown kind or family is a 404; a number nobody sells is an empty list.
    Pages are followed by `next`, or by the Link field.
    """
    asked = query_of(request)
    if "kind" in asked:
        find(library.vocabulary.kinds, asked["kind"], "kind of part", "kind", "query")
    if "family" in asked:
        find(library.knowledge.families, asked["family"], "family", "family", "query")
    page = part_page(library, asked, open_query_of(request), request.scope["path"])
    return answer(request, library, page, link=page.next)


@get("/v1/parts/{part:str}", operation_id="getPart", operation=Operation(Part, refuses=(404,)))
async def get_part(request: Asked, library: Known) -> Response[bytes]:
    """Everything known of a part, by its id."""
    record = find(library.knowledge.parts, request.path_params["part"], "part", "part")
    return answer(request, library, part(record, library.vocabulary))


@get("/v1/families", operation_id="listFamilies", operation=_LIST_FAMILIES)
async def list_families(request: Asked, library: Known) -> Response[bytes]:
    """List engine families, in order of id."""
    return answer(request, library, families(library.knowledge))


@get("/v1/families/{family:str}", operation_id="getFamily", operation=Operation(Family, refuses=(404,)))
async def get_family(request: Asked, library: Known) -> Response[bytes]:
    """An engine family, by its id: plan, reference build, operating points and intents."""
    record = find(library.knowledge.families, request.path_params["family"], "family", "family")
    return answer(request, library, family(record, library.vocabulary))


@get("/v1/rules", operation_id="listRules", operation=_LIST_RULES)
async def list_rules(request: Asked, library: Known) -> Response[bytes]:
    """List rules, in order of id."""
    return answer(request, library, rules(library.rulebook))


@get("/v1/rules/{rule:str}", operation_id="getRule", operation=Operation(Rule, refuses=(404,)))
async def get_rule(request: Asked, library: Known) -> Response[bytes]:
    """A rule, by its id: its limits, when it fires, what it says, and the cases that show it."""
    record = find(library.rulebook.rules, request.path_params["rule"], "rule", "rule")
    return answer(request, library, rule(record, lexicon(library.vocabulary)))


ROUTES = [list_parts, get_part, list_families, get_family, list_rules, get_rule]
