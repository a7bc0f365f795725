"""Upright faces below deck edges: welded to the rim above, they stand on a deck, a lower rim or the hull.

Counted as stiff in their own plane. Bulkheads and lockers' walls are not counted: they may meet no member.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.geometry import UP, Array
from model.panel import Panel
from model.skeleton.posts import RESTS
from model.strength.feet import stand_on
from model.strength.network import STEP, Foot, Ids, Network
from model.strength.settings import StrengthSettings
from model.strength.spread import DeckLines
from model.strength.ties import FIRM, Tie

if TYPE_CHECKING:
    from model.boat import Boat

TOUCHES = 3.0
"""A face no further than this from a member's side, mm, is welded to it."""

TO_SKIN = 40.0
"""A face whose foot is no further than this above the skin, mm, is welded or bracketed to it."""

NONE = np.zeros(0)


def face_ties(boat: Boat, net: Network, decks: dict[str, DeckLines], settings: StrengthSettings) -> list[Tie]:
    """The ties of every upright face of a boat."""
    found: list[Tie] = []
    for panel in boat.panels:
        owner, _, rest = panel.name.partition("/")
        if panel.role == "riser" and rest.startswith("riser") and abs(float(panel.frame.y[2])) > 0.99:
            found += _Face(boat, net, decks, settings, panel, owner).ties()
    return found


class _Face:
    """One upright face among the members it touches."""

    def __init__(
        self,
        boat: Boat,
        net: Network,
        decks: dict[str, DeckLines],
        settings: StrengthSettings,
        panel: Panel,
        owner: str,
    ) -> None:
        self.boat, self.net, self.decks, self.settings = boat, net, decks, settings
        self.panel, self.owner, self.shape = panel, owner, panel.polygon
        self.flat = panel.frame.to_frame(net.points)

    def ties(self) -> list[Tie]:
        found: dict[int, tuple[Tie, ...]] = {}
        touched = [k for k in range(len(self.net.members)) if self._touches(k)]
        low = [k for k in touched if not self._own(k)]
        for k in touched:
            if self._own(k):
                for node in self.net.lines[k].nodes.tolist():
                    if node not in found:
                        found[node] = self._of(k, node, low)
        return [tie for ties in found.values() for tie in ties]

    def _own(self, k: int) -> bool:
        return self.net.members[k].name.startswith(f"{self.owner}/")

    def _touches(self, k: int) -> bool:
        """Whether a lying member runs along the face, against it."""
        member, nodes = self.net.members[k], self.net.lines[k].nodes
        if abs(float(member.axis[2])) > 0.5 or abs(float(member.axis @ self.panel.frame.x)) < 0.9:
            return False
        reach = member.section.width / 2 + self.panel.sheet.thickness + TOUCHES
        return bool((np.abs(self.flat[nodes, 2]) <= reach).all())

    def _of(self, k: int, node: int, low: list[int]) -> tuple[Tie, ...]:
        """The ties of one node of a member above; none where no face is below it."""
        along, _, _ = self.flat[node].tolist()
        cut = self.shape.intersection(shapely.LineString([(along, -1e5), (along, 1e5)]))
        if cut.is_empty:
            return ()
        foot = float(self.panel.frame.origin[2] + cut.bounds[1] * self.panel.frame.y[2])
        for other in low:
            tie = self._on_member(node, other, foot)
            if tie:
                return tie
        return self._on_deck(k, node, foot) or self._on_hull(node, foot)

    def _on_member(self, node: int, other: int, foot: float) -> tuple[Tie, ...]:
        """On a lower member that the face is welded to as well."""
        nodes = self.net.lines[other].nodes
        height = float(self.net.points[nodes, 2].mean())
        if not foot - RESTS <= height < self.net.points[node, 2] - TO_SKIN:
            return ()
        spots, own = self.flat[nodes, 0], self.flat[node, 0]
        order = np.argsort(spots)
        if not spots[order[0]] - STEP / 2 <= own <= spots[order[-1]] + STEP / 2:
            return ()
        right = int(np.clip(np.searchsorted(spots[order], own), 1, len(order) - 1))
        i, j = order[right - 1], order[right]
        part = float(np.clip((own - spots[i]) / (spots[j] - spots[i]), 0.0, 1.0))
        return self._pair(node, nodes[[i, j]], np.array([1 - part, part]), FIRM)

    def _on_deck(self, k: int, node: int, foot: float) -> tuple[Tie, ...]:
        """On the sheet of a lower deck."""
        x, y, _ = self.net.points[node].tolist()
        for name, lines in self.decks.items():
            plan = lines.plan
            if name != self.owner and abs(plan.height_at(x) - foot) <= RESTS:
                u = x / float(plan.frame.x[0])
                if shapely.contains_xy(plan.area, u, y):
                    down = stand_on(self.net, Foot(k, node, name), lines, self.settings, STEP).ties[0]
                    return self._pair(node, down.below, down.shares, down.stiff)
        return ()

    def _on_hull(self, node: int, foot: float) -> tuple[Tie, ...]:
        x, y, _ = self.net.points[node].tolist()
        skin = float(self.boat.hull.bottom(np.array([x]), np.array([y]))[0])
        if not foot - skin <= TO_SKIN:  # so too where there is no skin below
            return ()
        return self._pair(node, np.zeros(0, dtype=np.int64), NONE, FIRM)

    def _pair(self, node: int, below: Ids, shares: Array, stiff: float) -> tuple[Tie, ...]:
        """Down, and along the face."""
        along = np.asarray(self.panel.frame.x, dtype=np.float64)
        return Tie(node, UP, below, shares, stiff), Tie(node, along, below, shares, FIRM)
