"""Every piece of a boat as solids to be measured against others."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from model.clearance.kinds import ROOM
from model.clearance.skin_bodies import skin_bodies
from model.clearance.solid import Solid
from model.member_mesh import member_meshes
from model.mesh import Mesh
from model.prism import Prism
from model.prism_mesh import meshes as prism_meshes

if TYPE_CHECKING:
    from model.boat import Boat
    from parts.section import Section

CHORD = 0.02
"""Arcs of sheet and fittings are followed within this, mm."""


@dataclass(frozen=True, eq=False)
class Body:
    """One piece of the boat, or the room that a fitting needs.

    Attributes:
        name: its name in the boat; of a room, the name of its fitting with `room` behind it.
        kind: member, sheet, lid, hull, rib, stringer, room, or a fitting's own: seat, tank, battery ...
        solids: one or more; they belong together and are not measured against each other.
    """

    name: str
    kind: str
    solids: tuple[Solid, ...]


_MADE: WeakKeyDictionary[Boat, tuple[Body, ...]] = WeakKeyDictionary()
"""Bodies of the boats that are still in use."""


def boat_bodies(boat: Boat) -> list[Body]:
    """All pieces of a boat, what stands on its skin, the skin itself, and the room that fittings need.

    They are made once for a boat, since several checks ask for them.
    """
    if boat not in _MADE:
        _MADE[boat] = (
            *_members(boat),
            *_sheets(boat),
            *_fixtures(boat),
            *skin_bodies(boat.hull),
            *_rooms(boat),
        )
    return list(_MADE[boat])


def body_of_mesh(name: str, kind: str, mesh: Mesh) -> Body:
    """The body of one closed mesh.

    Raises:
        ValueError: the mesh is not closed.
    """
    try:
        return Body(name, kind, (Solid.of_mesh(mesh),))
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from error


def body_of_prisms(name: str, kind: str, prisms: tuple[Prism, ...]) -> Body:
    """The body of prisms that belong together.

    Raises:
        ValueError: an outline crosses itself.
    """
    return Body(name, kind, tuple(Solid.of_mesh(mesh) for mesh in prism_meshes(prisms, CHORD)))


@lru_cache(maxsize=512)
def _filled(section: Section) -> Section:
    """The section without its bore: what lies inside a tube is no more free than its wall."""
    return replace(section, holes=())


def _members(boat: Boat) -> Iterator[Body]:
    whole = [m for m in boat.members if not m.is_cut_away]
    meshes = member_meshes([replace(m, section=_filled(m.section)) for m in whole])
    for member, mesh in zip(whole, meshes, strict=True):
        yield body_of_mesh(member.name, "member", mesh)


def _sheets(boat: Boat) -> Iterator[Body]:
    prisms = [(panel.name, prism) for panel in boat.panels for prism in panel.prisms]
    solids: dict[str, tuple[Solid, ...]] = {}
    for (name, _), mesh in zip(prisms, prism_meshes([prism for _, prism in prisms], CHORD), strict=True):
        solids[name] = (*solids.get(name, ()), *body_of_mesh(name, "sheet", mesh).solids)
    yield from (Body(name, "sheet", own) for name, own in solids.items())
    for strip in boat.strips:
        yield body_of_mesh(strip.name, "sheet", strip.mesh())


def _fixtures(boat: Boat) -> Iterator[Body]:
    for fixture in boat.fixtures:
        yield body_of_prisms(fixture.name, fixture.kind, fixture.prisms)


def _rooms(boat: Boat) -> Iterator[Body]:
    for fixture in boat.fixtures:
        if fixture.part is not None and fixture.part.keep_out:
            prisms = tuple(Prism.of_block(fixture.frame, block) for block in fixture.part.keep_out)
            yield body_of_prisms(f"{fixture.name}/{ROOM}", ROOM, prisms)
