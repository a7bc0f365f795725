"""The pieces of a boat as they travel to a page: what each is, and its mesh where the page lacks it."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from cutlists.scene import Item, items
from cutlists.sharp_corners import sharp_member
from model.geometry import Array
from model.hull import Hull
from model.hull_mesh import body_mesh
from model.member import Member
from model.member_mesh import member_meshes
from model.member_table import MemberTable
from model.mesh import Mesh
from model.panel import Panel
from model.prism import Prism
from model.prism_mesh import meshes as prism_meshes
from model.strip import Strip

if TYPE_CHECKING:
    from model.boat import Boat

GRAIN = 1e-3
"""A piece that moved by less than this, mm, has not moved; it is far below what a picture shows."""
HULL_SPACING = 150.0
"""Rows of the hull's triangles along it, mm."""
CHORD = 0.3
"""Arcs are drawn within this, mm."""


@dataclass(frozen=True)
class ShownPiece:
    """A piece as a page knows it.

    Attributes:
        name: in the boat.
        shape: tells its form and place from any other.
        told: what the page is told of it besides.
        mesh: vertices `(n, 3)` little-endian float32 mm and faces `(m, 3)` uint32, one after the other.
        counts: n and m.
        record: what was drawn; the same record again looks the same again.
    """

    name: str
    shape: str
    told: dict[str, Any]
    mesh: bytes
    counts: tuple[int, int]
    record: object = None


def shown_pieces(boat: Boat, before: dict[str, ShownPiece], hull: str) -> dict[str, ShownPiece]:
    """Every piece by name; those of `before` that stand as they stood keep their meshes and their masses.

    Args:
        boat: the boat to show.
        before: the pieces shown last, of the same catalogue; a file that was read again begins with none.
        hull: what tells this hull from others; its thousands of numbers are not looked through.
    """
    found = [(item, _shape(item, hull, before.get(item.name))) for item in items(boat)]
    fresh = [item for item, shape in found if item.name not in before or before[item.name].shape != shape]
    meshes = {item.name: _packed(mesh) for item, mesh in _meshes(fresh)}
    masses = _masses(fresh)
    pieces = {}
    for item, shape in found:
        last = None if item.name in meshes else before[item.name]
        data, counts = meshes[item.name] if last is None else (last.mesh, last.counts)
        told = _told(item, boat, last, masses)
        pieces[item.name] = ShownPiece(item.name, shape, told, data, counts, item.record)
    return pieces


def _shape(item: Item, hull: str, last: ShownPiece | None) -> str:
    """As `shape_of`; a record that was drawn before is not looked through again."""
    if last is not None and last.record is item.record and not isinstance(item.record, Hull):
        return last.shape
    return shape_of(item, hull)


def loose_piece(name: str, path: tuple[str, ...], kind: str, colour: str, triangles: Array) -> ShownPiece:
    """Something to show that is no piece of the boat, such as a rod where it lies.

    Args:
        name: for the page.
        path: where it hangs in the tree.
        kind: what it is.
        colour: as `#rrggbb`.
        triangles: `(m, 3, 3) float`, mm, looking outward.
    """
    corners, faces = np.unique(np.round(triangles.reshape(-1, 3), 3) + 0.0, axis=0, return_inverse=True)
    mesh = Mesh(corners, faces.reshape(-1, 3).astype(np.int64))
    data, counts = _packed(mesh)
    told = {"mark": "", "path": list(path), "colour": colour, "opacity": 1.0, "kind": kind, "mass": None,
            "line": None, "key": ""}  # fmt: skip
    return ShownPiece(name, hashlib.blake2b(data, digest_size=12).hexdigest(), told, data, counts)


def _told(item: Item, boat: Boat, last: ShownPiece | None, masses: dict[str, float | None]) -> dict[str, Any]:
    """What is said of a piece in the tree and beside the view; `last` is the same piece, shown before."""
    place = boat.place(item.name)
    kind = _kind(item.record)
    return {
        "mark": item.mark,
        "path": list(item.path),
        "colour": item.colour.hexadecimal,
        "opacity": item.colour.opacity,
        "kind": kind,
        "mass": last.told["mass"] if last and last.told["kind"] == kind else _mass(item, masses),
        "line": place.line if place else None,
        "key": place.key if place else "",
    }


