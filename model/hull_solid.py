"""A hull as true solids of the CAD kernel: the body it holds, and the sheet it is made of.

This reads the hull's lines and none of its integrals, so that the two can be held against each other. The
kernel takes over a second to import: import this module late.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.TopAbs import TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape, TopoDS_Solid
from scipy.interpolate import make_interp_spline

from model.bow import DIVISIONS
from model.geometry import Array, Plane
from model.hull import Hull
from model.hull_grid import Grid, skin_grid
from model.member_solid import half_space
from model.skin import Cubics
from model.spline_faces import curve_edge, flat_face, polygon_face, sewn_solid, straight_edge, surface_face

LINE = np.array([0.0, 1.0])
SPACING = 150.0
"""Millimetres between the rows that the sheet's surfaces pass through."""


def body_solid(hull: Hull) -> TopoDS_Solid:
    """The closed body inside the skin: exact ruled spline surfaces, flat ends, straight over the top."""
    low, high = hull.span
    knots, times, poles = spline_poles(hull.chain)
    edges = np.concatenate([poles, poles[:, :1]], axis=1)
    faces = [
        surface_face(edges[:, i : i + 2], knots, times, 3, LINE, (2, 2), 1)
        for i in range(edges.shape[1] - 1)
        if np.abs(edges[:, i] - edges[:, i + 1]).max() > 1e-6
    ]
    for x in (low, high):
        section = hull.chain.at(x)
        if np.ptp(section[:, 0]) > 1e-6:
            faces.append(polygon_face(np.concatenate([np.full((len(section), 1), x), section], axis=1)))
    return _cut(sewn_solid(faces), [end for end in hull.ends if abs(end.normal[0]) < 1.0 - 1e-12])


def sheet_solid(hull: Hull) -> TopoDS_Solid:
    """Skin, transom and bow plate as one solid, `hull.thickness` outward from the surveyed surface.

    Its surfaces are splines through rows of points: on the lines exact, between them to about 0.01 mm.

    Raises:
        ValueError: the hull has no thickness, or the faces do not close.
    """
    if hull.thickness <= 0.0:
        raise ValueError("a hull of no thickness has no sheet")
    grid = skin_grid(hull, SPACING)
    inner, outer = grid.points, grid.outside(hull.thickness)
    panels = _panels(hull, grid)
    faces: list[TopoDS_Face] = []
    for points in (inner, outer):
        faces += [_panel_face(points[:, columns], grid.x) for columns in panels]
        for row in (0, -1):
            faces += _end_face(points[row], panels, points)
    for column in (0, -1):
        faces.append(_panel_face(np.stack([inner[:, column], outer[:, column]], axis=1), grid.x))
    for row in (0, -1):
        rim = np.stack([inner[row, [0, -1]], outer[row, [0, -1]]], axis=1)
        faces.append(_panel_face(rim, LINE))
    return sewn_solid(faces)


def spline_poles(curves: Cubics) -> tuple[Array, list[int], Array]:
    """Knots, multiplicities and poles `(m, n, 3) float` of the curves as cubic splines of x.

    A knot stands as often as the roughest curve there asks for. Poles follow from as many points as there are
    poles, at the knot averages (Greville abscissae), whose x are the poles' own x.
    """
    times = [4, *(_multiplicity(curves, j) for j in range(1, len(curves.breaks) - 1)), 4]
    t = np.repeat(curves.breaks, times)
    averages = np.array([t[i + 1 : i + 4].mean() for i in range(len(t) - 4)])
    averages = np.clip(averages, *curves.breaks[[0, -1]])  # a mean of equal numbers may round past them
    yz = make_interp_spline(averages, curves.at(averages).reshape(len(averages), -1), k=3, t=t).c
    yz = yz.reshape(len(averages), curves.count, 2)
    x = np.broadcast_to(averages[:, None, None], (*yz.shape[:2], 1))
    return curves.breaks, times, np.concatenate([x, yz], axis=2)


def _multiplicity(curves: Cubics, j: int) -> int:
    """How often the knot at break j must stand: 1 if all curvatures run on there, 2 if slopes, else 3."""
    left, right = curves.coefficients[:, j - 1], curves.coefficients[:, j]
    h = curves.breaks[j] - curves.breaks[j - 1]
    slope = (3.0 * left[0] * h + 2.0 * left[1]) * h + left[2] - right[2]
    curvature = 6.0 * left[0] * h + 2.0 * left[1] - 2.0 * right[1]
    if np.abs(slope).max() * h > 1e-6:
        return 3
    return 2 if np.abs(curvature).max() * h**2 > 1e-6 else 1


def _panels(hull: Hull, grid: Grid) -> list[Array]:
    """The columns of the grid that each panel between lines is drawn through."""
    lines = [int(grid.columns[row]) for row in hull.line_rows]
    return [_spread(grid.points, a, b) for a, b in pairwise(lines)]


def _spread(points: Array, a: int, b: int) -> Array:
    """Columns from a to b without those that nearly touch another: a curve through both would ring."""
    across = np.linalg.norm(np.diff(points[:, a : b + 1], axis=1), axis=-1).max(axis=0)
    along = np.concatenate([[0.0], np.cumsum(across)])
    least = 0.5 * along[-1] / DIVISIONS
    kept = [0]
    for i in range(1, b - a):
        if along[i] - along[kept[-1]] > least and along[-1] - along[i] > least:
            kept.append(i)
    return np.array([*kept, b - a]) + a


def _panel_face(points: Array, rows: Array) -> TopoDS_Face:
    """The spline surface through a grid of points `(r, k, 3)`."""
    u, du, poles = _through(rows, points)
    v, dv, turned = _through(_places(points), np.swapaxes(poles, 0, 1))
    return surface_face(np.swapaxes(turned, 0, 1), *u, du, *v, dv)


def _end_face(points: Array, panels: Sequence[Array], grid: Array) -> list[TopoDS_Face]:
    """The flat face within an end row of points, its edges those of the panels; none if it has no area."""
    if np.ptp(points[:, 1]) < 1e-6:
        return []
    edges = []
    for columns in panels:
        v, dv, poles = _through(_places(grid[:, columns]), points[columns])
        edges.append(curve_edge(poles, *v, dv))
    return [flat_face([*edges, straight_edge(points[-1], points[0])])]


def _places(points: Array) -> Array:
    """Parameters across a panel: mean distance of its columns."""
    across = np.linalg.norm(np.diff(points, axis=1), axis=-1).mean(axis=0)
    return np.concatenate([[0.0], np.cumsum(across)])


def _through(places: Array, points: Array) -> tuple[tuple[Array, list[int]], int, Array]:
    """Knots with multiplicities, degree and poles of the spline through points at places."""
    degree = min(3, len(places) - 1)
    spline = make_interp_spline(places, points, k=degree)
    knots, times = np.unique(spline.t, return_counts=True)
    return (knots, [int(n) for n in times]), degree, spline.c


def _cut(solid: TopoDS_Solid, ends: Sequence[Plane]) -> TopoDS_Solid:
    """The solid without what lies beyond its ends.

    Raises:
        ValueError: the cut does not leave one solid.
    """
    shape: TopoDS_Shape = solid
    for end in ends:
        shape = BRepAlgoAPI_Cut(shape, half_space(end)).Shape()
    explorer = TopExp_Explorer(shape, TopAbs_SOLID)
    found = []
    while explorer.More():
        found.append(TopoDS.Solid_s(explorer.Current()))
        explorer.Next()
    if len(found) != 1:
        raise ValueError(f"cutting the ends off the hull leaves {len(found)} solids")
    return found[0]
