"""Depression filling on any graph: to what level water must rise everywhere before it runs out.

The level at a place is the least, over all ways out, of the highest sill on the way (a minimax path). All
such ways lie on one minimum spanning tree of the graph: T. C. Hu, The maximum capacity route problem,
Operations Research 9 (1961), from memory. So one tree and one walk along it fill the whole boat, exactly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import breadth_first_order, minimum_spanning_tree

from model.geometry import Array
from model.water.columns import Ints


@dataclass(frozen=True, eq=False)
class Filled:
    """How a graph fills from its outlet.

    Attributes:
        level: height to which water stands at each node before it runs out, `(n,)`; inf with no way out.
        way: the node that water goes to from each node on its way out, `(n,) int`; the outlet's own number
            at the outlet, -1 with no way out.
        gate: the last node before the outlet on the way, `(n,) int`; -1 where there is none.
    """

    level: Array
    way: Ints
    gate: Ints


def fill(count: int, a: Ints, b: Ints, sill: Array, outlet: int) -> Filled:
    """Fills a graph of `count` nodes.

    Args:
        count: of nodes.
        a: one end of each link, `(k,) int`; no two links join the same two nodes.
        b: the other end.
        sill: height of each link, `(k,)`.
        outlet: the node where water is gone; it lies below everything.
    """
    lift = 1.0 - float(sill.min(initial=0.0))  # a sparse matrix takes a weight of 0 for no link
    graph = coo_matrix((sill + lift, (a, b)), shape=(count, count)).tocsr()
    tree = minimum_spanning_tree(graph).tocoo()
    heights = coo_matrix((tree.data, (tree.row, tree.col)), shape=(count, count))
    both = (heights + heights.T).tocsr()
    _, way = breadth_first_order(both, outlet, directed=False)
    ahead: Ints = np.where(way < 0, -1, way).astype(np.int64)
    reached = np.flatnonzero(ahead >= 0)
    step = np.zeros(count)
    step[reached] = np.asarray(both[reached, ahead[reached]]).ravel() - lift
    ahead[outlet] = outlet
    level, gate = _along(ahead, step, outlet)
    return Filled(level, ahead, gate)


def _along(way: Ints, step: Array, outlet: int) -> tuple[Array, Ints]:
    """The highest step from each node to the outlet and the last node before it, by doubling the stride."""
    lost = way < 0
    ahead = np.where(lost, np.arange(len(way)), way)
    level = np.where(lost, np.inf, step)
    level[outlet] = -np.inf
    jump = np.where(ahead == outlet, np.arange(len(way)), ahead)  # stays at the gate
    jump[outlet] = outlet
    while True:
        far = ahead[ahead]
        level = np.maximum(level, level[ahead])
        jump = jump[jump]
        if np.array_equal(far, ahead):
            break
        ahead = far
    found = np.where(lost, -1, jump)
    found[outlet] = -1
    return level, found
