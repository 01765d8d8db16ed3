"""Microseconds a case for one array of 1, 100 and 10,000 engines, beside two solvers that take one case after another.

    python tests/bench/bench_solve.py [--most 10000] [--alone 100]

The engines are the Tarn V8 at its operating points with every passage spread by a few tens per cent. All are timed in
turn in one process, the best of several runs each, and must end at the same pressures:

- scipy.optimize.root on the very same circuit, with the oil its journals draw, the bypass of its filter and what its
  pickup lets by; from the relief's opening pressure at every node;
- EPANET 2.2 on the circuit without drawn oil and bypass, which it cannot know; its hydraulic solution alone, called
  in its library from a model it has read, beside the array on that circuit.
"""

import argparse
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import numpy as np
from epanet_circuits import Opened, model, without_extras
from msgspec.structs import replace
from scipy.optimize import root

from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.network import OUTSIDE, PER_CASE, Network, Rows
from upfeed.flow.plan import topology
from upfeed.flow.solve import TOLERANCE, solve
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.load import Layer, load
from upfeed.knowledge.variants import variant
from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.physics.resistance import Array, Resistance, passage
from upfeed.physics.sideflow import side_flow
from upfeed.physics.supply import spring_valve
from upfeed.reading.folders import data_folder

SIZES = (1, 100, 10_000)
SPREAD = 0.3
BAR = 1e5
# EPANET's own figures carry some 1e-5.
AGREED = 2e-4


class Row(NamedTuple):
    """So many cases: seconds a case as one array and one by one, and the largest share their pressures are apart."""

    cases: int
    together: float
    alone: float
    apart: float


def tarn_v8() -> Network:
    """The Tarn V8's reference at all its points."""
    vocabulary = read_vocabulary(data_folder("shared") / "vocabulary")
    knowledge = load([Layer("base", data_folder("kb"))], vocabulary).knowledge
    family = knowledge.families["tarn-v8"]
    engines = Engines(
        family.plan,
        vocabulary,
        (variant(reference_build(family, knowledge, vocabulary)),),
        tuple(family.points),
    )
    return circuit(engines, topology(family.plan, vocabulary.kinds)).network


def spread(network: Network, cases: int) -> Network:
    """That many cases, each passage wider or narrower by chance; the same ones every time."""
    rng = np.random.default_rng(7)
    rows = np.arange(cases) % len(network.mu)
    factor = np.exp(SPREAD * rng.standard_normal((cases, len(network.tail), 1)))
    taken = {name: getattr(network, name)[rows] for name in PER_CASE}
    pairs = {name: _rows(getattr(network, name), rows) for name in ("first", "second")}
    series = _rows(network.series, rows)
    return replace(network, series=Resistance(series.a * factor, series.b * factor**2), **taken, **pairs)


def _rows(law: Resistance, rows: Rows) -> Resistance:
    return Resistance(law.a[rows], law.b[rows])


def one_by_one(network: Network, cases: int) -> Array:
    """Node pressures of the first cases by scipy's root finder, Pa."""
    assert np.isinf(network.second.a).all(), "written for rows without a second way"
    return np.array([_root(network, case) for case in range(cases)])


def _root(network: Network, case: int) -> Array:
    law = passage(_with_lone_ways(network, case), network.mu[case], network.rho[case])
    weight, count, scale = network.weight[case], network.count[case], network.scale[case]
    drawn, opens, slope = network.drawn[case], network.bypass_opens[case], network.bypass_slope[case]
    outwards = network.head == OUTSIDE

    def imbalance(bars: Array) -> Array:
        pressure: Array = BAR * bars
        drop = pressure[network.tail] - np.where(outwards, 0.0, pressure[network.head])
        fed, rise = ((of * weight).sum(axis=1) for of in law.at(drop[:, None]))
        through = (side_flow(fed, rise, drawn)[0] + spring_valve(drop, opens, slope)[0]) * count
        relief = network.relief_slope[case] * max(pressure[network.source] - network.relief_opens[case], 0.0)
        left = np.zeros(network.nodes)
        left[network.source] = network.inflow[case] - relief
        np.add.at(left, network.tail, -through)
        np.add.at(left, network.head[~outwards], through[~outwards])
        return np.asarray(left / scale)

    found = root(imbalance, np.full(network.nodes, network.relief_opens[case] / BAR), tol=1e-12)
    assert np.abs(imbalance(found.x)).max() <= TOLERANCE, found.message
    return np.asarray(found.x) * BAR


def _with_lone_ways(network: Network, case: int) -> Resistance:
    """A case's branches with what stands in a row and the only way behind it."""
    law = Resistance(*(of[case].copy() for of in network.series))
    for of, first in zip(law, network.first, strict=True):
        of[network.paired] += first[case]
    return law


def beside_root(network: Network, cases: int, alone: int) -> Row:
    """One size beside scipy's root finder."""
    solution = solve(network)
    assert solution.converged.all()
    apart = np.abs(one_by_one(network, alone) / solution.pressure[:alone] - 1).max()
    together = best_of(3, lambda: solve(network)) / cases
    return Row(cases, together, best_of(3, lambda: one_by_one(network, alone)) / alone, float(apart))


def beside_epanet(network: Network, cases: int, alone: int) -> Row:
    """One size beside EPANET."""
    network = without_extras(network)
    solution = solve(network)
    assert solution.converged.all()
    took, apart = [], []
    for case in range(alone):
        with TemporaryDirectory() as folder:
            opened = Opened(model(network, case, solution), Path(folder))
            took.append(best_of(3, opened.solve))
            apart.append(
                np.abs(opened.pressures(float(network.rho[case])) / solution.pressure[case] - 1).max()
            )
            opened.close()
    assert max(apart) <= AGREED
    return Row(cases, best_of(3, lambda: solve(network)) / cases, sum(took) / alone, float(max(apart)))


def best_of(runs: int, work: Callable[[], object]) -> float:
    """Shortest time of several runs, s."""
    took = []
    for _ in range(runs):
        begun = time.perf_counter()
        work()
        took.append(time.perf_counter() - begun)
    return min(took)


def main() -> None:
    """Print a line for each size and peer."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--most", type=int, default=SIZES[-1], help="largest array")
    asked.add_argument("--alone", type=int, default=100, help="cases the others are given")
    given = asked.parse_args()
    network = tarn_v8()
    print(f"{'cases':>7}  {'array, us a case':>17}  {'peer, us a case':>16}  {'times':>6}  {'apart':>8}")
    for cases in (size for size in SIZES if size <= given.most):
        many, alone = spread(network, cases), min(cases, given.alone)
        for name, beside in (("scipy.optimize.root", beside_root), ("EPANET", beside_epanet)):
            row = beside(many, cases, alone)
            print(
                f"{row.cases:>7}  {1e6 * row.together:>17.1f}  {1e6 * row.alone:>16.1f}"
                f"  {row.alone / row.together:>6.1f}  {row.apart:>8.1e}  {name}"
            )


if __name__ == "__main__":
    main()
