"""The size of a part's metering from its bench flow: which one it is and how large."""

from collections.abc import Mapping

import numpy as np
from msgspec import Struct

from upfeed.knowledge.records import Magnitude
from upfeed.knowledge.vocabulary import Bench, Binding, Kind, Passage
from upfeed.physics.benchflow import metering_size, passes_alone
from upfeed.physics.laws import LAWS
from upfeed.physics.oil import oil_at
from upfeed.physics.resistance import Array, Numbers, Resistance, flow, in_series

Known = Mapping[str, Magnitude | Array]
"""What is known of a part: words, and sizes in SI, one number each or [N]."""


class Reading(Struct, frozen=True):
    """What a bench read, SI: the size it tells, the oil caught, and what else took of the pressure."""

    tells: str
    ends: tuple[float, float]
    metering: Binding
    sizes: Mapping[str, Numbers]
    caught: Numbers
    pressure: Numbers
    rest: Resistance
    mu: Array
    rho: Array

    @property
    def size(self) -> Array:
        """The size that meters so; an end of what is possible where none does."""
        return metering_size(
            self.caught, self.pressure, self.rest, self._resistance, self.ends, self.mu, self.rho
        )

    @property
    def most(self) -> Array:
        """Flow, m3/s, that would pass with no metering at all."""
        return passes_alone(self.pressure, self.rest, self.mu, self.rho)

    def _resistance(self, size: Array) -> Resistance:
        return _resistance(self.metering, {**self.sizes, self.tells: size})


def reading(kind: Kind, known: Known) -> Reading | None:
    """What a part's bench flow tells; None without one, with anything it takes missing, or where it tells nothing."""
    bench, told = kind.bench, told_size(kind, known)
    if bench is None or told is None:
        return None
    sizes = {name: value for name, value in known.items() if isinstance(value, float | np.ndarray)}
    metering, *others = _on_the_bench(kind, bench, known)
    if not {*bench.readings, *_sizes_of(metering, *others)} - {told} <= set(sizes):
        return None
    mu, rho = oil_at(**{argument: sizes[name] for argument, name in bench.fluid.items()})
    return Reading(
        tells=told,
        ends=kind.attributes[told].possible or (0.0, np.inf),
        metering=metering,
        sizes=sizes,
        caught=sizes[bench.flow],
        pressure=sizes[bench.pressure],
        rest=in_series(*(_resistance(of, sizes) for of in others)),
        mu=mu,
        rho=rho,
    )


def lets_by(kind: Kind, known: Known, pressure: Numbers, mu: Numbers, rho: Numbers) -> Array | None:
    """Oil, m3/s, that a part of known sizes lets by on the bench; None where a size is missing or it has no bench.

    `pressure` in Pa ahead of it, `mu` in Pa s and `rho` in kg/m3 of the bench's oil.
    """
    if kind.bench is None or told_size(kind, known) is None:
        return None
    sizes = {name: value for name, value in known.items() if isinstance(value, float | np.ndarray)}
    passed = _on_the_bench(kind, kind.bench, known)
    if not _sizes_of(*passed) <= set(sizes):
        return None
    return flow(pressure, in_series(*(_resistance(of, sizes) for of in passed)), mu, rho)


def told_size(kind: Kind, known: Known) -> str | None:
    """The size that a bench flow tells of a part that meters so; None where it tells none, or nobody says how."""
    bench = kind.bench
    return bench.tells.get(kind.passages[bench.metering].chosen(known)) if bench else None


def wanting(kind: Kind, known: Known, size: str) -> tuple[str, ...]:
    """What is missing beside a bench flow that is given for it to tell a size; nothing where none is given."""
    bench = kind.bench
    if bench is None or bench.flow not in known or told_size(kind, known) != size:
        return ()
    taken = {*bench.readings, *_sizes_of(*_on_the_bench(kind, bench, known))} - {size}
    return tuple(name for name in kind.attributes if name in taken and name not in known)


def hangs_on(kind: Kind) -> frozenset[str]:
    """The attributes of a part that its bench flow was read with: how it meters, and the sizes of what oil passed."""
    if kind.bench is None:
        return frozenset()
    passages = [kind.passages[name] for name in (kind.bench.metering, *kind.bench.rest)]
    laws = [law for p in passages for choice, law in p.laws.items() if choice not in kind.bench.held]
    ways = {name for passage in passages for name in passage.by}
    return frozenset(ways | _sizes_of(*laws, *kind.bench.held.values()))


def _on_the_bench(kind: Kind, bench: Bench, known: Known) -> list[Binding]:
    """The law that meters, and those of the rest."""
    metering, *rest = (kind.passages[name] for name in (bench.metering, *bench.rest))
    held = bench.held.get(metering.chosen(known))
    return [held or _in_force(metering, known), *(_in_force(passage, known) for passage in rest)]


def _in_force(passage: Passage, known: Known) -> Binding:
    return passage.binding(passage.chosen(known))


def _sizes_of(*bindings: Binding) -> set[str]:
    return {term for of in bindings for term in of.takes.values() if isinstance(term, str)}


def _resistance(binding: Binding, sizes: Mapping[str, Numbers]) -> Resistance:
    """A passage's law; on a bench none has two ways side by side."""
    takes = {of: term if isinstance(term, float) else sizes[term] for of, term in binding.takes.items()}
    law = LAWS[binding.law].function(**takes)
    assert isinstance(law, Resistance)
    return law
