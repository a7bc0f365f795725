"""Bounds: never above what can be done, and sharp where large pieces crowd."""

from __future__ import annotations

import numpy as np
import pytest

from cutlists.nests.bounds import least_width, may_share, needs_of
from cutlists.nests.forms import SLACK, form_of
from cutlists.nests.ground import Plot
from cutlists.nests.records import NestPiece, Stock
from model.flat_arcs import polygon_of
from parts.outline import Loop
from tests.cutlists.nests.nest_samples import box, piece

CELL = 10.0


def plot(width: float, length: float, price: float | None = None, spacing: float = 5.0) -> Plot:
    return Plot(Stock.sheet("s", width, length, price), spacing, 0.0, CELL)


def bound(pieces: list[NestPiece], *plots: Plot) -> tuple[float, str]:
    forms = [form_of(one, CELL) for one in pieces]
    fits = [
        [any((np.array(pose.size) <= p.size).all() for pose in form.poses) for p in plots] for form in forms
    ]
    found = needs_of(forms, plots, np.array(fits))
    return found.bound, found.why


def test_least_width_of_known_shapes() -> None:
    """A rectangle's short side; the height of an equilateral triangle."""
    assert least_width(polygon_of(Loop.rectangle(300, 70).turned(0.6))) == pytest.approx(70)
    corners = [(0, 0), (100, 0), (50, 50 * 3**0.5)]
    assert least_width(polygon_of(Loop.polygon(corners))) == pytest.approx(50 * 3**0.5)


def test_areas_with_the_spacing_counted_in() -> None:
    """Squares of 245 with 5 between: 16 to a sheet of 995, so 17 need two; metal alone would say one."""
    sheet = plot(995, 995)
    assert bound([box(f"A.{k}", 245, 245) for k in range(16)], sheet)[0] == pytest.approx(0.995**2)
    assert bound([box(f"A.{k}", 245, 245) for k in range(17)], sheet)[0] == pytest.approx(2 * 0.995**2)
    assert 17 * 245**2 < 1.04 * 995**2


def test_an_opening_counts_as_metal_unless_a_piece_may_lie_in_it() -> None:
    """Three frames that leave 0.6 of each open: a sheet each, unless small pieces could fill them."""
    frames = [piece(f"F.{k}", Loop.rectangle(900, 900), Loop.rectangle(700, 700)) for k in range(2)]
    sheet = plot(1000, 1000, 10.0)
    assert bound(frames, sheet)[0] == 20.0
    alone, _ = bound([frames[0], box("A.1", 500, 690)], sheet)
    assert alone == 10.0


def test_a_piece_that_fits_one_size_only_asks_for_that_size() -> None:
    small, large = plot(500, 500, 1.0), plot(1000, 1000, 7.0)
    assert bound([box("A.1", 600, 100), box("B.1", 400, 400)], small, large)[0] == 7.0


def test_large_pieces_that_cannot_share_a_sheet() -> None:
    """Two discs of 0.6 of the sheet's side: 57 % of its area, but each needs one."""
    discs = [piece(f"R.{k}", Loop.circle(600)) for k in range(2)]
    cost, why = bound(discs, plot(1000, 1000, 4.0))
    assert cost == 8.0
    assert why == "large pieces that cannot share a sheet"


def test_pieces_that_interlock_may_share() -> None:
    """Two L shapes whose boxes overlap, on a sheet that holds them interlocked with little to spare."""
    ell = [(0.0, 0.0), (600.0, 0.0), (600.0, 200.0), (200.0, 200.0), (200.0, 600.0), (0.0, 600.0)]
    one, two = (form_of(piece(f"L.{k}", ell), CELL) for k in range(2))
    assert may_share(one, two, plot(610, 810))
    assert may_share(one, two, plot(806, 806))
    assert not may_share(one, two, plot(610, 760))


@pytest.mark.parametrize("seed", range(3))
def test_a_form_holds_its_piece_and_little_more(seed: int) -> None:
    rng = np.random.default_rng(seed)
    x = np.linspace(0, 900, 200)
    y = 300 * np.cos(x / 700) + rng.uniform(0, 40)
    curved = piece("D.1", Loop.polygon(np.concatenate([np.stack([x, -y], 1), np.stack([x, y], 1)[::-1]])))
    rounded = piece("L.1", Loop.rectangle(500, 300, 40.0), Loop.circle(100))
    for one in (curved, rounded):
        form, true = form_of(one, CELL), polygon_of(one.outline, one.holes, 1e-4)
        assert not form.is_exact
        assert form.polygon.buffer(1e-6).covers(true)
        assert true.covers(form.polygon.buffer(-SLACK))
        assert np.allclose(form.polygon.bounds, one.outline.bounds, atol=1e-6)
