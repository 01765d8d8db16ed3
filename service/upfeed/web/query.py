"""Reads a query string strictly: unknown, repeated and malformed parameters are refused, all at once."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from urllib.parse import parse_qsl, urlencode

from msgspec import Struct

from upfeed.reading.faults import quoted
from upfeed.reading.nearest import did_you_mean, either
from upfeed.web.operation import Open, Parameter
from upfeed.web.problem import Flaw, Refusal, flaw

MOST = 32
"""Parameters that are looked at; far more than any operation has."""

MOST_OPEN = 1000
"""Parameters that are looked at where their names are open."""

_BROKEN = re.compile(rb"%(?![0-9A-Fa-f]{2})|[^\x21-\x7e]")


class Query(Struct, frozen=True):
    """Parameters by name, and those whose names are open in the order in which they came."""

    named: dict[str, str]
    open: list[tuple[str, str]]


def read_query(raw: bytes, known: Sequence[Parameter], open_: Open | None = None) -> Query:
    """The parameters given. Raises Refusal with everything that is wrong with them."""
    if not raw:
        return Query({}, [])
    pairs = _pairs(raw, MOST_OPEN if open_ else MOST)
    by_name = {parameter.name: parameter for parameter in known}
    flaws = list(_flaws(pairs, by_name, open_))
    if flaws:
        raise Refusal("unreadable-query", "The query can't be used.", flaws)
    named = {name: value for name, value in pairs if name in by_name}
    return Query(named, [pair for pair in pairs if pair[0] not in by_name])


def settled(query: Mapping[str, str], known: Sequence[Parameter]) -> dict[str, str]:
    """The parameters that hold: those given, and what holds for those left out."""
    left_out = {parameter.name: parameter.default for parameter in known if parameter.default is not None}
    return {**left_out, **query}


def canonical(query: Mapping[str, str]) -> str:
    """The same text for the same parameters, in whatever order they came."""
    return urlencode(sorted(query.items()))


def _pairs(raw: bytes, most: int) -> list[tuple[str, str]]:
    pairs = None if _BROKEN.search(raw) else _split(raw.decode("ascii"), most)
    if pairs is None:
        expected = f"at most {most} parameters as name=value, percent-encoded UTF-8"
        wrong = flaw("query", "", quoted(raw.decode("latin-1")), expected)
        raise Refusal("unreadable-query", "The query can't be read.", [wrong])
    return pairs


def _split(text: str, most: int) -> list[tuple[str, str]] | None:
    try:
        return parse_qsl(
            text, keep_blank_values=True, strict_parsing=bool(text), errors="strict", max_num_fields=most
        )
    except ValueError:
        return None


def _flaws(
    pairs: list[tuple[str, str]], known: Mapping[str, Parameter], open_: Open | None
) -> Iterator[Flaw]:
    counts = Counter(name for name, _ in pairs)
    for name, value in dict(pairs).items():
        pointer = f"/{name.replace('~', '~0').replace('/', '~1')}"
        parameter = known.get(name)
        is_open = open_ is not None and re.fullmatch(open_.pattern, name) is not None
        if parameter is None and not is_open:
            expected = either([*known, *_of(open_)]) if known or open_ else "no parameters"
            yield flaw("query", pointer, f"the parameter {quoted(name)}", expected, did_you_mean(name, known))
        elif counts[name] > 1:
            yield flaw("query", pointer, f"{name} {counts[name]} times", "it only once")
        elif parameter and not _fits(value, parameter):
            yield flaw("query", pointer, quoted(value), parameter.expected)


def _of(open_: Open | None) -> list[str]:
    return [open_.expected] if open_ else []


def _fits(value: str, parameter: Parameter) -> bool:
    longest = parameter.schema.get("maxLength", len(value))
    return len(value) <= longest and re.fullmatch(parameter.pattern, value) is not None
