"""Depression filling held against a brute-force flood, and its sums."""

import heapq

import numpy as np
import pytest

from model.water.fill import fill


def flooded(count, a, b, sill, outlet):
    """Levels by a flood from the outlet: a heap hands out the lowest place that water can stand to next.

    R. Barnes, C. Lehman, D. Mulla, Priority-flood, Computers & Geosciences 62 (2014), from memory; written
    on a graph, with no spanning tree.
    """
    ways = [[] for _ in range(count)]
    for one, other, height in zip(a.tolist(), b.tolist(), sill.tolist(), strict=True):
        ways[one].append((other, height))
        ways[other].append((one, height))
    level = np.full(count, np.inf)
    heap = [(-np.inf, outlet)]
    seen = set()
    while heap:
        height, node = heapq.heappop(heap)
        if node in seen:
            continue
        seen.add(node)
        level[node] = height
        for other, sill_height in ways[node]:
            if other not in seen:
                heapq.heappush(heap, (max(height, sill_height), other))
    return level


@pytest.mark.parametrize("seed", range(6))
def test_levels_are_those_of_a_flood_over_a_random_ground(seed):
    rng = np.random.default_rng(seed)
    n = 24
    ground = rng.normal(0.0, 30.0, (n, n)).round(1) - 100.0
    number = np.arange(n * n).reshape(n, n)
    pairs = [(number[:-1], number[1:]), (number[:, :-1], number[:, 1:])]
    a = np.concatenate([p.ravel() for p, _ in pairs])
    b = np.concatenate([q.ravel() for _, q in pairs])
    sill = np.maximum(ground.ravel()[a], ground.ravel()[b])
    shut = rng.random(len(a)) < 0.1
    a, b, sill = a[~shut], b[~shut], sill[~shut]
    rim = number[0]
    a, b = np.concatenate([a, rim]), np.concatenate([b, np.full(n, n * n)])
    sill = np.concatenate([sill, ground.ravel()[rim]])
    found = fill(n * n + 1, a, b, sill, n * n)
    wanted = flooded(n * n + 1, a, b, sill, n * n)
    assert found.level[:-1] == pytest.approx(wanted[:-1])


def test_no_way_out_is_an_endless_level():
    a, b = np.array([0, 1, 3]), np.array([1, 2, 4])
    found = fill(6, a, b, np.array([3.0, -2.0, 1.0]), 2)
    assert found.level[0] == 3.0
    assert found.level[1] == -2.0
    assert np.isinf(found.level[[3, 4, 5]]).all()
    assert found.way[:3].tolist() == [1, 2, 2]
    assert found.gate.tolist() == [1, 1, -1, -1, -1, -1]


def test_a_sill_of_nought_is_a_link():
    found = fill(3, np.array([0, 1]), np.array([1, 2]), np.zeros(2), 2)
    assert found.level[:2].tolist() == [0.0, 0.0]
