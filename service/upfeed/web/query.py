"""Reads a query string strictly: unknown, repeated and malformed parameters are refused, all at once."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from urllib.parse import parse_qsl, urlencode

from upfeed.reading.faults import quoted
from upfeed.reading.nearest import did_you_mean, either
from upfeed.web.operation import Parameter
from upfeed.web.problem import Flaw, Refusal, flaw

MOST = 32
"""Parameters that are looked at; far more than any operation has."""

_BROKEN = re.compile(rb"%(?![0-9A-Fa-f]{2})|[^\x21-\x7e]")


def read_query(raw: bytes, known: Sequence[Parameter]) -> dict[str, str]:
    """The parameters given, by name. Raises Refusal with everything that is wrong with them."""
    if not raw:
        return {}
    pairs = _pairs(raw)
    flaws = list(_flaws(pairs, {parameter.name: parameter for parameter in known}))
    if flaws:
        raise Refusal("unreadable-query", "The query can't be used.", flaws)
    return dict(pairs)


def canonical(query: Mapping[str, str]) -> str:
    """The same text for the same parameters, in whatever order they came."""
    return urlencode(sorted(query.items()))


def _pairs(raw: bytes) -> list[tuple[str, str]]:
    pairs = None if _BROKEN.search(raw) else _split(raw.decode("ascii"))
    if pairs is None:
        expected = f"at most {MOST} parameters as name=value, percent-encoded UTF-8"
        wrong = flaw("query", "", quoted(raw.decode("latin-1")), expected)
        raise Refusal("unreadable-query", "The query can't be read.", [wrong])
    return pairs


def _split(text: str) -> list[tuple[str, str]] | None:
    try:
        return parse_qsl(
            text, keep_blank_values=True, strict_parsing=bool(text), errors="strict", max_num_fields=MOST
        )
    except ValueError:
        return None


def _flaws(pairs: list[tuple[str, str]], known: Mapping[str, Parameter]) -> Iterator[Flaw]:
    counts = Counter(name for name, _ in pairs)
    for name, value in dict(pairs).items():
        pointer = f"/{name.replace('~', '~0').replace('/', '~1')}"
        parameter = known.get(name)
        if parameter is None:
            expected = either(known) if known else "no parameters"
            yield flaw("query", pointer, f"the parameter {quoted(name)}", expected, did_you_mean(name, known))
        elif counts[name] > 1:
            yield flaw("query", pointer, f"{name} {counts[name]} times", "it only once")
        elif not _fits(value, parameter):
            yield flaw("query", pointer, quoted(value), parameter.expected)


def _fits(value: str, parameter: Parameter) -> bool:
    longest = parameter.schema.get("maxLength", len(value))
    return len(value) <= longest and re.fullmatch(parameter.pattern, value) is not None
