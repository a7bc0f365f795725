"""Every piece of a boat as closed meshes that a rod must keep clear of; the skin is told by its sections."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from model.clearance.bodies import CHORD
from model.clearance.skin_bodies import skin_bodies
from model.geometry import Array
from model.hull import Hull
from model.member_mesh import member_meshes
from model.mesh import Mesh
from model.prism_mesh import meshes as prism_meshes
from parts.section import Section

if TYPE_CHECKING:
    from model.boat import Boat


@dataclass(frozen=True, eq=False)
class Piece:
    """A closed mesh of a piece, with the piece's name and its box `(2, 3)`."""

    name: str
    mesh: Mesh
    box: Array


def pieces(boat: Boat) -> list[Piece]:
    """Members without their bore, sheet, lids and fittings, ribs and stringers; a piece may have several."""
    found = [*_members(boat), *_sheets(boat), *_fixtures(boat)]
    return [Piece(name, mesh, mesh.box) for name, mesh in found] + _on_hull(boat.hull)


@lru_cache(maxsize=512)
def _filled(section: Section) -> Section:
    return replace(section, holes=())


def _members(boat: Boat) -> Iterator[tuple[str, Mesh]]:
    whole = [m for m in boat.members if not m.is_cut_away]
    meshes = member_meshes([replace(m, section=_filled(m.section)) for m in whole])
    yield from ((member.name, mesh) for member, mesh in zip(whole, meshes, strict=True))


def _sheets(boat: Boat) -> Iterator[tuple[str, Mesh]]:
    prisms = [(panel.name, prism) for panel in boat.panels for prism in panel.prisms]
    meshes = prism_meshes([prism for _, prism in prisms], CHORD)
    yield from ((name, mesh) for (name, _), mesh in zip(prisms, meshes, strict=True))
    yield from ((strip.name, strip.mesh()) for strip in boat.strips)


def _fixtures(boat: Boat) -> Iterator[tuple[str, Mesh]]:
    prisms = [(fixture.name, prism) for fixture in boat.fixtures for prism in fixture.prisms]
    meshes = prism_meshes([prism for _, prism in prisms], CHORD)
    yield from ((name, mesh) for (name, _), mesh in zip(prisms, meshes, strict=True))


_KEPT: WeakKeyDictionary[Hull, list[Piece]] = WeakKeyDictionary()
"""Ribs and stringers of the hulls that are still in use: a boat is rebuilt on the same hull over and over."""


def _on_hull(hull: Hull) -> list[Piece]:
    if hull not in _KEPT:
        bodies = skin_bodies(hull) if hull.ribs or hull.stringers else []
        bodies = [body for body in bodies if body.kind != "hull"]
        _KEPT[hull] = [Piece(b.name, s.mesh, s.box) for b in bodies for s in b.solids]
    return _KEPT[hull]
