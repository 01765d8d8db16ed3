"""Plain scalars against those who read YAML otherwise: nothing we accept may mean something else to them.

- YAML 1.1 as PyYAML's own resolver reads it, and y and n, which YAML 1.1 has as booleans and PyYAML has not
  (https://yaml.org/type/bool.html, from memory).
- YAML 1.2.2, section 10.3.2, the core schema's expressions, from memory.
"""

import re
from typing import Any

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from upfeed.reading.plain import plain_form, why_refused

BOOL_1_1 = re.compile("y|Y|yes|Yes|YES|n|N|no|No|NO|true|True|TRUE|false|False|FALSE|on|On|ON|off|Off|OFF")
CORE_1_2 = {
    "null": re.compile("null|Null|NULL|~|"),
    "boolean": re.compile("true|True|TRUE|false|False|FALSE"),
    "number": re.compile(
        r"[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+|[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?"
        r"|[-+]?(\.inf|\.Inf|\.INF)|\.nan|\.NaN|\.NAN"
    ),
}
FORMS_1_1 = {
    "null": "null",
    "bool": "boolean",
    "int": "number",
    "float": "number",
    "timestamp": "text",
    "str": "text",
}


def form_1_1(text: str) -> str:
    if BOOL_1_1.fullmatch(text):
        return "boolean"
    tag = yaml.SafeLoader("").resolve(yaml.ScalarNode, text, (True, False))  # type: ignore[no-untyped-call]
    return FORMS_1_1.get(tag.removeprefix("tag:yaml.org,2002:"), "special")


def form_1_2(text: str) -> str:
    return next((form for form, expression in CORE_1_2.items() if expression.fullmatch(text)), "text")


WORDS = ["on", "off", "yes", "no", "y", "n", "true", "null", "inf", "nan", "NaN", "T", " ", "mm"]
PIECES = [*"0123456789.+-_:eExXobBa~=<", *WORDS]


@given(st.lists(st.sampled_from(PIECES), max_size=6).map("".join).filter(lambda text: text == text.strip()))
@example("2026-11-01")
@example("08")
@example("190:20:30")
@example("0o14")
@example("12e03")
@example("685.230_15e+03")
@example("-2E+05")
@example("1.0E-400")
def test_what_is_accepted_means_the_same_to_every_reader(text: str) -> None:
    form = plain_form(text)
    if form == "refused":
        assert all(why_refused(text))
    else:
        assert {form_1_1(text), form_1_2(text)} == {form}


# What the specifications give as their own examples of numbers to other bases (YAML 1.1, 2.4; from memory).
@pytest.mark.parametrize(
    "text", ["0o14", "014", "0xC", "190:20:30", "1_000", "685_230", "0b1010_0111", "-.inf", ".NaN"]
)
def test_other_notations_are_refused(text: str) -> None:
    assert plain_form(text) == "refused"


@pytest.mark.parametrize("text", ["0", "-0", "8", "1.50", "-3", "0.052", "1.0e-3", "6.02E+23"])
def test_numbers_have_the_same_value_to_every_reader(text: str) -> None:
    value: Any = yaml.safe_load(text)
    assert plain_form(text) == "number"
    assert value == float(text)
