"""What there is to see of a boat: named, coloured pieces in a tree of groups."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from cutlists.hull_lines import SceneLine, hull_lines
from cutlists.sharp_corners import sharp_member
from model.geometry import Array
from model.hull_mesh import sheet_mesh, skin_mesh
from model.member import Member
from model.member_mesh import member_meshes
from model.member_table import MemberTable
from model.mesh import Mesh
from model.panel import Panel
from model.prism import Prism
from model.prism_mesh import meshes as prism_meshes
from model.strip import Strip

if TYPE_CHECKING:
    from typing import TypeAlias

    from model.boat import Boat, Fixture
    from model.hull import Hull

    Record: TypeAlias = Hull | Member | Panel | Strip | Fixture


@dataclass(frozen=True, slots=True)
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
LID = Colour("lid", 0.88, 0.75, 0.50)
FIXTURE = Colour("fixture", 0.20, 0.40, 0.42)
COLOURS = (HULL, FRAME, DECK, LINING, LID, FIXTURE)


@dataclass(frozen=True, eq=False, slots=True)
class Item:
    """A piece of the boat and where it hangs in every tree that is written.

    `path` runs from the top group down: "hull", "members", "decks", "panels", "lids" or "fixtures", and below
    members and panels the thing they belong to, such as ("members", "deck.front").
    """

    name: str
    mark: str
    path: tuple[str, ...]
    colour: Colour
    record: Record


def items(boat: Boat) -> Iterator[Item]:
    """Every piece of the boat: hull, members (none that is cut away), panels, strips, fixtures."""

    def item(record: Member | Panel | Strip | Fixture, group: str, colour: Colour) -> Item:
        owner, slash, _ = record.name.partition("/")
        path = (group, owner) if slash and group in ("members", "panels") else (group,)
        return Item(record.name, boat.marks.get(record.name, ""), path, colour, record)

    yield Item("hull", "", ("hull",), HULL, boat.hull)
    away = MemberTable(boat.members).cut_away.tolist()
    whole = (member for member, gone in zip(boat.members, away, strict=True) if not gone)
    yield from (item(member, "members", FRAME) for member in whole)
    for panel in boat.panels:
        deck = panel.role == "deck"
        yield item(panel, "decks" if deck else "panels", DECK if deck else LINING)
    yield from (item(strip, "panels", LINING) for strip in boat.strips)
    for fixture in boat.fixtures:
        lid = fixture.kind == "lid"
        yield item(fixture, "lids" if lid else "fixtures", LID if lid else FIXTURE)


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


def scene_of(boat: Boat) -> Scene:
    """The scene of a finished boat; meshes are made in bulk, a section and all prisms at a time."""
    found = list(items(boat))
    members = [item.record for item in found if isinstance(item.record, Member)]
    bodies = {member.name: mesh for member, mesh in zip(members, member_meshes(members), strict=True)}
    sharp = [(member, sharp_member(member)) for member in members]
    rounded = [(member.name, other) for member, other in sharp if other is not member]
    plain = member_meshes([other for _, other in rounded])
    sharps = {name: mesh for (name, _), mesh in zip(rounded, plain, strict=True)}
    bodies |= _prism_bodies(found)
    bodies |= {item.name: item.record.mesh() for item in found if isinstance(item.record, Strip)}
    bodies["hull"] = sheet_mesh(boat.hull) if boat.hull.thickness > 0.0 else skin_mesh(boat.hull)
    pieces = []
    for item in found:
        body = bodies[item.name]
        pieces.append(ScenePiece(item.name, item.path, item.colour, body, item.mark, sharps.get(item.name)))
    return Scene(boat.title, tuple(pieces), tuple(hull_lines(boat.hull)))


def _prism_bodies(found: Sequence[Item]) -> dict[str, Mesh]:
    """The meshes of everything made of prisms, by name."""
    prisms: list[tuple[str, Prism]] = []
    for item in found:
        if not isinstance(item.record, Member | Strip) and hasattr(item.record, "prisms"):
            prisms += [(item.name, prism) for prism in item.record.prisms]
    own: dict[str, list[Mesh]] = {}
    for (name, _), mesh in zip(prisms, prism_meshes([prism for _, prism in prisms]), strict=True):
        own.setdefault(name, []).append(mesh)
    return {name: Mesh.merge(parts) for name, parts in own.items()}
