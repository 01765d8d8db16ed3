"""Bench flows that no metering explains."""

from collections.abc import Iterator, Mapping

import numpy as np

from upfeed.knowledge.benches import Known, Reading, reading, told_size
from upfeed.knowledge.records import Value
from upfeed.knowledge.vocabulary import Kind
from upfeed.reading.faults import Fault
from upfeed.reading.units import show

_ADVICE = "Check jug, watch, gauge, feed hole and the oil's temperature."
_AT_AN_END = 1e-9


def bench_faults(kind: Kind, has: Mapping[str, Value], path: str) -> Iterator[Fault]:
    """What cannot be in a part's bench flow, told where it is written."""
    if kind.bench is None or kind.bench.flow not in has:
        return
    known = {name: value.magnitude for name, value in has.items()}
    # What the build itself says is what its writer can mend.
    read = (has[name].origin for name in kind.bench.readings if name in has)
    origin = next(iter(sorted(read, key=lambda origin: origin.layer != "")))
    for expected, advice in _wrong(kind, known, reading(kind, known)):
        yield Fault(origin, f"{path}, {kind.bench.flow}", has[kind.bench.flow].written, expected, advice)


def _wrong(kind: Kind, known: Known, read: Reading | None) -> Iterator[tuple[str, str]]:
    """What was expected instead, and what to do."""
    assert kind.bench is not None
    by = kind.passages[kind.bench.metering].by
    beside = [name for name, words in kind.bench.where.items() if known.get(name, words[0]) not in words]
    if beside:
        chosen = " and ".join(f"{name} {known[name]}" for name in beside).replace("_", " ")
        yield "none", f"With {chosen} the oil caught tells of several ways at once: measure the sizes."
    elif known[kind.bench.flow] == 0.0:
        yield "some oil", f"A {kind.name} that lets none by has no way to meter: look whether it is blind."
    elif set(by) <= set(known) and told_size(kind, known) is None:
        chosen = " and ".join(f"{name} {known[name]}" for name in by).replace("_", " ")
        yield "none", f"With {chosen} no oil passes that way."
    elif read is not None and float(read.caught) >= float(read.most):
        most = show(float(read.most), "flow", kind.attributes[kind.bench.flow].shown_in)
        yield f"less than the {most} that the rest of the {kind.name} passes without any metering", _ADVICE
    elif read is not None and np.isclose(float(read.size), read.ends, rtol=_AT_AN_END, atol=0.0).any():
        of = kind.attributes[read.tells]
        ends = " to ".join(show(end, of.quantity or "", of.shown_in) for end in read.ends)
        yield (
            f"what a {read.tells.replace('_', ' ')} of {ends} lets by, beyond which nothing is possible",
            _ADVICE,
        )
