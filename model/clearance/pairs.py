"""Which bodies come near each other, how near, and what metal they share."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from model.clearance.bodies import Body
from model.clearance.kinds import ON_HULL, ROOM
from model.clearance.nearest import nearest_points
from model.clearance.solid import TOUCH, Shared, Solid
from model.geometry import Array


@dataclass(frozen=True, eq=False)
class Nearness:
    """How near two bodies come.

    Attributes:
        first, second: the two, in the order they were given.
        gap: least distance, mm; 0 where they touch or overlap.
        shared: the metal that both fill, where they overlap.
        solids: the two solids that come nearest.
    """

    first: Body
    second: Body
    gap: float
    shared: Shared | None
    solids: tuple[Solid, Solid]

    @property
    def depth(self) -> float:
        """How deep one lies in the other, mm; 0 where they do not overlap."""
        return 0.0 if self.shared is None else self.shared.depth

    @cached_property
    def points(self) -> Array:
        """The nearest points of the two, `(2, 3) float`; of an overlap twice its middle."""
        if self.shared is not None:
            return np.stack([self.shared.middle, self.shared.middle])
        return nearest_points(self.solids[0].mesh, self.solids[1].mesh, self.gap)

    @property
    def direction(self) -> Array:
        """Unit vector `(3,)` along which the two are to be parted, either way."""
        if self.shared is not None:
            return self.shared.way
        step = self.points[1] - self.points[0]
        size = float(np.sqrt(step @ step))
        return step / size if size > 0.0 else np.array([0.0, 0.0, 1.0])

    @property
    def where(self) -> Array:
        """Where the two come nearest, `(3,) float`."""
        found: Array = self.points.mean(axis=0)
        return found


Wanted = Callable[[Body, Body], bool]


def measured_apart(first: Body, second: Body) -> bool:
    """Whether two bodies are to be measured at all: not two of the bare hull, nor room against room."""
    both = (first.kind, second.kind)
    if all(kind in ON_HULL for kind in both):
        return False
    return not (ROOM in both and (both == (ROOM, ROOM) or any(kind in ON_HULL for kind in both)))


def never(first: Body, second: Body) -> bool:
    """No two may touch."""
    del first, second
    return False


def near_pairs(
    bodies: Sequence[Body], reach: float, wanted: Wanted = measured_apart, may_touch: Wanted = never
) -> list[Nearness]:
    """The pairs of bodies whose gap is less than `reach` mm, in the order of the bodies.

    Args:
        bodies: all that is to be measured.
        reach: greatest gap that is told, mm.
        wanted: which pairs to measure.
        may_touch: pairs that are told only where they share metal.
    """
    solids = [solid for body in bodies for solid in body.solids]
    owner = np.repeat(np.arange(len(bodies)), [len(body.solids) for body in bodies])
    close = _boxes_near(np.array([solid.box for solid in solids]), owner, reach)
    order = np.lexsort((close[:, 1], close[:, 0], owner[close[:, 1]], owner[close[:, 0]]))
    found: list[Nearness] = []
    rows = close[order]
    whose = owner[rows]
    starts = np.flatnonzero(np.any(np.diff(whose, axis=0, prepend=-1) != 0, axis=1))
    for start, stop in zip(starts, np.append(starts, len(rows))[1:], strict=True):
        first, second = (bodies[int(k)] for k in whose[start])
        if wanted(first, second):
            own = [(solids[int(i)], solids[int(j)]) for i, j in rows[start:stop]]
            measured = overlap if may_touch(first, second) else measure
            nearness = measured(first, second, own, reach)
            if nearness is not None:
                found.append(nearness)
    return found


def overlap(first: Body, second: Body, pairs: Sequence[tuple[Solid, Solid]], reach: float) -> Nearness | None:
    """The metal that two bodies share by the given pairs of their solids; None if they share none."""
    near = [(a, b) for a, b in pairs if not a.parted_from(b)]
    found = measure(first, second, near, reach)
    return found if found is not None and found.shared is not None else None


def measure(first: Body, second: Body, pairs: Sequence[tuple[Solid, Solid]], reach: float) -> Nearness | None:
    """How near two bodies come by the given pairs of their solids; None if not within `reach` mm."""
    least, best, worst = reach, None, None
    for a, b in pairs:
        gap = a.gap(b, least)
        if gap < TOUCH:
            shared = a.shared_with(b)
            if shared is not None and (worst is None or shared.depth > worst.depth):
                worst, best = shared, (a, b)
        if gap < least:
            least = gap
            best = best if worst is not None else (a, b)
        least = max(least, 2.0 * TOUCH)  # a touch elsewhere may yet be an overlap
    if best is None:
        return None
    return Nearness(first, second, 0.0 if least <= 2.0 * TOUCH else least, worst, best)


def _boxes_near(boxes: Array, owner: npt.NDArray[np.int64], reach: float) -> npt.NDArray[np.int64]:
    """Index pairs `(k, 2)` of solids of different bodies whose boxes come within `reach`."""
    low, high = boxes[:, 0], boxes[:, 1]
    near = np.triu(owner[:, None] != owner[None, :])
    for axis in range(3):
        near &= low[:, None, axis] <= high[None, :, axis] + reach
        near &= low[None, :, axis] <= high[:, None, axis] + reach
    return np.argwhere(near)
