"""What a box lets through: by face with its edges and corners, at rim, seam and frame; days of ice."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.clearance.bodies import boat_bodies
from model.insulation.conduction import CORNER, edge_factor, in_series
from model.insulation.settings import (
    ALUMINIUM,
    CONTACT,
    CUBES,
    FILM,
    ICE_DENSITY,
    LATENT,
    NO_GASKET,
    PLASTIC,
    RIM,
    SEAM,
    TAPE,
)
from model.insulation.walls import Wall
from model.panelling.locker_panels import area_at, liner_of
from model.shadow import Thing, shadow, shape_of

if TYPE_CHECKING:
    from model.boat import Boat
    from model.insulation.settings import BoxAsked
    from model.layout.records import LockerPlan

BARE = 1.0
"""A wall without foam is reckoned as so much of it, mm: the films on its sides, not the sheet, hold heat."""
TOUCHES = 1.0
"""Frame within this over the edge of a liner, mm, counts as touching it."""
SPECK = 10.0
"""Contact over less than this, mm2, is left out."""
DAY = 86400.0


@dataclass(frozen=True)
class FaceHeat:
    """What one face lets through, W/K.

    Attributes:
        wall: the face.
        flat: shape factor of the face alone, inside area over thickness, m.
        edges: its half of the edges and its third of the corners, m.
        conductance: of foam and the film outside it, W/K.
    """

    wall: Wall
    flat: float
    edges: float
    conductance: float


@dataclass(frozen=True)
class Bridge:
    """Metal or trim that passes heat by the foam.

    Attributes:
        name: the piece, or `rim`.
        what: in words.
        conductance: W/K.
    """

    name: str
    what: str
    conductance: float


@dataclass(frozen=True)
class BoxHeat:
    """Everything that comes into a box, W/K.

    Attributes:
        faces: by face.
        bridges: past the foam.
        seam: at the lid, a share of what comes through the faces.
    """

    faces: tuple[FaceHeat, ...]
    bridges: tuple[Bridge, ...]
    seam: float

    @property
    def walls(self) -> float:
        """Through all faces, W/K."""
        return sum(face.conductance for face in self.faces)

    @property
    def bridged(self) -> float:
        """Past the foam, W/K."""
        return sum(bridge.conductance for bridge in self.bridges)

    @property
    def total(self) -> float:
        """All of it, W/K."""
        return self.walls + self.bridged + self.seam

    def days(self, ice: float, outside: float) -> float:
        """Until so much ice at 0 degrees has melted; endless where it is no warmer outside.

        Args:
            ice: kg.
            outside: degrees C.
        """
        return math.inf if outside <= 0.0 else ice * LATENT / (self.total * outside) / DAY


def ice_held(volume: float) -> float:
    """The mass of ice cubes that fill a volume in mm3, kg."""
    return volume * 1e-9 * ICE_DENSITY * CUBES


def box_heat(
    boat: Boat, locker: LockerPlan, asked: BoxAsked, walls: tuple[Wall, ...], depth: float
) -> BoxHeat:
    """What a box lets through.

    Args:
        boat: the boat.
        locker: the box.
        asked: its foam and lid.
        walls: its faces.
        depth: inside, mm.
    """
    extra = _edges(walls, depth)
    faces = []
    for wall in walls:
        flat = wall.inner / _thick(wall) * 1e-3
        through = asked.conductivity * (flat + extra[wall.face])
        film = FILM * wall.outer * 1e-6
        faces.append(FaceHeat(wall, flat, extra[wall.face], in_series(through, film)))
    frame = sorted(_frame(boat, locker, asked), key=lambda bridge: -bridge.conductance)
    bridges = (_rim(walls, asked), *frame)
    share = SEAM if asked.gasket else NO_GASKET
    return BoxHeat(tuple(faces), bridges, share * sum(face.conductance for face in faces))


def _thick(wall: Wall) -> float:
    return max(wall.foam, BARE)


def _edges(walls: tuple[Wall, ...], depth: float) -> dict[str, float]:
    """What edges and corners add to each face, m: half of an edge and a third of a corner each.

    Walls stand in a ring in the order given; where they meet at another angle than a right one the factor of
    a right angle is taken, which is an estimate.
    """
    found = {wall.face: 0.0 for wall in walls}
    ring = [wall for wall in walls if wall.long > 0.0]
    levels = [wall for wall in walls if wall.face == "floor"], [w for w in walls if w.face in ("lid", "deck")]
    for k, wall in enumerate(ring):
        after = ring[(k + 1) % len(ring)]
        _share(found, (wall, after), depth * 1e-3 * edge_factor(_thick(wall), _thick(after)))
        for level in levels:
            whole = sum(own.inner for own in level)
            for own in level:
                part = own.inner / whole if whole else 0.0
                _share(found, (wall, own), part * wall.long * 1e-3 * edge_factor(_thick(wall), _thick(own)))
                three = (wall, after, own)
                _share(found, three, part * CORNER * sum(map(_thick, three)) / 3.0 * 1e-3)
    return found


def _share(found: dict[str, float], walls: tuple[Wall, ...], factor: float) -> None:
    for wall in walls:
        found[wall.face] += factor / len(walls)


def _rim(walls: tuple[Wall, ...], asked: BoxAsked) -> Bridge:
    """What joins liner and box along the top of the walls."""
    metal = asked.rim == "metal"
    passed = 0.0
    for wall in walls:
        if wall.long > 0.0 and wall.has_foam:
            thick, conductivity = (wall.inner_sheet, ALUMINIUM) if metal else (RIM, PLASTIC)
            passed += conductivity * thick * 1e-3 * wall.long / wall.foam
    what = (
        "liner and box joined by sheet all round" if metal else f"plastic trim, {RIM:g} mm, all round the rim"
    )
    return Bridge("rim", what, passed)


def _frame(boat: Boat, locker: LockerPlan, asked: BoxAsked) -> Iterator[Bridge]:
    """Members at the height of the rim: what lies on the liner's edge, and what is bare to the inside.

    Foam tape between, and below what is bare, holds back as much as it is thick.
    """
    start, rim = f"{locker.name}/liner/", locker.top
    bodies = boat_bodies(boat)
    liner = [Thing(b.name, s, 0.0) for b in bodies if b.name.startswith(start) for s in b.solids]
    edge = shape_of(shadow(liner, rim - TOUCHES, rim))
    inside = area_at(liner_of(locker, boat.hull), boat.hull, rim) if liner else edge
    tape = math.inf if asked.tape <= 0.0 else TAPE / (asked.tape * 1e-3)
    told = "no tape" if asked.tape <= 0.0 else f"{asked.tape:.1f} mm of foam tape"
    for body in bodies:
        if body.kind != "member":
            continue
        over = shape_of(shadow([Thing(body.name, s, 0.0) for s in body.solids], rim, rim + TOUCHES))
        lies, bare = float(over.intersection(edge).area), float(over.intersection(inside).area)
        for area, film, where in (
            (lies, CONTACT, "on the liner's edge"),
            (bare, FILM, "bare over the inside"),
        ):
            if area > SPECK:
                joint = film if math.isinf(tape) else in_series(film, tape)
                yield Bridge(body.name, f"{area * 1e-2:.1f} cm2 {where}, {told}", joint * area * 1e-6)
