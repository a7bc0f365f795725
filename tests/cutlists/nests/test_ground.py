"""Laying on one sheet: exact contact, tight places, and the engine's layouts put back in place."""

from __future__ import annotations

import time

import numpy as np
import pytest
import shapely

from cutlists.nests.filling import RULES, Work, fill
from cutlists.nests.forms import form_of
from cutlists.nests.ground import Ground, Plot, travel
from cutlists.nests.records import NestPiece, Stock
from cutlists.nests.squeezing import blocks_of, make_room, press
from parts.outline import Array, Loop
from tests.cutlists.nests.nest_samples import box, frame, piece

CELL = 11.3


def plot(width: float, length: float, spacing: float = 6.0, margin: float = 8.0) -> Plot:
    return Plot(Stock.sheet("s", width, length), spacing, margin, CELL)


def edges(*corners: tuple[float, float]) -> Array:
    ring = np.array([*corners, corners[0]], dtype=float)
    return np.stack([ring[:-1], ring[1:]], axis=1)


def test_travel_until_corners_or_edges_meet() -> None:
    square = edges((10, 0), (12, 0), (12, 2), (10, 2))
    assert travel(square, edges((0, -5), (4, 1), (0, 7)), 0) == pytest.approx(6, abs=2e-4)
    assert travel(square, edges((0, 1.5), (9, 1.9), (0, 9)), 0) == pytest.approx(1, abs=2e-4)
    assert travel(square, edges((0, 3), (9, 3), (9, 9)), 0) == 0  # nothing in the way: it stays
    assert travel(square[:, :, ::-1], edges((0, -5), (4, 1), (0, 7))[:, :, ::-1], 1) == pytest.approx(
        6, abs=2e-4
    )


def laid(pieces: list[NestPiece], on: Plot) -> Ground:
    packing = fill([on], [form_of(one, CELL) for one in pieces], RULES[0], Work(9.0, time.monotonic() + 60))
    assert not packing.left
    return packing.grounds[0]


def test_pieces_are_pushed_until_they_touch() -> None:
    ground = laid([box(f"A.{k}", 200, 150, turns=(0,)) for k in range(3)], plot(600, 500))
    places = np.array([laid.polygon.bounds[:2] for laid in ground.laid])
    assert places == pytest.approx(np.array([(0, 0), (0, 156), (0, 312)]), abs=1e-3)
    assert ground.placements()[0].polygon().bounds[:2] == pytest.approx((8, 8), abs=1e-3)


def test_a_disc_nestles_between_two_others() -> None:
    ground = laid([piece(f"R.{k}", Loop.circle(100)) for k in range(3)], plot(226 + 16, 900))
    gaps = [a.polygon.distance(b.polygon) for i, a in enumerate(ground.laid) for b in ground.laid[:i]]
    assert sorted(gaps)[:2] == pytest.approx([6, 6], abs=0.4)
    assert min(gaps) >= 6 - 1e-3


def work() -> Work:
    return Work(3.0, time.monotonic() + 60)


def test_the_engine_makes_room_where_pieces_lie_loosely() -> None:
    """Six triangles of one kind fill a sheet in pairs; three laid loosely leave no place for more."""
    triangle = [(0.0, 0.0), (300.0, 0.0), (0.0, 200.0)]
    forms = [form_of(piece(f"T.{k}", triangle), CELL) for k in range(4)]
    ground = laid([form.piece for form in forms[:3]], plot(460, 480))
    found = make_room(ground, forms[3], 1, work())
    assert found is not None
    assert sorted(one.form.piece.name for one in found.laid) == ["T.0", "T.1", "T.2", "T.3"]
    shapes = [one.polygon for one in found.laid]
    assert min(a.distance(b) for i, a in enumerate(shapes) for b in shapes[:i]) >= 6 - 1e-3
    assert found.plot.usable.buffer(1e-3).covers(shapely.union_all(shapes))
    assert make_room(ground, form_of(box("B.1", 400, 400), CELL), 1, work()) is None


def test_pieces_in_openings_go_with_their_host() -> None:
    pieces = [frame("F.1", 400, 300), box("G.1", 250, 200), box("H.1", 30, 250), box("A.1", 300, 100)]
    ground = laid(pieces, plot(500, 1500))
    blocks = blocks_of(ground.laid)
    assert sorted(len(block.laid) for block in blocks) == [1, 3]
    for pressed in press(ground, 1, work()):
        shapes = {one.form.piece.name: one.polygon for one in pressed.laid}
        hole = shapely.Polygon(shapes["F.1"].interiors[0])
        assert hole.covers(shapes["G.1"])
        assert hole.covers(shapes["H.1"])
