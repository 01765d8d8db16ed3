"""Circuits as EPANET 2.2 knows them, through `wntr`: every passage a laminar pipe with a minor loss.

EPANET has no oil drawn by a journal and no way that opens beside a filter, so `without_extras` takes these out; the
relief is a pipe to a reservoir at its opening pressure, left out where it stays shut (a shut check valve of EPANET lets
some 4e-4 of the oil by). Passages that change over the cam's turn are pipes side by side, one a state.
"""

import math
import warnings
from pathlib import Path

import numpy as np
import wntr
from msgspec.structs import replace

from upfeed.flow.network import OUTSIDE, Network
from upfeed.flow.solve import Solution
from upfeed.physics.resistance import Array

# EPANET 2.2 computes in feet with g = 32.2 ft/s2, and takes viscosity as a multiple of 1.1e-5 ft2/s.
FOOT = 0.3048
G = 32.2 * FOOT
WATER = 1.1e-5 * FOOT**2
# Highest Reynolds number in any pipe: beyond 2000 EPANET leaves Poiseuille's law.
REYNOLDS = 1000.0
LEAST_LENGTH = 1e-9
# Codes of EPANET's toolkit: flows begun anew and none written down, and a node's head.
_FROM_THE_START, _HEAD = 10, 10


def without_extras(network: Network) -> Network:
    """The circuit without drawn oil and without bypasses."""
    return replace(
        network, drawn=np.zeros_like(network.drawn), bypass_opens=np.full_like(network.bypass_opens, np.inf)
    )


def model(network: Network, case: int, solution: Solution) -> wntr.network.WaterNetworkModel:
    """One case as a model; its solution says how wide pipes must be to stay laminar, and whether the relief opens."""
    mu, rho = float(network.mu[case]), float(network.rho[case])
    net = wntr.network.WaterNetworkModel()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # roughness keeps its unit, which laminar oil does not feel
        net.options.hydraulic.headloss = "D-W"
    net.options.hydraulic.inpfile_units = "LPM"
    net.options.hydraulic.accuracy = 1e-8
    net.options.hydraulic.trials = 500
    net.options.hydraulic.viscosity = mu / rho / WATER
    net.options.time.duration = 0
    net.add_reservoir("open", base_head=0.0)
    for node in range(network.nodes):
        inflow = float(network.inflow[case]) if node == network.source else 0.0
        net.add_junction(f"n{node}", base_demand=-inflow, elevation=0.0)
    through = solution.flow[case] * network.count[case]
    for branch, (tail, head) in enumerate(zip(network.tail, network.head, strict=True)):
        ends = [("open" if end == OUTSIDE else f"n{end}") for end in (tail, head)]
        width = _diameter(float(through[branch]), mu / rho)
        for number, (a, b) in enumerate(_side_by_side(network, case, branch)):
            _pipe(net, f"b{branch}s{number}", ends, a, b, width)
    if solution.relief[case] > 0:
        net.add_reservoir("relief", base_head=float(network.relief_opens[case]) / (rho * G))
        ends = [f"n{network.source}", "relief"]
        width = _diameter(float(solution.relief[case]), mu / rho)
        _pipe(net, "over", ends, 1 / (float(network.relief_slope[case]) * mu), 0.0, width)
    return net


class Opened:
    """A model that EPANET has read, ready to be solved any number of times. Leaves its files in a folder."""

    def __init__(self, net: wntr.network.WaterNetworkModel, folder: Path) -> None:
        self._names = net.junction_name_list
        wntr.network.write_inpfile(net, str(folder / "net.inp"), units="LPM", version=2.2)
        self._epanet = wntr.epanet.toolkit.ENepanet(version=2.2)
        self._epanet.ENopen(*(str(folder / f"net.{end}") for end in ("inp", "rpt", "bin")))
        self._epanet.ENopenH()

    def solve(self) -> None:
        """Flows and pressures from the start, with nothing known of the last time."""
        self._epanet.ENinitH(_FROM_THE_START)
        self._epanet.ENrunH()

    def pressures(self, rho: float) -> Array:
        """Node pressures, Pa, in oil of this density, kg/m3."""
        heads = [
            self._epanet.ENgetnodevalue(self._epanet.ENgetnodeindex(name), _HEAD) for name in self._names
        ]
        return np.array(heads) * rho * G

    def close(self) -> None:
        """Let go of EPANET and its files."""
        self._epanet.ENcloseH()
        self._epanet.ENclose()


def _side_by_side(network: Network, case: int, branch: int) -> list[tuple[float, float]]:
    """Coefficients of a branch's states as passages side by side, equal ones as one; those that are shut left out."""
    a, b = (law[case, branch] for law in network.series)
    shares: dict[tuple[float, float], float] = {}
    for state, weight in zip(
        zip(a.tolist(), b.tolist(), strict=True), network.weight[case, branch], strict=True
    ):
        shares[state] = shares.get(state, 0.0) + float(weight)
    count = float(network.count[case, branch])
    parts = ((a, b, share * count) for (a, b), share in shares.items() if math.isfinite(a))
    return [(a / share, b / share**2) for a, b, share in parts if share > 0]


def _diameter(flow: float, nu: float) -> float:
    return max(4 * abs(flow) / (math.pi * nu * REYNOLDS), 1e-3)


def _pipe(
    net: wntr.network.WaterNetworkModel,
    name: str,
    ends: list[str],
    a: float,
    b: float,
    diameter: float,
) -> None:
    """a = 128 L/(pi d⁴), b = zeta/(2 A²)."""
    net.add_pipe(
        name,
        *ends,
        length=max(a * math.pi * diameter**4 / 128, LEAST_LENGTH),
        diameter=diameter,
        roughness=1e-9,
        minor_loss=2 * b * (math.pi * diameter**2 / 4) ** 2,
    )
