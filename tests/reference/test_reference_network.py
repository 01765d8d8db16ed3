"""Four stations of a gallery with eight lifter branches, beside EPANET 2.2 (through `wntr`)."""

import math

import numpy as np
import pytest
import wntr

from upfeed.flow.network import OUTSIDE, Network
from upfeed.flow.solve import solve
from upfeed.physics.holes import LONG_BORE_LOSS, loss
from upfeed.physics.laws import bore, hole
from upfeed.physics.resistance import Resistance, in_series

# `wntr` tells that roughness keeps its unit when the law is changed; laminar oil feels none.
pytestmark = pytest.mark.filterwarnings("ignore:Changing the headloss formula:UserWarning")

# EPANET 2.2 computes in feet with g = 32.2 ft/s2, and takes viscosity as a multiple of 1.1e-5 ft2/s.
FOOT = 0.3048
G = 32.2 * FOOT
WATER = 1.1e-5 * FOOT**2
# An independent solve of such a network agreed with EPANET 2.2 to 3.6e-5; its own figures carry some 1e-5.
AGREED = 2e-4

MM, LITRE_A_MINUTE = 1e-3, 1e-3 / 60
STATIONS = range(4)
# Diameter and length of the bore to each station from the one before; of feed hole, wall, orifice and its depth.
BORES = [(7 * MM, 150 * MM), (6 * MM, 120 * MM), (5 * MM, 110 * MM)]
LIFTERS = [
    ((1.3 * MM, 2.0 * MM), (0.60 * MM, 1.0 * MM)),
    ((1.3 * MM, 2.0 * MM), (0.45 * MM, 1.2 * MM)),
    ((1.7 * MM, 2.0 * MM), (0.60 * MM, 1.0 * MM)),
    ((1.0 * MM, 2.5 * MM), (0.70 * MM, 0.5 * MM)),
    ((1.1 * MM, 1.5 * MM), (0.50 * MM, 0.0)),
    ((1.3 * MM, 2.0 * MM), (0.30 * MM, 3.0 * MM)),
    ((0.8 * MM, 2.0 * MM), (0.80 * MM, 2.0 * MM)),
    ((1.5 * MM, 3.0 * MM), (0.40 * MM, 0.2 * MM)),
]
OILS = {  # inflow, L/min; kinematic viscosity, mm2/s; density, kg/m3
    "hot": (2.0, 10.0, 815.0),
    "thin": (1.6, 6.0, 800.0),
    "warm": (2.5, 40.0, 840.0),
    "cold": (0.2, 1500.0, 880.0),
}


def epanet(tmp_path, inflow, nu, rho):
    """Pressure at each station, Pa, flow of each lifter and highest Reynolds number, from EPANET."""
    net = wntr.network.WaterNetworkModel()
    net.options.hydraulic.headloss = "D-W"
    net.options.hydraulic.inpfile_units = "LPM"
    net.options.hydraulic.accuracy = 1e-8
    net.options.hydraulic.trials = 500
    net.options.hydraulic.viscosity = nu / WATER
    net.options.time.duration = 0
    net.add_reservoir("open", base_head=0.0)
    for station in STATIONS:
        net.add_junction(f"s{station}", base_demand=0.0 if station else -inflow, elevation=0.0)
    for station, (diameter, length) in enumerate(BORES):
        _pipe(net, f"b{station}", f"s{station}", f"s{station + 1}", diameter, length, LONG_BORE_LOSS)
    for number, (feed, orifice) in enumerate(LIFTERS):
        net.add_junction(f"l{number}", base_demand=0.0, elevation=0.0)
        _hole(net, f"f{number}", f"s{number // 2}", f"l{number}", *feed)
        _hole(net, f"o{number}", f"l{number}", "open", *orifice)
    results = wntr.sim.EpanetSimulator(net).run_sim(file_prefix=str(tmp_path / "net"), version=2.2)
    head, through = results.node["head"].iloc[0], results.link["flowrate"].iloc[0]
    pressure = [rho * G * head[f"s{station}"] for station in STATIONS]
    reynolds = [
        4 * abs(through[name]) / (math.pi * net.get_link(name).diameter * nu) for name in net.pipe_name_list
    ]
    return pressure, [through[f"o{number}"] for number in range(len(LIFTERS))], max(reynolds)


def _hole(net, name, start, end, diameter, length):
    """A hole as the pipe that resists as much: Sampson's 24/d³ is 3 pi d/16 of pipe more."""
    _pipe(
        net, name, start, end, diameter, length + 3 * math.pi * diameter / 16, float(loss(diameter, length))
    )


def _pipe(net, name, start, end, diameter, length, minor_loss):
    net.add_pipe(name, start, end, length=length, diameter=diameter, roughness=1e-9, minor_loss=minor_loss)


def ours(inflow, nu, rho):
    """The same pressures and flows from the program's own laws and solver."""
    laws = [bore(*size) for size in BORES]
    laws += [in_series(hole(*feed), hole(*orifice)) for feed, orifice in LIFTERS]
    shape = (1, len(laws), 1)
    none = Resistance(np.zeros((1, 0, 1)), np.zeros((1, 0, 1)))
    network = Network(
        nodes=len(STATIONS),
        tail=np.array([0, 1, 2, *(number // 2 for number in range(len(LIFTERS)))]),
        head=np.array([1, 2, 3, *[OUTSIDE] * len(LIFTERS)]),
        count=np.ones(shape[:2]),
        weight=np.ones(shape),
        series=Resistance(*(np.array([law[i] for law in laws], dtype=float).reshape(shape) for i in (0, 1))),
        paired=np.zeros(0, dtype=int),
        first=none,
        second=none,
        drawn=np.zeros(shape[:2]),
        bypass_opens=np.full(shape[:2], np.inf),
        bypass_slope=np.zeros(shape[:2]),
        mu=np.array([nu * rho]),
        rho=np.array([rho]),
        source=0,
        inflow=np.array([inflow]),
        relief_opens=np.array([1e9]),
        relief_slope=np.array([1e-8]),
        scale=np.array([inflow]),
    )
    solution = solve(network)
    assert solution.converged.all()
    return solution.pressure[0], solution.flow[0, len(BORES) :]


@pytest.mark.parametrize("oil", OILS)
def test_pressures_and_flows_agree_with_epanet(oil, tmp_path):
    litres, square_mm, rho = OILS[oil]
    inflow, nu = litres * LITRE_A_MINUTE, square_mm * 1e-6
    pressure, through, reynolds = epanet(tmp_path, inflow, nu, rho)
    assert reynolds < 2000, "EPANET leaves Poiseuille's law there"
    found_pressure, found_flow = ours(inflow, nu, rho)
    assert found_pressure == pytest.approx(np.array(pressure), rel=AGREED)
    assert found_flow == pytest.approx(np.array(through), rel=AGREED)
    assert found_flow.sum() == pytest.approx(inflow, rel=1e-9)
