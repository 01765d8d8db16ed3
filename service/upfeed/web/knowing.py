"""The routes to what is known as a whole: its state, all of it, sources, vocabulary, guides."""

from litestar import Response, get

from upfeed.answering.wire import encode
from upfeed.text.measuring import measuring_guide
from upfeed.text.rulecatalogue import rule_catalogue
from upfeed.web.asking import Asked, answer
from upfeed.web.desk import At, Known
from upfeed.web.knowledge import KnowledgeIdentity, Sources, WholeKnowledge, identity, sources, whole
from upfeed.web.operation import Operation
from upfeed.web.question import of_library
from upfeed.web.words import Words, words

_GUIDE = Operation(None, refuses=(429, 503), media="text/markdown")


@get("/v1/knowledge", operation_id="getKnowledge", operation=Operation(KnowledgeIdentity))
async def get_knowledge(request: Asked, library: Known) -> Response[bytes]:
    """Which state of knowledge and rules is answered from: its digests, its layers, how much it is."""
    return answer(request, library, identity(library))


@get(
    "/v1/knowledge/whole",
    operation_id="getWholeKnowledge",
    operation=Operation(WholeKnowledge, refuses=(429, 503)),
)
async def get_whole_knowledge(request: Asked, desk: At) -> Response[bytes]:
    """All that is known and judged by in one answer, for use where there is no network.

    Ask with If-None-Match, and it is sent only when something of it has changed; ask for gzip, and it is far shorter.
    """
    return await of_library(request, desk, lambda library: encode(whole(library)))


@get("/v1/sources", operation_id="listSources", operation=Operation(Sources))
async def list_sources(request: Asked, library: Known) -> Response[bytes]:
    """List where values come from, in order of id."""
    return answer(request, library, Sources(sources(library)))


@get("/v1/vocabulary", operation_id="getVocabulary", operation=Operation(Words))
async def get_vocabulary(request: Asked, library: Known) -> Response[bytes]:
    """The vocabulary: kinds of parts, what can be known of each and how it is measured, operating points, facts."""
    return answer(request, library, words(library.vocabulary))


@get("/v1/guides/measuring", operation_id="getMeasuringGuide", operation=_GUIDE)
async def get_measuring_guide(request: Asked, desk: At) -> Response[bytes]:
    """How everything is measured, kind by kind, as a guide for the bench in Markdown."""
    return await of_library(request, desk, lambda library: measuring_guide(library.vocabulary).encode())


@get("/v1/guides/rules", operation_id="getRuleGuide", operation=_GUIDE)
async def get_rule_guide(request: Asked, desk: At) -> Response[bytes]:
    """Every rule as a page of Markdown: what it looks for, why, when it fires, what it says, what it rests on."""
    return await of_library(request, desk, lambda library: rule_catalogue(library.rulebook).encode())


ROUTES = [
    get_knowledge,
    get_whole_knowledge,
    list_sources,
    get_vocabulary,
    get_measuring_guide,
    get_rule_guide,
]
