"""Pressures of a network of plain conductances, found without a single subtraction."""

import numpy as np

from upfeed.physics.resistance import Array


def eliminated(between: Array, outwards: Array, inflow: Array) -> Array:
    """Node pressures [C, N], Pa, at which as much goes out of every node as comes in.

    between: [C, N, N], m3/(s Pa), symmetric, of what joins two nodes (its diagonal is not read); outwards: [C, N],
    m3/(s Pa), from a node to the open space; inflow: [C, N], m3/s. All not negative but the inflow. What goes out of a
    node may be the 1e-30th part of what goes to and fro: a matrix with both in one diagonal would have lost it.
    Source: Gaussian elimination, each diagonal put together anew from what is left of its row (Grassmann, Taksar and
    Heyman 1985, from memory). A node that nothing leads away from has 0.
    Example: 1 to 2 by 3, 2 outwards by 1, 6 into 1: 8 and 6.
    """
    between, outwards, inflow = between.copy(), outwards.copy(), inflow.copy()
    nodes = outwards.shape[1]
    diagonal = np.empty_like(outwards)
    for k in range(nodes - 1, -1, -1):
        row = between[:, k, :k]
        whole = row.sum(axis=1) + outwards[:, k]
        diagonal[:, k] = np.where(whole > 0, whole, np.inf)
        share = row / diagonal[:, k, None]
        between[:, :k, :k] += share[:, :, None] * row[:, None, :]
        outwards[:, :k] += share * outwards[:, k, None]
        inflow[:, :k] += share * inflow[:, k, None]
    pressure = np.empty_like(inflow)
    for k in range(nodes):
        fed = np.vecdot(between[:, k, :k], pressure[:, :k])
        pressure[:, k] = (fed + inflow[:, k]) / diagonal[:, k]
    return pressure
