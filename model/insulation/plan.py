"""Every insulated box that a boat file asks about: walls, what it holds and lets through, its foam."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from model.insulation.heat import BoxHeat, box_heat, ice_held
from model.insulation.pieces import FoamPiece, foam_pieces
from model.insulation.settings import BoxAsked
from model.insulation.walls import Wall, walls_of
from model.water.wells import LITRE, Inside, inside_of

if TYPE_CHECKING:
    from model.boat import Boat
    from model.layout.records import LockerPlan

QUART = 0.946352946
"""US liquid quart in litres, a quarter of a gallon of 231 cubic inches."""


@dataclass(frozen=True, eq=False)
class BoxPlan:
    """One insulated box.

    Attributes:
        locker: of the boat.
        asked: how it is insulated.
        walls: its faces.
        inside: what is inside the liner.
        heat: what it lets through.
        pieces: foam to cut for it.
    """

    locker: LockerPlan
    asked: BoxAsked
    walls: tuple[Wall, ...]
    inside: Inside
    heat: BoxHeat
    pieces: tuple[FoamPiece, ...]

    @property
    def name(self) -> str:
        """The locker's."""
        return self.locker.name

    @property
    def litres(self) -> float:
        """What it holds to its rim."""
        return self.inside.volume(self.inside.rim) / LITRE

    @property
    def quarts(self) -> float:
        """The same in US quarts."""
        return self.litres / QUART

    @property
    def ice_held(self) -> float:
        """Ice cubes that fill it, kg."""
        return ice_held(self.litres * LITRE)

    @property
    def foam_volume(self) -> float:
        """Of all its pieces of foam, mm3."""
        return sum(piece.volume for piece in self.pieces)


_MADE: WeakKeyDictionary[Boat, tuple[BoxPlan, ...]] = WeakKeyDictionary()
"""Boxes of the boats that are still in use: check, lists and packet ask for the same."""


def box_plans(boat: Boat) -> tuple[BoxPlan, ...]:
    """The boxes that the boat file tells of under `boxes`."""
    if boat not in _MADE:
        _MADE[boat] = tuple(_made(boat))
    return _MADE[boat]


def box_foam_volume(boat: Boat) -> float:
    """Foam in the walls of all of them, mm3."""
    return sum(plan.foam_volume for plan in box_plans(boat))


def _made(boat: Boat) -> list[BoxPlan]:
    found = []
    for locker in boat.layout.lockers.values():
        asked = next(
            (a for a in boat.boxes if a.locker in (locker.base, locker.name.partition(".")[2])), None
        )
        if asked is None or locker.floor is None:
            continue
        walls = walls_of(boat, locker, asked)
        inside = inside_of(boat, locker)
        heat = box_heat(boat, locker, asked, walls, inside.rim - inside.floor)
        found.append(BoxPlan(locker, asked, walls, inside, heat, foam_pieces(boat, locker, asked, walls)))
    return found
