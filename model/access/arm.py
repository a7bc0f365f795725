"""Whether an arm that is put through an opening, or in from the open boat, gets its fingers to a point.

The arm is bent round what stands in its way. From the point the fingers run straight; from there on the
middle line of hand and arm is the shortest way on a grid that keeps as far from metal as a flat hand and then
an arm need. Cells make gaps right within some 10 mm, and the way is drawn tight afterwards, so that it is
seldom longer than it need be by more.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import shapely
from scipy.ndimage import distance_transform_edt

from model.access.box import Swept, clear
from model.access.crossing import Gate
from model.access.obstacles import Surroundings, triangles_about
from model.access.passing import widest_circle
from model.access.room import Indices, Room, points_on
from model.access.service import ServicePoint
from model.access.settings import AccessSettings
from model.geometry import Array
from model.layout.records import DeckPlan

Yes = npt.NDArray[np.bool_]

CELL = 20.0
"""Side of a cell, mm."""

BLUR = 8.0
"""A way may keep this much nearer to metal than asked, mm: the best place lies between middles of cells."""

TIGHT = 0.87
"""Ways keep at least this share of a cell from metal, half its diagonal: none slips through a thin sheet."""

OFF = 5.0
"""The line of the fingers begins this far from its point, mm: the point may lie on metal."""

NEAR = 300.0
"""Shorter arms are tried first, mm: a small room is soon looked through."""


@dataclass(frozen=True, eq=False)
class Reach:
    """How a point is reached, or that it is not.

    Attributes:
        point: what is to be reached.
        length: from the opening along the arm, mm; 0 in the open; None where it is not reached.
        way: the arm's middle line from the point to the opening, `(n, 3)`.
        opening: the opening the arm is put through; None where it comes in from the open boat.
        after: fixtures that must be out first.
        nearest: the opening wide enough for a hand that is nearest straight, and how far it is, mm.
        narrow: an opening as near, but too small for a hand, with the circle it holds, mm.
    """

    point: ServicePoint
    length: float | None = None
    way: Array | None = None
    opening: str | None = None
    after: tuple[str, ...] = ()
    nearest: tuple[str, float] | None = None
    narrow: tuple[str, float] | None = None


def reach_of(
    point: ServicePoint,
    around: Surroundings,
    openings: Sequence[Gate],
    decks: Sequence[DeckPlan],
    settings: AccessSettings,
    loose: Collection[str] = (),
) -> Reach:
    """How a point is reached; where need be once loose fixtures are out.

    Args:
        point: in the boat.
        around: what stands in the way; lids are taken to be open.
        openings: all of the boat.
        decks: what an arm is under before it is in the open.
        settings: of hand and arm.
        loose: fixtures that can be taken out.
    """
    others = sorted(set(loose) - {point.piece})
    for away in ([], others) if others else ([],):
        for length in (min(NEAR, settings.reach), settings.reach):
            found = _Arm(point, around, openings, decks, settings, away, length).found()
            if found is not None:
                return replace(found, after=_met(found, around, away, settings))
    return _not_reached(point, openings, settings)


def _met(
    found: Reach, around: Surroundings, away: Sequence[str], settings: AccessSettings
) -> tuple[str, ...]:
    """Which of the fixtures that were left out the arm would touch."""
    if not away or found.way is None or len(found.way) < 2:
        return ()
    steps = max(2, int(np.ceil((found.length or 0.0) / 10.0)))
    share = np.linspace(0.0, len(found.way) - 1.0, steps * (len(found.way) - 1) + 1)
    line = np.stack([np.interp(share, np.arange(len(found.way)), found.way[:, k]) for k in range(3)], axis=1)
    met = []
    for name in away:
        boxes = [solid.box for solid in around.bodies[name].solids]
        gaps = [np.maximum(np.maximum(box[0] - line, line - box[1]), 0.0) for box in boxes]
        if any(float(np.sqrt((gap**2).sum(axis=1)).min()) < settings.arm / 2.0 for gap in gaps):
            met.append(name)
    return tuple(met)


def _not_reached(point: ServicePoint, openings: Sequence[Gate], settings: AccessSettings) -> Reach:
    wide, narrow = [], []
    for gate in openings:
        straight = gate.distance(point.at)
        circle = widest_circle(gate.opening.polygon)
        if circle >= settings.hand:
            wide.append((straight, gate.name))
        elif straight < settings.reach:
            narrow.append((straight, gate.name, circle))
    nearest = min(wide) if wide else None
    small = min(narrow) if narrow else None
    return Reach(
        point,
        nearest=None if nearest is None else (nearest[1], nearest[0]),
        narrow=None if small is None else (small[1], small[2]),
    )


class _Arm:
    def __init__(
        self,
        point: ServicePoint,
        around: Surroundings,
        openings: Sequence[Gate],
        decks: Sequence[DeckPlan],
        settings: AccessSettings,
        away: Sequence[str],
        length: float,
    ) -> None:
        self.point, self.openings, self.decks, self.settings = point, openings, decks, settings
        self.length = length
        solids, _ = around.solids((), {*away, *(set(around.with_lids) - {point.piece})})
        side = length + 3.0 * CELL
        self.box = np.stack([point.at - side, point.at + side])
        self.triangles = triangles_about(solids, self.box)

    def found(self) -> Reach | None:
        """The shortest arm; None where none of its length gets there."""
        metal, _ = points_on(self.triangles)
        room = Room.about(self.box, metal, CELL).sharpened(
            metal, TIGHT * CELL - 3.0, self._most_asked() + CELL
        )
        for gate in self.openings:
            if widest_circle(gate.opening.polygon) < self.settings.hand:
                room = room.closed(gate.above(room))
        outside = self._open_places(room)
        if outside[self._beside(room)].any():
            return Reach(self.point, 0.0, self.point.at[None])
        starts, lengths = self._first_places(room)
        if not len(starts):
            return None
        reached = room.spread(starts, lengths, self._needed, 1.13 * self.length + 2.0 * CELL)
        ends = np.argwhere(np.isfinite(reached) & outside)
        if not len(ends):
            return None
        nearest = ends[np.argsort(reached[tuple(ends.T)])[:3]]
        tried = [self._drawn(room, reached, end) for end in nearest]
        best = min(tried, key=lambda found: found.length or 0.0)
        return best if (best.length or 0.0) <= self.length else None

    def _most_asked(self) -> float:
        """The most that is asked anywhere, mm."""
        return max(self.settings.arm, self.settings.flat) / 2.0

    def _drawn(self, room: Room, reached: Array, end: Indices) -> Reach:
        line = np.vstack([self.point.at, room.back(reached, end)[::-1]])
        line, gate = self._cut_off(self._tight(room, line))
        length = float(np.sqrt((np.diff(line, axis=0) ** 2).sum(axis=1)).sum())
        return Reach(self.point, length, line, None if gate is None else gate.name)

    def _needed(self, length: Array) -> Array:
        """How far from metal the arm's middle line keeps so far from the tip, mm, the fingers left out."""
        thick = np.where(length <= self.settings.hand_length, self.settings.flat, self.settings.arm)
        found: Array = np.maximum(thick / 2.0 - BLUR, TIGHT * CELL)
        return found

    def _first_places(self, room: Room) -> tuple[Indices, Array]:
        """Places for the palm, to which the fingers run straight from the point, and how far they are."""
        here = room.index(self.point.at)
        wide = int(self.settings.finger_length / CELL) + 1
        cells = here + np.array(list(itertools.product(range(-wide, wide + 1), repeat=3)))
        cells = cells[((cells >= 0) & (cells < np.array(room.shape))).all(axis=1)]
        ways = room.middles[tuple(cells.T)] - self.point.at
        far = np.sqrt((ways**2).sum(axis=1))
        fit = (far > OFF) & (far <= self.settings.finger_length)
        fit &= room.free[tuple(cells.T)] >= self._needed(far)
        cells, far = cells[fit], far[fit]
        free = self._fingers_fit(ways[fit])
        return room.flat(cells[free]), far[free]

    def _fingers_fit(self, ways: Array) -> Yes:
        """Whether fingers laid straight from the point by each of `ways` `(n, 3)` keep clear of metal."""
        thick = max(self.settings.finger / 2.0 - BLUR, 1.0)
        size = np.sqrt((ways**2).sum(axis=1))[:, None]
        starts = self.point.at + ways * (OFF / size)
        rods = [_rod(start, self.point.at + way, thick) for start, way in zip(starts, ways, strict=True)]
        side = self.settings.finger_length + CELL
        return clear(rods, self.triangles.near(np.stack([self.point.at - side, self.point.at + side])))

    def _open_places(self, room: Room) -> Yes:
        """Places in the open: under no deck, nothing over them, and where a body can lean in."""
        wide = room.free >= self.settings.arm / 2.0 - BLUR
        found = np.flip(np.logical_and.accumulate(np.flip(wide, axis=2), axis=2), axis=2)
        plan = room.middles[:, :, 0, :2]
        for deck in self.decks:
            under = shapely.contains_xy(deck.plan_area(), plan[..., 0], plan[..., 1])
            tops = deck.frame.origin[2] + plan[..., 0] * (deck.frame.x[2] / deck.frame.x[0])
            found &= ~(under[..., None] & (room.middles[..., 2] < tops[..., None]))
        for level in range(room.shape[2]):
            found[:, :, level] = _not_narrow(found[:, :, level], self.settings.body / CELL)
        return found

    def _beside(self, room: Room) -> tuple[Indices, Indices, Indices]:
        """The cell of the point and those beside it and over these."""
        cells = room.index(self.point.at) + np.array(list(itertools.product((-1, 0, 1), (-1, 0, 1), (0, 1))))
        x, y, z = np.clip(cells, 0, np.array(room.shape) - 1).T
        return x, y, z

    def _tight(self, room: Room, line: Array) -> Array:
        """The line with its needless bends drawn straight, from the tip on."""
        lengths = np.concatenate([[0.0], np.cumsum(np.sqrt((np.diff(line, axis=0) ** 2).sum(axis=1)))])
        kept = [0]
        while kept[-1] < len(line) - 1:
            here = kept[-1]
            for ahead in range(len(line) - 1, here, -1):
                if ahead == here + 1 or self._sees(room, line[here], line[ahead], lengths[here]):
                    kept.append(ahead)
                    break
        return line[kept]

    def _sees(self, room: Room, start: Array, end: Array, gone: float) -> bool:
        """Whether the arm may run straight from one place to another, `gone` mm from its tip at the first."""
        size = float(np.sqrt(((end - start) ** 2).sum()))
        along = np.linspace(0.0, 1.0, max(2, int(size / (CELL / 3.0))))[1:]
        if gone == 0.0:
            fingers = min(size, self.settings.finger_length)
            if not self._fingers_fit((end - start)[None] * (fingers / size))[0]:
                return False
            along = along[along * size >= fingers]
        cells = room.index(start + along[:, None] * (end - start))
        return bool((room.free[tuple(cells.T)] >= self._needed(gone + along * size)).all())

    def _cut_off(self, line: Array) -> tuple[Array, Gate | None]:
        """The line up to the first opening it comes out of, and that opening."""
        for k in range(len(line) - 1):
            for gate in self.openings:
                at = gate.crossed(line[k], line[k + 1])
                if at is not None:
                    return np.vstack([line[: k + 1], at]), gate
        return line, None


def _rod(start: Array, end: Array, half: float) -> Swept:
    """A square rod between two points, `half` of its thickness given."""
    way = (end - start) / 2.0
    side = np.cross(way, np.eye(3)[int(np.abs(way).argmin())])
    side = side / np.sqrt(side @ side)
    other = np.cross(way, side)
    other = other / np.sqrt(other @ other)
    return Swept((start + end) / 2.0, np.stack([way, half * side, half * other]))


def _not_narrow(level: Yes, across: float) -> Yes:
    """The cells of a level within a circle of open cells, `across` cells wide; beyond the edge is open."""
    margin = int(across) + 2
    padded = np.pad(level, margin, constant_values=True)
    if padded.all():
        return level
    middles = distance_transform_edt(padded) > across / 2.0
    if not middles.any():
        return np.zeros_like(level)
    found: Yes = (distance_transform_edt(~middles) <= across / 2.0) & padded
    return found[margin:-margin, margin:-margin]
