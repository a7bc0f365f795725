"""The largest rectangle left: against brute force on rasters, and on layouts with known answers."""

from __future__ import annotations

import numpy as np
import pytest

from cutlists.nests.records import Stock
from cutlists.nests.rest import largest_free, largest_rest
from parts.outline import Loop
from tests.cutlists.nests.nest_samples import at, box, offcut, piece


@pytest.mark.parametrize("seed", range(8))
def test_largest_free_rectangle_by_brute_force(seed: int) -> None:
    rng = np.random.default_rng(seed)
    free = rng.random((9, 11)) < 0.75
    best = 0
    for x0, y0 in np.ndindex(free.shape):
        for x1 in range(x0 + 1, 10):
            for y1 in range(y0 + 1, 12):
                if free[x0:x1, y0:y1].all():
                    best = max(best, (x1 - x0) * (y1 - y0))
    found = largest_free(free)
    assert found is not None
    x0, y0, x1, y1 = found
    assert free[x0:x1, y0:y1].all()
    assert (x1 - x0) * (y1 - y0) == best


def test_nothing_free() -> None:
    assert largest_free(np.zeros((4, 4), dtype=np.bool_)) is None
    sheet = Stock.sheet("s", 100.0, 100.0)
    assert largest_rest(sheet, [at(box("A.1", 100, 100), 50, 50)], 1.0) is None


def test_the_rest_beside_a_piece_reaches_the_sheets_edges() -> None:
    sheet = Stock.sheet("s", 1000.0, 2000.0)
    found = largest_rest(sheet, [at(box("A.1", 601.3, 900), 310.65, 460)], 4.0)
    assert found == pytest.approx((615.3, 0, 2000, 1000), abs=1e-3)


def test_the_rest_keeps_off_a_round_piece_and_out_of_an_offcuts_hole() -> None:
    holed = offcut(
        "h", [(0, 0), (1000, 0), (1000, 400), (0, 400)], Loop.rectangle(100, 100, centre=(650, 200))
    )
    found = largest_rest(holed, [at(piece("R.1", Loop.circle(200)), 110, 110)], 5.0)
    assert found is not None
    assert (found[2] - found[0]) * (found[3] - found[1]) == pytest.approx((600 - 215) * 400, rel=0.03)
    assert found[0] > 214.9 or found[1] > 214.9
    assert found[2] <= 600.001
