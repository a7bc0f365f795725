"""Rasters against shapely cell by cell, and correlation against plain counting."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutlists.nests.raster import Field, Kernels, mark, touched_cells


def star(rng: np.random.Generator) -> shapely.Polygon:
    angle = np.sort(rng.uniform(0, 2 * np.pi, 11))
    reach = rng.uniform(3, 11, 11)
    return shapely.Polygon(np.stack([12 + reach * np.cos(angle), 12 + reach * np.sin(angle)], axis=1))


@pytest.mark.parametrize("seed", range(12))
def test_a_cell_is_touched_if_the_shape_has_area_in_it(seed: int) -> None:
    rng = np.random.default_rng(seed)
    shape = star(rng)
    if seed % 2:
        shape = shape.difference(shapely.box(10.5, 11.0, 13.0, 13.25))
    if seed % 3 == 0:
        shape = shapely.set_precision(shape, 1.0)  # corners on the corners of cells
    found = touched_cells(shape, (24, 24), 1.0)
    x, y = np.meshgrid(np.arange(24), np.arange(24), indexing="ij")
    areas = shapely.area(shapely.intersection(shapely.box(x, y, x + 1, y + 1), shape))
    assert found[areas > 1e-6].all()
    assert not found[areas < 1e-12].any()


def test_a_rectangle_on_the_lines_takes_its_own_cells_only() -> None:
    found = touched_cells(shapely.box(4.0, 6.0, 12.0, 10.0), (10, 10), 2.0)
    assert found.sum() == 8
    assert found[2:6, 3:5].all()


def test_marking_in_a_window_is_the_same_as_on_the_whole() -> None:
    shape = shapely.affinity.translate(star(np.random.default_rng(5)), -6.3, 4.1)  # partly off the raster
    found = mark(np.zeros((20, 18), dtype=np.bool_), shape, 1.0)
    assert (found == touched_cells(shape, (20, 18), 1.0)).all()


def test_overlaps_are_counted_exactly() -> None:
    rng = np.random.default_rng(2)
    taken, small, large = (
        rng.random((37, 23)) < 0.3,
        rng.random((5, 9)) < 0.6,
        np.ones((38, 2), dtype=np.bool_),
    )
    counts, none = Field(taken).overlaps(Kernels([small, large]))
    assert none is None
    assert counts is not None
    windows = np.lib.stride_tricks.sliding_window_view(taken, small.shape)
    assert counts.shape == windows.shape[:2]
    assert np.abs(counts - (windows & small).sum(axis=(2, 3))).max() < 0.01
