"""What an unquoted YAML value is, and which ones are refused since YAML's readers disagree on them."""

import re
from functools import lru_cache

from upfeed.reading.nodes import Form

_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+(?:[eE][+-][0-9]+)?)?")

_WORDS: dict[str, Form] = {
    **dict.fromkeys(("true", "True", "TRUE", "false", "False", "FALSE"), "boolean"),
    **dict.fromkeys(("null", "Null", "NULL", "~", ""), "null"),
}
_TRUE = ("on", "yes", "y", "true")
_FALSE = ("off", "no", "n", "false")
_SIGNS = {"=": "It is a default value", "<<": "It merges another mapping"}
_DISPUTED = frozenset({*_TRUE, *_FALSE, *_SIGNS, "null"})

_NUMERIC_TRAPS = (
    (r"[+-]?\.(?:inf|nan)", "It is infinite or no number"),
    (r"[+-]?[0-9][0-9_]*(?::[0-9]{1,2})+(?:\.[0-9_]*)?", "It is a number to base sixty"),
    (r"[+-]?0[xob][0-9a-f_]+", "It is hexadecimal, octal or binary"),
    (r"[+-]?0[0-9_]+(?:\.[0-9_]*)?", "It is octal"),
    (
        r"[+-]?(?:[0-9][0-9_]*\.?[0-9_]*|\.[0-9_]+)(?:e[+-]?[0-9]+)?",
        "It is text",
    ),
)
_NUMERIC_TRAP = re.compile("|".join(pattern for pattern, _ in _NUMERIC_TRAPS), re.IGNORECASE)


@lru_cache(maxsize=4096)  # a catalogue writes the same few words and sizes again and again
def plain_form(text: str) -> Form:
    """Return the form of an unquoted scalar; "refused" where YAML 1.1 and 1.2 readers differ."""
    known = _WORDS.get(text)
    if known is not None:
        return known
    if text[0] in "0123456789.+-":
        if _NUMBER.fullmatch(text):
            return "number"
        return "refused" if _NUMERIC_TRAP.fullmatch(text) else "text"
    return "refused" if len(text) <= 5 and text.lower() in _DISPUTED else "text"


def why_refused(text: str) -> tuple[str, str]:
    """Return what is expected instead of a refused plain scalar, and the advice that goes with it."""
    word = text.lower()
    if word in _SIGNS:
        return "a value written out", f'{_SIGNS[word]} to some readers. Write it out, or "{text}" as text.'
    if word in _TRUE or word in _FALSE:
        meant = "true" if word in _TRUE else "false"
        return (
            "true, false or text in quotes",
            f'It is {meant} to some readers. Write {meant}, or "{text}" as text.',
        )
    for pattern, reading in _NUMERIC_TRAPS:
        if re.fullmatch(pattern, text, re.IGNORECASE):
            return (
                "a plain decimal number",
                f'{reading} to some readers. Write a number such as 8 or 0.5, or "{text}" as text.',
            )
    return "null or text in quotes", f'Write null, or "{text}" as text.'
