"""What there is to see of a boat: named, coloured pieces in a tree of groups."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from model.geometry import Array
from model.mesh import Mesh


@dataclass(frozen=True, eq=False, slots=True)
class Colour:
    """A colour as three shares of 0 to 1 (sRGB), and how much of what lies behind it covers."""

    name: str
    red: float
    green: float
    blue: float
    opacity: float = 1.0

    @property
    def rgb(self) -> Array:
        """The three shares, `(3,) float`."""
        return np.array([self.red, self.green, self.blue])

    @property
    def hexadecimal(self) -> str:
        """As written in SVG, `#rrggbb`."""
        return "#" + "".join(f"{round(255 * share):02x}" for share in (self.red, self.green, self.blue))


# Each group differs from its neighbours in lightness and not in hue alone, so that a copy in black and white
# still reads: frame lightest, then lids, decks, fixtures.
FRAME = Colour("frame", 0.89, 0.90, 0.91)
HULL = Colour("hull", 0.62, 0.70, 0.76, 0.16)
DECK = Colour("deck", 0.47, 0.55, 0.61)
LINING = Colour("lining", 0.64, 0.69, 0.72)
LID = Colour("lid", 0.80, 0.66, 0.40)
FIXTURE = Colour("fixture", 0.20, 0.40, 0.42)


@dataclass(frozen=True, eq=False, slots=True)
class ScenePiece:
    """One piece to show: its name, its mark, the groups it hangs under, its colour and its closed mesh.

    `path` runs from the top group down, such as ("skeleton", "deck.front"). `sharp` is the same piece with
    its small corner radii left out, for pictures; None where that is the mesh itself.
    """

    name: str
    path: tuple[str, ...]
    colour: Colour
    mesh: Mesh
    mark: str = ""
    sharp: Mesh | None = None

    @property
    def plain(self) -> Mesh:
        """The mesh to draw from."""
        return self.mesh if self.sharp is None else self.sharp

    @property
    def group(self) -> str:
        """The top group."""
        return self.path[0]

    @property
    def is_ghost(self) -> bool:
        """Whether it is seen through."""
        return self.colour.opacity < 1.0


@dataclass(frozen=True, eq=False, slots=True)
class SceneLine:
    """A line of the hull to draw: `points` `(n, 3) float` in the boat, mm."""

    name: str
    points: Array


@dataclass(frozen=True, eq=False, slots=True)
class Scene:
    """Everything to show of one boat, in a steady order."""

    title: str
    pieces: tuple[ScenePiece, ...]
    lines: tuple[SceneLine, ...] = field(default=())

    def only(self, groups: Sequence[str]) -> Scene:
        """The scene with just the pieces of these top groups; the hull's lines stay with the hull."""
        kept = tuple(piece for piece in self.pieces if piece.group in groups)
        return Scene(self.title, kept, self.lines if "hull" in groups else ())

    @property
    def points(self) -> Array:
        """Every vertex and line point, `(n, 3) float`, mm."""
        parts = [piece.plain.vertices for piece in self.pieces] + [line.points for line in self.lines]
        return np.concatenate([np.zeros((0, 3)), *parts])
