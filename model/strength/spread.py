"""How a load on a deck goes to the members round it: by lever and by the stiffness of crossed strips.

Through each loaded point run two strips of sheet, fore-and-aft and athwart, each from the member it meets on
one side to that on the other. A strip hands the load to its ends by the lever rule; the two share it as beams
of those spans would at one deflection (the strip method of Grashof and Rankine). So every load, moved about,
stays in balance with what the members carry, and a uniform load comes out as tributary width.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy import sparse
from shapely.geometry.base import BaseGeometry

from model.geometry import Array
from model.layout.records import DeckPlan, Layout
from model.skeleton.landing import ON_MEMBER
from model.strength.network import Ids, Network
from model.strength.plate import Plate

NEAR = 0.5
"""A load no further than this from a member's axis, mm, stands on it."""


@dataclass(frozen=True, eq=False)
class DeckLines:
    """The axes of a deck's members in its plane: from `start` to `stop`, `(k, 2)`, between `nodes` `(k, 2)`.

    `half` is half the member's width, mm, `(k,)`; 0 for the stubs between axes.
    """

    plan: DeckPlan
    start: Array
    stop: Array
    nodes: Ids
    half: Array

    def shares(self, points: Array, count: int) -> sparse.csr_matrix:
        """Which share of a load at each point of the plane each node carries.

        Args:
            points: `(n, 2)` in the deck's plane, mm.
            count: how many nodes there are.

        Returns:
            `(n, count)`; every row adds up to one.
        """
        chosen, along, weight = self._on_lines(points)
        rows = np.repeat(np.arange(len(points)), chosen.shape[1])
        line, at, part = chosen.ravel(), along.ravel(), weight.ravel()
        columns = np.concatenate([self.nodes[line, 0], self.nodes[line, 1]])
        values = np.concatenate([part * (1 - at), part * at])
        shape = (len(points), count)
        return sparse.csr_matrix((values, (np.concatenate([rows, rows]), columns)), shape=shape)

    def _on_lines(self, points: Array) -> tuple[Ids, Array, Array]:
        """Lines that a load goes to, where along them (0 to 1), and its shares; `(n, 4)` each."""
        n = len(points)
        line, along = np.zeros((n, 4), dtype=np.int64), np.zeros((n, 4))
        reach = np.full((n, 4), np.inf)
        for axis in (0, 1):
            ahead, where = self.crossings(points, axis)
            for side, sign in ((2 * axis, 1.0), (2 * axis + 1, -1.0)):
                far = np.where(sign * ahead >= 0, np.abs(ahead), np.inf)
                line[:, side] = far.argmin(axis=1)
                pick = np.arange(n), line[:, side]
                reach[:, side], along[:, side] = far[pick], where[pick]
        return self._nearest_where_open(points, line, along, _strip_shares(reach))

    def crossings(self, points: Array, axis: int) -> tuple[Array, Array]:
        """How far along an axis of the plane each line is met, and where on it; `(n, k)`, inf where not."""
        other = 1 - axis
        span = self.stop[:, other] - self.start[:, other]
        with np.errstate(divide="ignore", invalid="ignore"):
            where = (points[:, other, None] - self.start[:, other]) / span
        met = (where >= -1e-9) & (where <= 1 + 1e-9) & (np.abs(span) > 1e-6)
        where = np.clip(np.where(met, where, 0.0), 0.0, 1.0)
        at = self.start[:, axis] + where * (self.stop[:, axis] - self.start[:, axis])
        return np.where(met, at - points[:, axis, None], np.inf), where

    def _nearest_where_open(
        self, points: Array, line: Ids, along: Array, weight: Array
    ) -> tuple[Ids, Array, Array]:
        """Loads on a member, or past the outermost ones, go to the nearest line."""
        lonely = weight.sum(axis=1) == 0.0
        gap, nearest, where = self.nearest(points)
        alone = lonely | (gap <= NEAR)
        line[alone], along[alone], weight[alone] = 0, 0.0, 0.0
        line[alone, 0], along[alone, 0], weight[alone, 0] = nearest[alone], where[alone], 1.0
        return line, along, weight

    def nearest(self, points: Array) -> tuple[Array, Ids, Array]:
        """Distance to the nearest axis, which, and where along it (0 to 1); `(n,)` each."""
        d = self.stop - self.start
        square = np.maximum((d * d).sum(axis=1), 1e-12)
        off = points[:, None, :] - self.start
        where = np.clip((off * d).sum(axis=2) / square, 0.0, 1.0)
        gaps = np.hypot(*np.moveaxis(off - where[..., None] * d, 2, 0))
        line = gaps.argmin(axis=1)
        pick = np.arange(len(points)), line
        return gaps[pick], line, where[pick]

    def sheet_round(self, point: Array) -> tuple[Plate, tuple[float, float]]:
        """The sheet round a point `(1, 2)`, as wide as the strips through it, and where on it that is."""
        sides: list[tuple[float, float] | None] = []
        for axis in (0, 1):
            ahead, _ = self.crossings(point, axis)
            before, after = -ahead[ahead < 0], ahead[(ahead >= 0) & np.isfinite(ahead)]
            whole = len(before) and len(after)
            sides.append((float(before.min()), float(after.min())) if whole else None)
        known = [side for side in sides if side is not None] or [(50.0, 50.0)]
        (a, b), (c, d) = (side or max(known, key=sum) for side in sides)
        sheet = self.plan.sheet
        plate = Plate(max(a + b, 1.0), max(c + d, 1.0), sheet.thickness, sheet.alloy.e)
        return plate, (max(a, 0.5), max(c, 0.5))

    def carries(self, point: Array, half: Array) -> bool:
        """Whether what covers `half` `(2,)` each way about a point `(1, 2)` bears on a member's metal."""
        _, line, along = self.nearest(point)
        near = self.start[line] + along[:, None] * (self.stop[line] - self.start[line])
        past = np.maximum(np.abs(near - point)[0] - half, 0.0)
        return bool(np.hypot(*past) <= max(float(self.half[line[0]]) - ON_MEMBER, NEAR))


