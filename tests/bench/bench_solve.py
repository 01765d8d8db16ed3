"""Microseconds a case for one array of 1, 100 and 10,000 engines, beside scipy.optimize.root case by case.

    python tests/bench/bench_solve.py [--most 10000] [--roots 100]

The engines are the Tarn V8 at its operating points with every passage spread by a few tens per cent. The two are
timed in turn in one process, the best of several runs each; both end at the same pressures, which is checked.
"""

import argparse
import time
from collections.abc import Callable

import numpy as np
from msgspec.structs import replace
from scipy.optimize import root

from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.network import OUTSIDE, PER_CASE, Network
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.load import Layer, load
from upfeed.knowledge.variants import variant
from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.physics.resistance import Array, Resistance, flow
from upfeed.reading.folders import data_folder

SIZES = (1, 100, 10_000)
SPREAD = 0.3
BAR = 1e5


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


def _rows(law: Resistance, rows: Array) -> Resistance:
    return Resistance(law.a[rows], law.b[rows])


def one_by_one(network: Network, cases: int) -> Array:
    """Node pressures of the first cases by scipy's root finder, Pa."""
    assert np.isinf(network.second.a).all(), "written for rows without a second way"
    return np.array([_root(network, case) for case in range(cases)])


def _root(network: Network, case: int) -> Array:
    law = Resistance(network.series.a[case], network.series.b[case])
    mu, rho, weight = network.mu[case], network.rho[case], network.weight[case]
    count, scale = network.count[case], network.scale[case]
    outwards = network.head == OUTSIDE

    def imbalance(bars: Array) -> Array:
        pressure = BAR * bars
        drop = pressure[network.tail] - np.where(outwards, 0.0, pressure[network.head])
        through = (flow(drop[:, None], law, mu, rho) * weight).sum(axis=1) * count
        relief = network.relief_slope[case] * max(pressure[network.source] - network.relief_opens[case], 0.0)
        left = np.zeros(network.nodes)
        left[network.source] = network.inflow[case] - relief
        np.add.at(left, network.tail, -through)
        np.add.at(left, network.head[~outwards], through[~outwards])
        return left / scale

    found = root(imbalance, np.full(network.nodes, network.relief_opens[case] / BAR), tol=1e-12)
    return np.asarray(found.x) * BAR


def best_of(runs: int, work: Callable[[], object]) -> float:
    """Shortest time of several runs, s."""
    took = []
    for _ in range(runs):
        begun = time.perf_counter()
        work()
        took.append(time.perf_counter() - begun)
    return min(took)


def main() -> None:
    """Print a line for each size."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--most", type=int, default=SIZES[-1], help="largest array")
    asked.add_argument("--roots", type=int, default=100, help="cases the root finder is given")
    given = asked.parse_args()
    network = tarn_v8()
    print(f"{'cases':>7}  {'array, us a case':>17}  {'root, us a case':>16}  {'times':>6}  {'apart':>8}")
    for cases in (size for size in SIZES if size <= given.most):
        many = spread(network, cases)
        some = min(cases, given.roots)
        solution = solve(many)
        assert solution.converged.all()
        apart = np.abs(one_by_one(many, some) / solution.pressure[:some] - 1).max()
        together = best_of(3, lambda many=many: solve(many)) / cases
        alone = best_of(3, lambda many=many, some=some: one_by_one(many, some)) / some
        print(
            f"{cases:>7}  {1e6 * together:>17.1f}  {1e6 * alone:>16.1f}  {alone / together:>6.1f}  {apart:>8.1e}"
        )


if __name__ == "__main__":
    main()
