"""Checks of what the vocabulary says of a bench: that every reading, passage and size it names is there and fits."""

from collections.abc import Iterator, Mapping

from upfeed.knowledge.vocabulary import Bench, Binding, Kind
from upfeed.physics.laws import LAWS
from upfeed.reading.faults import Fault, Origin, quoted

FLUID = {
    "temperature": "temperature",
    "viscosity_40": "kinematic_viscosity",
    "viscosity_100": "kinematic_viscosity",
    "density_15": "density",
}
"""What is said of the bench's oil, the arguments of `oil_at`."""


def bench_trait_faults(kind: Kind, origin: Origin) -> Iterator[Fault]:
    """Everything in the bench of a kind by which no size could be worked out."""
    bench, path = kind.bench, f"{kind.name}, bench"
    if bench is None:
        return
    yield from _reading_faults(kind, bench, origin, path)
    for name, words in bench.where.items():
        choices = kind.attributes[name].choices if name in kind.attributes else None
        if not set(words) <= set(choices or ()):
            yield Fault(
                origin, f"{path}, where", quoted(name), "an attribute of this kind, and choices that it has"
            )
    passages = (bench.metering, *bench.rest)
    for name in (name for name in passages if name not in kind.passages):
        yield Fault(origin, path, quoted(name), "a passage of this kind")
    if set(passages) <= set(kind.passages):
        for choice, size in bench.tells.items():
            for found, expected in _untold(kind, bench, choice, size):
                yield Fault(origin, f"{path}, tells, {choice}", found, expected)


def _reading_faults(kind: Kind, bench: Bench, origin: Origin, path: str) -> Iterator[Fault]:
    if set(bench.fluid) != set(FLUID):
        yield Fault(origin, f"{path}, fluid", ", ".join(bench.fluid) or "nothing", ", ".join(FLUID))
    of_the_oil = ((name, FLUID.get(argument, "")) for argument, name in bench.fluid.items())
    for name, quantity in ((bench.flow, "flow"), (bench.pressure, "pressure"), *of_the_oil):
        if _quantity(kind, name) != quantity:
            yield Fault(origin, path, quoted(name), f"an attribute that is a {quantity.replace('_', ' ')}")


def _untold(kind: Kind, bench: Bench, choice: str, size: str) -> Iterator[tuple[str, str]]:
    """What is found instead of a law that takes the size, and of laws that take nothing but the part's own sizes."""
    metering = kind.passages[bench.metering]
    if choice not in metering.laws:
        yield quoted(choice), f"a choice of {' and '.join(metering.by) or 'law'}"
        return
    law = bench.held.get(choice) or metering.laws[choice]
    if size not in law.takes.values():
        yield quoted(size), f"a size that the law {law.law} takes"
    rest = (kind.passages[name].laws for name in bench.rest)
    for binding in (law, *(laws.get(choice, laws.get("")) for laws in rest)):
        if binding is None or not _takes_own(kind, binding, LAWS[binding.law].arguments):
            found = f"the law {binding.law}" if binding else "no law"
            yield found, "one whose arguments are sizes of this part, or numbers"


def _takes_own(kind: Kind, binding: Binding, arguments: Mapping[str, str]) -> bool:
    return set(binding.takes) == set(arguments) and all(
        isinstance(term, float) or _quantity(kind, term) == arguments[argument]
        for argument, term in binding.takes.items()
    )


def _quantity(kind: Kind, name: str) -> str | None:
    return kind.attributes[name].quantity if name in kind.attributes else None
