"""The engine's process: it stops where it is told, says the same again, and its faults are told."""

from __future__ import annotations

import time

import numpy as np
import pytest
import shapely
from shapely import affinity

from cutlists.nests.engine import Limits, StripTask, run_engine

TRIANGLE = ((0.0, 0.0), (300.0, 0.0), (0.0, 200.0))
BAR = ((0.0, 0.0), (400.0, 0.0), (400.0, 90.0), (0.0, 90.0))
TASK = StripTask(500.0, (TRIANGLE,) * 4 + (BAR,) * 3, ((0.0, 180.0),) * 7, 5.0, seed=3)


def test_a_strip_is_right_and_the_same_again() -> None:
    first, second = (run_engine(TASK, Limits(time.monotonic() + 60, reports=25)) for _ in range(2))
    assert first == second
    assert not first.by_clock
    strip = first.strip
    assert strip is not None
    shapes = [
        affinity.translate(affinity.rotate(shapely.Polygon(xy), turn, origin=(0, 0)), *move)
        for xy, turn, move in zip(TASK.outlines, strip.turns, strip.moves, strict=True)
    ]
    assert shapely.box(0, 0, strip.length, TASK.height).covers(shapely.union_all(shapes))
    gaps = [a.distance(b) for i, a in enumerate(shapes) for b in shapes[:i]]
    assert min(gaps) > TASK.spacing - 0.01
    assert strip.length > sum(shape.area for shape in shapes) / TASK.height


def test_it_stops_once_the_target_is_met() -> None:
    found = run_engine(TASK, Limits(time.monotonic() + 60, target=3000.0))
    assert found.strip is not None
    assert not found.by_clock


def test_it_stops_at_the_clock() -> None:
    many = StripTask(2000.0, (TRIANGLE,) * 60, ((0.0, 90.0, 180.0),) * 60, 5.0, seed=1)
    start = time.monotonic()
    found = run_engine(many, Limits(start + 0.5, reports=10**9))
    assert found.by_clock
    assert time.monotonic() - start < 20


@pytest.mark.parametrize("height", [50.0, -1.0])
def test_what_cannot_be_is_told(height: float) -> None:
    found = run_engine(StripTask(height, (BAR,), ((0.0,),), 5.0, 1), Limits(time.monotonic() + 30, reports=5))
    assert found.strip is None
    assert found.fault
    assert np.isfinite(len(found.fault))
