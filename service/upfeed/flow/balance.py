"""What comes into every node of a network less what goes out, and how that turns with pressure."""

import numpy as np
from msgspec import Struct

from upfeed.flow.elimination import eliminated
from upfeed.flow.network import Mask, Network, Rows, incidence, reached_nodes
from upfeed.flow.throughput import Throughput, throughput
from upfeed.physics.resistance import Array
from upfeed.physics.supply import spring_valve

# Pressure, Pa, so small that the pump's top flow over it is slope without end; no real passage comes near.
_STILL = 1e-8
# Slopes to the outside that keep a closed circuit solvable; the residual still decides. Absolutely, as the pump's top
# flow at a pressure no engine has, Pa, and as a share of a node's own slope, to stand above rounding.
_CLOSED = 1e17
_HAIR = 1e-14


class State(Struct, frozen=True):
    """Pressures and imbalances [C, N], drops, flows and slopes of one of each branch [C, E], the relief's [C].

    `fine` [C, N] is what rounding took from the pressures: over a hole that is wide for its oil the drop is less than
    the last digit of the pressures at its ends.
    """

    pressure: Array
    fine: Array
    imbalance: Array
    drop: Array
    flow: Array
    slope: Array
    relief: Array
    rise: Array

    def some(self, rows: Rows) -> "State":
        """The cases of these numbers."""
        return State(*(getattr(self, name)[rows] for name in self.__struct_fields__))

    def put(self, rows: Rows, of: "State") -> None:
        """Overwrite the cases of these numbers."""
        for name in self.__struct_fields__:
            getattr(self, name)[rows] = getattr(of, name)


class Balance(Struct, frozen=True):
    """A network made ready to be looked at under many pressures, by `balance`.

    joins [N, E], +1 where a branch leaves a node, -1 where it enters; stamps [E, N * N], what a slope of a branch
    adds to the Jacobian; reached [C, N]; closed [C, N], slopes to the outside that keep a closed circuit solvable, and
    steepest [C], what counts as a slope without end, m3/(s Pa); the rest as in `Network`.
    """

    throughput: Throughput
    joins: Array
    stamps: Array
    reached: Mask
    closed: Array
    steepest: Array
    count: Array
    source: int
    inflow: Array
    relief_opens: Array
    relief_slope: Array
    scale: Array

    def at(self, pressure: Array, fine: Array) -> State:
        """The state under node pressures [C, N], Pa, with what rounding took from them."""
        drop = pressure @ self.joins + fine @ self.joins
        flow, slope = self.throughput.at(drop)
        relief, rise = spring_valve(pressure[:, self.source], self.relief_opens, self.relief_slope)
        imbalance = (flow * self.count) @ -self.joins.T
        imbalance[:, self.source] += self.inflow - relief
        imbalance *= self.reached
        return State(pressure, fine, imbalance, drop, flow, slope, relief, rise)

    def beyond(self, state: State, step: Array) -> State:
        """The state a step [C, N], Pa, further."""
        step = state.fine + step
        pressure = state.pressure + step
        # What is lost by rounding, exactly (Knuth, The Art of Computer Programming 2, 4.2.2; from memory).
        taken = pressure - state.pressure
        return self.at(pressure, (state.pressure - (pressure - taken)) + (step - taken))

    def residual(self, state: State) -> Array:
        """The largest imbalance of any node as a share of the pump's top flow: [C]."""
        shares: Array = np.abs(state.imbalance).max(axis=1) / self.scale
        return shares

    def jacobian(self, slope: Array, rise: Array) -> Array:
        """What goes out of each node for a Pa more at each: [C, N, N], from slopes of one of each branch."""
        # Where nothing flows, a way without any viscous part would have a slope without end.
        slope = np.minimum(slope, self.steepest[:, None]) * self.count
        nodes = len(self.joins)
        matrix = slope @ self.stamps
        matrix[:, self.source * (nodes + 1)] += rise
        own = matrix[:, :: nodes + 1]
        own *= 1 + _HAIR
        own += self.closed
        return matrix.reshape(-1, nodes, nodes)

    def step(self, state: State) -> Array:
        """The Newton step, Pa: [C, N]."""
        jacobian = self.jacobian(state.slope, state.rise)
        return np.asarray(np.linalg.solve(jacobian, state.imbalance[:, :, None])[:, :, 0])

    def careful_step(self, state: State) -> Array:
        """The Newton step, Pa, of a circuit whose Jacobian rounding would spoil: [C, N]."""
        slope = np.minimum(state.slope, self.steepest[:, None]) * self.count
        nodes = len(self.joins)
        between = np.maximum(-(slope @ self.stamps), 0.0).reshape(-1, nodes, nodes)
        outwards = slope @ (np.abs(self.joins) * self.joins.sum(axis=0) ** 2).T + self.closed
        outwards[:, self.source] += state.rise
        return eliminated(between, outwards, state.imbalance)

    def steepness(self, state: State, step: Array) -> Array:
        """How much more would go out along a step for a whole step more: [C]."""
        out: Array = (state.slope * self.count * (step @ self.joins) ** 2).sum(axis=1)
        return out + state.rise * step[:, self.source] ** 2

    def some(self, rows: Rows) -> "Balance":
        """The cases of these numbers."""
        return Balance(
            throughput=self.throughput.some(rows),
            joins=self.joins,
            stamps=self.stamps,
            reached=self.reached[rows],
            closed=self.closed[rows],
            steepest=self.steepest[rows],
            count=self.count[rows],
            source=self.source,
            inflow=self.inflow[rows],
            relief_opens=self.relief_opens[rows],
            relief_slope=self.relief_slope[rows],
            scale=self.scale[rows],
        )


def balance(network: Network) -> Balance:
    """Make a network ready."""
    joins, reached = incidence(network), reached_nodes(network)
    return Balance(
        throughput=throughput(network),
        joins=joins,
        stamps=(joins[:, None] * joins).reshape(network.nodes**2, -1).T.copy(),
        reached=reached,
        closed=np.where(reached, network.scale[:, None] / _CLOSED, 1.0),
        steepest=network.scale / _STILL,
        count=network.count,
        source=network.source,
        inflow=network.inflow,
        relief_opens=network.relief_opens,
        relief_slope=network.relief_slope,
        scale=network.scale,
    )
