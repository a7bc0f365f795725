"""Straight ways from one part of a boat to another between which nothing leads: where a chase could go."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from model.geometry import Array
from model.ways.places import Ints, Links

PARTS = 8
"""So many of the largest parts are joined."""

EACH = 6
"""So many of the shortest straights between two parts are tried."""


def parted(links: Links, count: int) -> Ints:
    """The part of the boat that each place is in, `(count,)`."""
    i, j = links.ends.T
    graph = csr_matrix((np.ones(len(i)), (i, j)), shape=(count, count))
    found: Ints = connected_components(graph, directed=False)[1].astype(np.int64)
    return found


def bridges(points: Array, parts: Ints) -> Ints:
    """Pairs of places near to each other in different parts, `(k, 2)`."""
    sizes = np.bincount(parts)
    large = np.argsort(-sizes, kind="stable")[:PARTS]
    own = {int(part): np.flatnonzero(parts == part) for part in large if sizes[part] > 1}
    trees = {part: cKDTree(points[places]) for part, places in own.items()}
    found = [np.zeros((0, 2), dtype=np.int64)]
    for one, other in combinations(own, 2):
        far, nearest = trees[other].query(points[own[one]], k=1)
        best = np.argsort(far, kind="stable")[:EACH]
        found.append(np.stack([own[one][best], own[other][np.asarray(nearest)[best]]], axis=1))
    return np.concatenate(found)
