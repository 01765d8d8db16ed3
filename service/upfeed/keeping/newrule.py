"""Begins a rule: a folder's two files that load and agree, to be made into what is meant."""

from upfeed.knowledge.vocabulary import Attribute
from upfeed.reading import units


def rule_scaffold(id_: str, area: str, kind: str, attribute: Attribute) -> dict[str, str]:
    """`rule.yaml` and `cases.yaml` of a rule about an attribute that differs from the design's."""
    one, other = _examples(attribute)
    name = f"{kind}.{attribute.name}"
    return {"rule.yaml": _rule(id_, area, kind, name), "cases.yaml": _cases(kind, name, one, other)}


def _examples(attribute: Attribute) -> tuple[str, str]:
    """Two values that are possible; ValueError for a table, which no rule can name."""
    if attribute.choices is not None:
        first, second, *_ = attribute.choices
        return first, second
    ends = attribute.usual or attribute.possible
    if attribute.quantity is None or ends is None:
        raise ValueError(f"rules cannot name {attribute.name}")
    low, high = (units.show(end, attribute.quantity, attribute.shown_in) for end in ends)
    return low, high


def _rule(id_: str, area: str, kind: str, name: str) -> str:
    return f"""format: 1
rule: {id_}
area: {area}
walks: {_walk(kind)}
weighs: note
about: [{name}]
why: >-
  Say what follows for the oil, in words a customer understands.
when:
  all:
    - {name} != reference.{name}
says: >-
  {{{kind}.name}} has {{{name}}}; the family was designed round {{reference.{name}}}.
known_limits: >-
  Say what the rule does not see.
sources: [common-practice]
"""


def _cases(kind: str, name: str, one: str, other: str) -> str:
    return f"""format: 1
cases:
  - case: differs from the design
    expect: fires
    facts:
      {kind}.name: a part of another family
      {name}: {one}
      reference.{name}: {other}
    says: >-
      a part of another family has {one}; the family was designed round {other}.
  - case: as designed
    expect: quiet
    facts:
      {name}: {other}
      reference.{name}: {other}
  - case: not looked at
    expect: unknown
    facts:
      {name}: null
      reference.{name}: {other}
    blocked_by: [{name}]
"""


def _walk(kind: str) -> str:
    """Every engine has a camshaft, whatever way its oil takes."""
    return "camshaft" if kind == "camshaft" else f"camshaft > {kind}"
