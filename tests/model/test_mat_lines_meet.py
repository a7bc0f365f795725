"""Grooves of neighbours meet: across lids, joints and steps, and every one counts from the centreline."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from model.geometry import Array
from model.mat.build import Matting, mat_of
from model.mat.piece import MatPiece
from model.mat.settings import MatSettings
from tests.model.mat_boats import BOX_MAT, box_boat, lake_boat

SAME = 0.01


def on_boat(piece: MatPiece) -> list[Array]:
    """Its grooves as `(2, 3)` lines in the boat."""
    return [piece.frame.to_boat(line) for line in piece.grooves()]


def crossing(pieces: list[MatPiece], low: Array, high: Array) -> Array:
    """The y at which grooves enter a box of the boat, sorted, doubles joined."""
    found = []
    for piece in pieces:
        for start, end in on_boat(piece):
            along = np.linspace(0.0, 1.0, max(2, int(np.hypot(*(end - start)[[0, 2]]) / 0.25)))
            points = start + along[:, None] * (end - start)
            inside = ((points >= low) & (points <= high)).all(axis=1)
            if inside.any():
                found.append(points[inside][0, 1])
    return np.unique(np.round(found, 2))


def joints(pieces: list[MatPiece]) -> Array:
    """The middles of fore-and-aft joints between the pieces of one deck."""
    bounds = [piece.polygon.bounds for piece in pieces]
    return np.array(
        [(a[3] + b[1]) / 2 for a in bounds for b in bounds if abs(b[1] - a[3] - 3.175) < 0.01]
    ).round(2)


@pytest.fixture(scope="module", params=[0.0, 9.0])
def lake(request) -> Matting:
    return mat_of(lake_boat(), replace(MatSettings(), offset=request.param))


def test_every_groove_of_the_boat_is_one_of_the_set(lake):
    s = lake.settings
    count = 0
    for piece in lake.pieces:
        for line in on_boat(piece):
            steps = (line[:, 1] - s.offset) / s.pitch
            assert np.abs(steps - np.round(steps)).max() * s.pitch < SAME
            count += 1
    assert count > 300


STEPS = {
    # deck above, its riser, station of the edge, height of the deck
    "front over sole": ("deck.front/top", "deck.front/riser.aft.1", 112 * 25.4, 22 * 25.4),
    "step over sole": ("deck.step/top", "deck.step/riser.aft.1", 103 * 25.4, 16.3125 * 25.4),
    "aft down to sole": ("deck.aft/top", "deck.aft/riser.forward.1", 34 * 25.4, 20 * 25.4),
    "box over sole": ("deck.box/top", "deck.box/riser.aft.1", 86 * 25.4, 20 * 25.4),
}


@pytest.mark.parametrize("step", STEPS)
def test_grooves_run_over_a_step(lake, step):
    top, face, station, height = STEPS[step]
    deck = crossing(
        [p for p in lake.pieces if p.surface == top],
        np.array([station - 20, -900, height - 1]),
        np.array([station + 20, 900, height + 1]),
    )
    riser = crossing(
        [p for p in lake.pieces if p.surface == face],
        np.array([station - 2, -900, height - 12]),
        np.array([station + 2, 900, height]),
    )
    deck = np.union1d(deck, joints([p for p in lake.pieces if p.surface == top]))
    # the face ends a little short of the deck at both sides; between its ends each line is there
    within = deck[(deck > riser.min() - 1) & (deck < riser.max() + 1)]
    assert len(within) > 5
    assert riser == pytest.approx(within, abs=SAME)
    assert len(deck) - len(within) <= 2


LIDS = [
    ("deck.aft", "livewell"), ("deck.aft", "hatch.port"), ("deck.aft", "hatch.starboard"),
    ("deck.box", "ice"), ("deck.rods", "rods"),
    ("deck.front", "store.port"), ("deck.front", "store.starboard"),
]  # fmt: skip


@pytest.mark.parametrize(("deck", "opening"), LIDS)
def test_grooves_run_across_a_lid(lake, deck, opening):
    (lid,) = [p for p in lake.pieces if p.surface == f"{deck}/{opening}/lid"]
    around = [p for p in lake.pieces if p.surface == f"{deck}/top"]
    lid_lines = np.array([line[0, 1] for line in on_boat(lid)])
    # each of its lines goes on in the deck, forward of it and aft of it, where there is deck
    for line in on_boat(lid):
        y = line[0, 1]
        for end, way in ((line[:, 0].min(), -1.0), (line[:, 0].max(), 1.0)):
            probe = shapely.Point(end + way * 12.0, y)
            if any(piece.polygon.contains(probe) for piece in around):
                met = [o for p in around for o in on_boat(p) if o[:, 0].min() < probe.x < o[:, 0].max()]
                assert min(abs(o[0, 1] - y) for o in met) < SAME
    assert len(lid_lines) >= 5


def test_joints_stand_in_for_a_groove(lake):
    s = lake.settings
    port, starboard = (next(p for p in lake.pieces if p.name == f"deck.front/top/mat.{i}") for i in (2, 1))
    low, high = starboard.outline.bounds[3], port.outline.bounds[1]
    assert high - low == pytest.approx(s.groove_width, abs=SAME)
    assert ((low + high) / 2 - s.offset) / s.pitch == pytest.approx(
        round((low + high) / 2 / s.pitch), abs=1e-3
    )


def test_athwart_grooves_meet_on_deck_and_side_faces():
    found = mat_of(box_boat(), replace(BOX_MAT, direction="athwart", offset=12.0))
    for piece in found.pieces:
        for line in on_boat(piece):
            steps = (line[:, 0] - 12.0) / 50.0
            assert np.abs(steps - np.round(steps)).max() * 50.0 < SAME
    lined = {p.surface for p in found.pieces if p.lines}
    assert {"deck.front/top", "seat.seat/top", "seat.seat/riser.1", "seat.seat/riser.3"} <= lined
    assert "deck.front/riser.aft.1" not in lined  # it looks along the planes
    top = next(p for p in found.pieces if p.surface == "seat.seat/top")
    side = next(p for p in found.pieces if p.surface == "seat.seat/riser.1")
    on_top = {round(float(line[0, 0]), 3) for line in on_boat(top)}
    assert {round(float(line[0, 0]), 3) for line in on_boat(side)} <= on_top
