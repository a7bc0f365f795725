"""Bent sheet that carries as a bar: hats between members, and flanges of deck sheet from member to member.

Counted with its own metal alone: the sheet it is welded to or bent from, which would help it, is not. What
does not reach from member to member is not counted, and told.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from model.bends.folded_panel import FoldedPanel
from model.geometry import Array
from model.member import Member
from model.skeleton.records import Joint
from parts.alloy import Alloy
from parts.section import Section

if TYPE_CHECKING:
    from model.bends.made import Fold
    from model.boat import Boat
    from model.layout.records import DeckPlan

REACH = 40.0
"""A flange no further than this from a member at its end, mm, is held by it: through the sheet between."""

BESIDE = 30.0
"""A flange no further than this from a member that runs along it, mm, adds nothing that is counted."""

_ALONG = 0.9
_LIES = 0.5


@dataclass(frozen=True, eq=False)
class BentBars:
    """What carries besides the frame.

    Attributes:
        members: each as a bar.
        joints: of their ends.
        not_counted: names of hats and flanges that carry nothing here.
    """

    members: tuple[Member, ...] = ()
    joints: tuple[Joint, ...] = ()
    not_counted: tuple[str, ...] = ()

    def told(self) -> str:
        """What was counted and what was not, for the line that sums up; empty where there is neither."""
        if not self.members and not self.not_counted:
            return ""
        found = f", {len(self.members)} hats and flanges counted as bars"
        if self.not_counted:
            more = f" and {len(self.not_counted) - 3} more" if len(self.not_counted) > 3 else ""
            found += f", not counted: {', '.join(self.not_counted[:3])}{more}"
        return found


def bent_bars(boat: Boat) -> BentBars:
    """The hats and flanges of a boat that carry."""
    bars, not_counted = _hats(boat)
    for panel in boat.panels:
        plan = boat.layout.decks.get(panel.name.partition("/")[0])
        if isinstance(panel, FoldedPanel) and panel.role == "deck" and plan is not None:
            own, missed = _flanges(boat, panel, plan)
            bars, not_counted = bars + own, not_counted + missed
    joints = [joint for _, ends in bars for joint in ends]
    return BentBars(tuple(member for member, _ in bars), tuple(joints), tuple(not_counted))


_Bar = tuple[Member, list[Joint]]


def _hats(boat: Boat) -> tuple[list[_Bar], list[str]]:
    found: list[_Bar] = []
    not_counted = []
    for hat in boat.hats:
        a, b = hat.meets
        if a is None or b is None or hat.of not in boat.layout.decks:
            not_counted.append(hat.name)
        else:
            found.append(_bar(hat.name, hat.section, hat.a, hat.b, hat.up, (a, b)))
    return found, not_counted


def _bar(name: str, section: Section, a: Array, b: Array, up: Array, meets: tuple[str, str]) -> _Bar:
    ends = zip("AB", meets, (a, b), strict=True)
    joints = [Joint("tee", name, end, other, point, 0.0, 0.0) for end, other, point in ends]
    return Member.along(name, section, a, b, up), joints


def _flanges(boat: Boat, panel: FoldedPanel, plan: DeckPlan) -> tuple[list[_Bar], list[str]]:
    """The flanges of one sheet of a deck."""
    own = [m for m in boat.members if m.name.startswith(f"{plan.name}/") and abs(float(m.axis[2])) <= _LIES]
    flat = {
        m.name: shapely.MultiPoint(plan.frame.to_frame(m.corners.reshape(-1, 3))[:, :2]).convex_hull
        for m in own
    }
    found: list[_Bar] = []
    not_counted = []
    for number, fold in enumerate(panel.folds, 1):
        along = fold.flange.along @ panel.frame.axes[:2]
        across = {m.name: flat[m.name] for m in own if abs(float(m.axis @ along)) < _ALONG}
        beside = [flat[m.name] for m in own if m.name not in across]
        ends = panel.frame.to_boat(np.array([fold.flange.at(s, 0.0) for s in (fold.low, fold.high)]))
        spots = plan.frame.to_frame(ends)[:, :2]
        line = shapely.LineString(spots)
        meets = [_nearest(shapely.Point(spot), across) for spot in spots]
        name, (a, b) = f"{panel.name}/flange.{number}", meets
        alone = all(line.distance(shape) > BESIDE for shape in beside)
        if alone and a is not None and b is not None and a != b:
            found.append(_flange_bar(name, panel, fold, (a, b)))
        else:
            not_counted.append(name)
    return found, not_counted


def _nearest(spot: shapely.Point, shapes: dict[str, BaseGeometry]) -> str | None:
    """The member nearest to a place, within `REACH`."""
    near = min(shapes, key=lambda name: float(shapes[name].distance(spot)), default=None)
    return near if near is not None and shapes[near].distance(spot) <= REACH else None


def _flange_bar(name: str, panel: FoldedPanel, fold: Fold, meets: tuple[str, str]) -> _Bar:
    own, frame = fold.flange, fold.flange.frame(panel.frame, fold.low)
    section, middle = flange_section(name, fold, panel.sheet.alloy)
    a = frame.to_boat(np.append(middle, 0.0))
    b = a + fold.length * (own.along @ panel.frame.axes[:2])
    # the section is drawn in the frame's x and y, so that its axis runs along the frame's z
    if float((b - a) @ frame.z) < 0.0:
        a, b, meets = b, a, (meets[1], meets[0])
    return _bar(name, section, a, b, frame.y, meets)


def flange_section(name: str, fold: Fold, alloy: Alloy) -> tuple[Section, Array]:
    """Bends and legs of a flange as a section about the middle of its box, and where that lies."""
    own = fold.flange
    drawn = own.section()
    low_x, low_y, high_x, high_y = drawn.bounds
    middle = np.array([(low_x + high_x) / 2.0, (low_y + high_y) / 2.0])
    outer, t = drawn.moved(-middle[0], -middle[1]).ccw(), own.thickness
    section = Section(
        name,
        "angle",
        high_x - low_x,
        high_y - low_y,
        t,
        own.radius + t,
        alloy,
        outer,
        (),
        outer.area * t**2 / 3.0,
    )
    return section, middle