def _strip_shares(reach: Array) -> Array:
    """Shares of the four ends of two crossed strips from the distances to them, `(n, 4)`; no strip, zero."""
    shares = np.zeros_like(reach)
    stiff = np.zeros((len(reach), 2))
    for strip in (0, 1):
        a, c = reach[:, 2 * strip], reach[:, 2 * strip + 1]
        held = np.isfinite(a) & np.isfinite(c)
        a, c = np.where(held, a, 1.0) + 1e-6, np.where(held, c, 1.0) + 1e-6
        # A beam of span a + c gives way by a2 c2 / (3 (a + c)) for one load and stiffness.
        stiff[:, strip] = np.where(held, 3 * (a + c) / (a * c) ** 2, 0.0)
        shares[:, 2 * strip], shares[:, 2 * strip + 1] = c / (a + c), a / (a + c)
    total = stiff.sum(axis=1, keepdims=True)
    parts = np.divide(stiff, total, out=np.zeros_like(stiff), where=total > 0)
    found: Array = shares * np.repeat(parts, 2, axis=1)
    return found


def deck_lines(net: Network, plan: DeckPlan) -> DeckLines | None:
    """The lines of a deck's own frame; None where it has none."""
    own = {k for k, m in enumerate(net.members) if _is_of(m.name, plan.name)}
    if not own:
        return None
    flat = plan.frame.to_frame(net.points)[:, :2]
    pairs, half = [], []
    for k in sorted(own):
        nodes = net.lines[k].nodes
        pairs += list(zip(nodes[:-1].tolist(), nodes[1:].tolist(), strict=True))
        half += [net.members[k].section.width / 2] * (len(nodes) - 1)
    at = {n for k in own for n in net.lines[k].nodes.tolist()}
    ties = [(i, j) for i, j in net.stubs.tolist() if i in at and j in at]
    ties = [(i, j) for i, j in ties if np.hypot(*(flat[i] - flat[j])) > 1.0]
    nodes = np.array(pairs + ties, dtype=np.int64)
    width = np.array(half + [0.0] * len(ties))
    return DeckLines(plan, flat[nodes[:, 0]], flat[nodes[:, 1]], nodes, width)


def _is_of(name: str, deck: str) -> bool:
    return name.startswith(f"{deck}/") and "/post." not in name


def walked_on(plan: DeckPlan, layout: Layout) -> BaseGeometry:
    """Where a person may stand on a deck, in its plane: its sheet, its lids, and trays that hang in it."""
    open_ = [o.polygon for o in plan.openings if o.lid is None and not _is_filled(o.name, layout, plan)]
    return plan.area.difference(shapely.union_all(open_)) if open_ else plan.area


def _is_filled(opening: str, layout: Layout, plan: DeckPlan) -> bool:
    """Whether something of the catalogue stands in an opening that has no lid."""
    polygon = next(o.polygon for o in plan.openings if o.name == opening)
    spots = plan.frame.to_frame(np.array([f.frame.origin for f in layout.fixtures]).reshape(-1, 3))
    on = (np.abs(spots[:, 2]) < 1.0) & shapely.contains_xy(polygon, spots[:, 0], spots[:, 1])
    return bool(on.any())


def grid_of(area: BaseGeometry, pitch: float) -> Array:
    """Middles of the squares of a grid whose middle lies in an area, `(n, 2)`."""
    u0, v0, u1, v1 = area.bounds
    counts = [max(round((b - a) / pitch), 1) for a, b in ((u0, u1), (v0, v1))]
    us, vs = (
        a + (np.arange(n) + 0.5) * (b - a) / n for (a, b), n in zip(((u0, u1), (v0, v1)), counts, strict=True)
    )
    points = np.stack(np.meshgrid(us, vs, indexing="ij"), axis=-1).reshape(-1, 2)
    shapely.prepare(area)
    return points[shapely.contains_xy(area, points[:, 0], points[:, 1])]
