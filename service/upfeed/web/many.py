"""The route that checks many builds in one request."""

from collections.abc import Sequence

from litestar import Response, post
from litestar.concurrency import sync_to_thread
from msgspec.structs import replace

from upfeed.answering.answer import FORMAT
from upfeed.answering.several import Checks, Refused
from upfeed.knowledge.records import BuildSheet
from upfeed.reading.faults import DataFaults
from upfeed.web.asked import BUILDS, NO_DRAWS, UNITS
from upfeed.web.asking import (
    Asked,
    answered,
    answered_in_part,
    coding_of,
    kept_or_read,
    settled_query_of,
)
from upfeed.web.body import canonical, json_body, read_body
from upfeed.web.checks import CHECKS, check_of
from upfeed.web.desk import At, Desk
from upfeed.web.gzipped import deflated
from upfeed.web.limits import BUILDS_BODY, MOST_BUILDS
from upfeed.web.operation import Operation
from upfeed.web.problem import Refusal
from upfeed.web.question import Question
from upfeed.web.replies import computed_key
from upfeed.web.rows import Rows, Wanted, in_rows, refused_as, unusable
from upfeed.web.several import read_each

_REFUSES = (413, 415, 422, 429, 503)


@post(
    f"{CHECKS}/many",
    status_code=200,
    operation_id="checkBuilds",
    operation=Operation(Checks, (UNITS, NO_DRAWS), _REFUSES, takes=BUILDS, in_part=True),
    request_max_body_size=BUILDS_BODY,
)
async def check_builds(request: Asked, desk: At) -> Response[bytes]:
    """Check many builds in one request, at most 500.

    Each has an answer in its place, the same as if it were checked alone with as many draws; a build that can't be
    checked has its faults there and spoils nothing. No draws are made unless they are asked for. The answer has the
    same bytes as the command line prints for files of JSON by the same names, with as many draws.

    What takes longer than a request may last is answered as far as it came: builds that were not reached are refused
    with the kind of problem `not-in-time` (or `too-many-requests`), the answer is not to be kept and tells when to ask
    again. What was computed is kept as the answer of each build, so that asking again, or for one build alone, goes on
    from there; once all are there, the answer is what it would have been at once. Where no build at all was reached,
    the request as a whole is refused.
    """
    sent, library = await json_body(request), desk.library

    def read() -> tuple[object, list[Wanted | Refused]]:
        return _many(Question(settled_query_of(request), sent, library, desk.limits))

    known = await kept_or_read(request, library, desk.answers, sent, read)
    if isinstance(known, Response):
        return known
    return await _found(request, desk, *known)


async def _found(request: Asked, desk: Desk, key: str, wanted: Sequence[Wanted | Refused]) -> Response[bytes]:
    """The reply with what was found of each build in time."""
    rows = Rows(desk.answers, desk.answers.until())
    told = await rows.told(wanted)
    content = await sync_to_thread(in_rows, FORMAT, told)
    is_packed = coding_of(request) == "gzip"
    packed = await sync_to_thread(deflated, content) if is_packed or not rows.late else content
    if rows.late:
        return answered_in_part(request, packed, rows.late.headers, rows.found)
    desk.answers.keep(key, packed)
    return answered(request, key, packed if is_packed else content, rows.found)


def _many(question: Question) -> tuple[object, list[Wanted | Refused]]:
    """The body in canonical form, and each build as one to be checked alone, or why it can't be."""
    node, faults = read_body(question.sent)
    builds = read_each(node, faults, MOST_BUILDS, question.library)
    alone = replace(question, query=question.query | {"mends": "false"})
    meaning = canonical(node)
    rows = [_row(alone, *build, said) for build, said in zip(builds, meaning["builds"][0], strict=True)]
    usable = [one for (_, one), row in zip(builds, rows, strict=True) if isinstance(row, Wanted)]
    question.check_work(*(one for one in usable if isinstance(one, BuildSheet)), samples=question.samples)
    # of a key that stands twice, the canonical form has one
    return [meaning, list(map(str, faults))], rows


def _row(alone: Question, name: str, sheet: BuildSheet | DataFaults, said: object) -> Wanted | Refused:
    """A build as one that is asked for alone, or why it can't be."""
    if isinstance(sheet, DataFaults):
        return unusable(name, sheet.faults)
    try:
        work = check_of(alone, sheet)
    except DataFaults as wrong:
        return unusable(name, wrong.faults)
    except Refusal as refusal:
        return refused_as(name, refusal)
    return Wanted(name, computed_key(alone.library, CHECKS, alone.query, said), work)


ROUTES = [check_builds]