def _masses(wanted: Sequence[Item]) -> dict[str, float | None]:
    """Masses of members in kg, worked out together."""
    members = [item.record for item in wanted if isinstance(item.record, Member)]
    if not members:
        return {}
    own = MemberTable(members).mass.tolist()
    return {member.name: round(mass, 3) for member, mass in zip(members, own, strict=True)}


def _mass(item: Item, masses: dict[str, float | None]) -> float | None:
    """Mass in kg, looked up among `masses` first; the hull's is not told here."""
    record: Any = item.record
    if item.name in masses:
        return masses[item.name]
    return None if isinstance(record, Hull) else round(record.mass, 3)


def _kind(record: Any) -> str:
    if isinstance(record, Hull):
        return "hull"
    if isinstance(record, Member):
        return record.section.name
    if isinstance(record, Panel | Strip):
        return f"{record.role}, {record.sheet.name}"
    part = getattr(record.part, "name", "") if record.part else ""
    return f"{record.kind}, {part}" if part else f"{record.kind}, made to order"


def shape_of(item: Item, hull: str) -> str:
    """What tells a piece's form and place from any other; the same for pieces within `GRAIN`."""
    record = item.record
    if isinstance(record, Hull):
        return f"hull {hull}"
    if isinstance(record, Member):
        ends = (record.end_a, record.end_b)
        parts = [record.a, record.b, [record.roll * 1e3]]
        parts += [np.append(end.normal * 1e3, end.offset) for end in ends]
        holes = [(hole.along, hole.off, hole.diameter) for hole in record.holes]
        drilled = " ".join(hole.runs for hole in record.holes)
        return _digest(f"{record.section.name} {drilled}", [*parts, *holes])
    if isinstance(record, Strip):
        return _digest(record.sheet.name, [record.edge_a.ravel(), record.edge_b.ravel()])
    return _digest("", [part for prism in record.prisms for part in _prism_numbers(prism)])


def _prism_numbers(prism: Prism) -> Iterator[Array]:
    frame = prism.frame
    yield frame.origin
    yield frame.axes.ravel() * 1e3
    yield np.array([prism.z0, prism.z1])
    for loop in (prism.outline, *prism.holes):
        yield loop.points.ravel()
        yield loop.bulges * 1e3


def _digest(said: str, parts: Sequence[Any]) -> str:
    numbers = np.concatenate([np.asarray(part, dtype=np.float64) for part in parts])
    # Halves of a grain would fall to either side from one build to the next only by bad luck; then the
    # piece travels again, which does no harm.
    whole = np.round(numbers / GRAIN).astype(np.int64)
    sizes = ",".join(str(len(part)) for part in parts)
    return hashlib.blake2b(whole.tobytes() + f"{said} {sizes}".encode(), digest_size=12).hexdigest()


def _packed(mesh: Mesh) -> tuple[bytes, tuple[int, int]]:
    data = mesh.vertices.astype("<f4").tobytes() + mesh.faces.astype("<u4").tobytes()
    return data, (len(mesh.vertices), len(mesh.faces))


def open_hull(hull: Hull) -> Mesh:
    """The inside of the hull with transom and bow, open at the top; coarse, for it is only seen through."""
    body = body_mesh(hull, HULL_SPACING)
    p, q, r = np.moveaxis(body.triangles, 1, 0)
    normals = np.cross(q - p, r - p)
    up = normals[:, 2] > 0.7 * np.sqrt((normals * normals).sum(axis=1))
    return Mesh(body.vertices, body.faces[~up])


def _meshes(wanted: Sequence[Item]) -> Iterator[tuple[Item, Mesh]]:
    """The meshes of some pieces, made in bulk by kind; small corner radii of tube are left sharp."""
    members = [item for item in wanted if isinstance(item.record, Member)]
    sharp = [sharp_member(item.record) for item in members if isinstance(item.record, Member)]
    yield from zip(members, member_meshes(sharp), strict=True)
    prisms: list[tuple[Item, Prism]] = []
    for item in wanted:
        record = item.record
        if isinstance(record, Hull):
            yield item, open_hull(record)
        elif isinstance(record, Strip):
            yield item, record.mesh()
        elif not isinstance(record, Member):
            prisms += [(item, prism) for prism in record.prisms]
    own: dict[str, list[Mesh]] = {item.name: [] for item, _ in prisms}
    for (item, _), mesh in zip(prisms, prism_meshes([prism for _, prism in prisms], CHORD), strict=True):
        own[item.name].append(mesh)
    whole = {item.name: item for item, _ in prisms}
    yield from ((whole[name], Mesh.merge(parts)) for name, parts in own.items())
