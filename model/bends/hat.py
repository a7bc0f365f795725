"""A hat or a channel folded of a strip: its bends, its cross-section, and the piece where it stands."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from model.bends.flange import Flange
from model.bends.fold import fold
from model.bends.folded_panel import FoldedPanel
from model.bends.profile import Turn
from model.geometry import Array, Frame
from model.panel import Panel
from parts.bending import setback
from parts.outline import Loop
from parts.section import Section
from parts.sheet import Sheet

ROLE = "stiffener"
"""What such a piece is in the boat."""


@dataclass(frozen=True, eq=False)
class HatShape:
    """A hat across: a web, two sides and two feet on the sheet; without feet a channel on its sides' edges.

    Attributes:
        width: of the web, outside, from mould line to mould line, mm.
        height: from the sheet to the outside of the web, mm.
        foot: of each foot, from the inside of its side to its edge, mm; 0 for a channel.
        angle: turn of the sides from the web, rad; a right angle sets them upright.
        radius: inside, of all bends, mm.
        sheet: what it is folded of.
        k: depth of the neutral axis over the thickness.
    """

    width: float
    height: float
    foot: float
    angle: float
    radius: float
    sheet: Sheet
    k: float

    @property
    def least_width(self) -> float:
        """Of the web: its two bends, mm."""
        return 2.0 * setback(self.angle, self.radius, self.sheet.thickness)

    @property
    def least_foot(self) -> float:
        """Of a foot: its bend, and the sheet's thickness beyond it, mm."""
        return setback(self.angle, self.radius, self.sheet.thickness) + self.sheet.thickness

    @property
    def least_height(self) -> float:
        """The bends of a side, one or two, with the sheet's thickness of it left straight, mm."""
        return self.height + (self.sheet.thickness - self.straight) * math.sin(self.angle)

    @property
    def straight(self) -> float:
        """Straight length of a side, mm.

        A bend rises by (R + T)(1 - cos A) on the outside of it. The outsides of a hat's two bends are on the
        two faces of its side, and of a channel the inner face stands highest: T cos A more either way.
        """
        bends = 2 if self.foot else 1
        outside = self.radius + self.sheet.thickness
        risen = bends * outside * (1.0 - math.cos(self.angle)) + self.sheet.thickness * math.cos(self.angle)
        return (self.height - risen) / math.sin(self.angle)

    @cached_property
    def turns(self) -> tuple[Turn, ...]:
        """The bends of one side, from the web outward."""
        back = setback(self.angle, self.radius, self.sheet.thickness)
        if not self.foot:
            return (Turn(self.straight + back, self.angle, self.radius),)
        side = Turn(self.straight + 2.0 * back, self.angle, self.radius)
        return side, Turn(self.foot, self.angle, self.radius, onward=False)

    def flange(self, start: Array, end: Array, of: str) -> Flange:
        """One side with its foot, along an edge of the web."""
        first, *returns = self.turns
        return Flange(
            of, start, end, first.height, first.angle, first.radius, self.sheet.thickness, self.k, False,
            tuple(returns),
        )  # fmt: skip

    @cached_property
    def half(self) -> float:
        """Half of its width over all, mm."""
        edge = self.flange(np.zeros(2), np.array([1.0, 0.0]), "").stretches[-1]
        return self.width / 2.0 + float(max(edge.outer[:, 0].max(), edge.inner[:, 0].max(), 0.0))

    def section(self, name: str) -> Section:
        """Its cross-section, web up, arcs true; open, so that its torsion constant is A t^2 / 3."""
        side = self.flange(np.zeros(2), np.array([1.0, 0.0]), "").section()
        # the side was drawn with the web's outside at y = 0 and the sheet above it: turn it over
        right = Loop(side.points * [1.0, -1.0] + [self.width / 2.0, self.height / 2.0], -side.bulges)
        points = np.concatenate([right.points, right.points[::-1] * [-1.0, 1.0]])
        back = np.append(right.bulges[-2::-1], 0.0)
        outer = Loop(points, np.concatenate([right.bulges[:-1], [0.0], back])).ccw()
        t = self.sheet.thickness
        return Section(
            name, "hat", 2.0 * self.half, self.height, t, self.radius + t, self.sheet.alloy, outer, (),
            outer.area * t**2 / 3.0,
        )  # fmt: skip


def hat_piece(name: str, shape: HatShape, on_sheet: Frame, length: float, relief: float) -> FoldedPanel:
    """The folded piece.

    Args:
        name: of the piece.
        shape: across.
        on_sheet: where it begins: x along it, z off the sheet it stands on, from that sheet's own surface.
        length: along x, mm.
        relief: width of notches beside bends, mm; a plain strip has none.

    Raises:
        FoldError: a bend is too short to be made.
    """
    wide = shape.width / 2.0
    web = Loop.polygon([(0.0, -wide), (length, -wide), (length, wide), (0.0, wide)])
    flat = Panel(name, on_sheet.moved(dz=shape.height), web, (), shape.sheet, ROLE)
    corners = web.points
    sides = [
        shape.flange(corners[0], corners[1], "first side"),
        shape.flange(corners[2], corners[3], "second side"),
    ]
    return fold(flat, sides, relief)


@dataclass(frozen=True, eq=False)
class Hat:
    """A hat as it stands in the boat.

    Attributes:
        name: of its piece, such as `deck.front/hat.middle`.
        piece: folded.
        section: across, web up.
        a, b: its ends, on the middle of its height, `(3,)`.
        up: off the sheet it stands on, unit `(3,)`.
        of: the deck or the piece that it stiffens.
        meets: members that its ends butt against; None where an end stands free.
        path: keys that lead to it in the file.
    """

    name: str
    piece: FoldedPanel
    section: Section
    a: Array
    b: Array
    up: Array
    of: str
    meets: tuple[str | None, str | None]
    path: tuple[str | int, ...]

    @property
    def axis(self) -> Array:
        """Unit vector from end A to end B, `(3,)`."""
        along: Array = self.b - self.a
        found: Array = along / np.linalg.norm(along)
        return found

    @property
    def corners(self) -> Array:
        """The corners of what it covers of the sheet, `(2, 2, 3)`: at end A, then at end B."""
        across: Array = np.cross(self.up, self.axis) * self.section.width / 2.0
        down = self.up * self.section.height / 2.0
        found: Array = np.array([[end - across - down, end + across - down] for end in (self.a, self.b)])
        return found
