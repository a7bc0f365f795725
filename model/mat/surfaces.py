"""The surfaces of a boat that can carry mat: decks, seat box tops, lids, upright faces, panels by name."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from model.flat_arcs import polygon_of
from model.geometry import Array, Frame
from model.panel import Panel

if TYPE_CHECKING:
    from model.boat import Boat
    from model.layout.records import DeckPlan, Opening

Kind = Literal["deck", "seat", "lid", "upright", "lining"]

SEAM = 5.0
"""Sheets of one face that stand this near each other carry one piece of mat, mm."""
_SAME_PLANE = 0.5


@dataclass(frozen=True, eq=False)
class Surface:
    """A flat face of the boat in its own frame: `area` in x, y, mm; z = 0 its face, z away from the metal.

    Attributes:
        name: `deck.front/top`, `deck.front/store.port/lid`, `deck.front/riser.aft.1`, or a panel's name.
        deck: name of the deck or seat box it belongs to, where it is part of one.
        metal: thickness of the sheet behind it, mm.
    """

    name: str
    kind: Kind
    frame: Frame
    area: BaseGeometry
    deck: str | None
    metal: float


def deck_tops(boat: Boat) -> list[Surface]:
    """The top of every deck and seat box, openings not taken out."""
    return [
        Surface(f"{deck.name}/top", _kind(deck), deck.frame, deck.area, deck.name, deck.sheet.thickness)
        for deck in boat.layout.decks.values()
    ]


def lid_tops(boat: Boat) -> list[Surface]:
    """The top of every lid, in the frame of its deck moved up to it."""
    found = []
    for deck in boat.layout.decks.values():
        for opening in deck.openings:
            if opening.lid is not None:
                frame = deck.frame.moved(dz=opening.lid.top)
                area = polygon_of(opening.lid.outline)
                found.append(Surface(f"{opening.name}/lid", "lid", frame, area, deck.name, 0.0))
    return found


def upright_faces(boat: Boat) -> list[Surface]:
    """The risers of decks and the sides of seat boxes; sheets side by side in one plane make one face."""
    found: list[Surface] = []
    for name in boat.layout.decks:
        own = [p for p in boat.panels if p.role == "riser" and p.name.startswith(f"{name}/")]
        found += [_face(group, name) for group in _in_one_plane(own)]
    return found


def linings(boat: Boat, names: Iterable[str]) -> list[Surface]:
    """The faces of panels by name; panels that are risers or decks are surfaces already and left out."""
    wanted = set(names)
    return [
        Surface(p.name, "lining", p.frame, p.polygon, None, p.sheet.thickness)
        for p in boat.panels
        if p.name in wanted and p.role not in ("deck", "seat", "riser")
    ]


def deck_opening(boat: Boat, surface: Surface) -> Opening:
    """The opening that a lid's surface closes."""
    found = boat.layout.opening(surface.name.removesuffix("/lid"))
    assert found is not None
    return found


def from_plan(frame: Frame, plan: Array) -> Array:
    """Plan points `(n, 2)` in a surface's x, y, straight above or below them; the surface is not upright."""
    axes = np.stack([frame.x[:2], frame.y[:2]])
    found: Array = (plan - frame.origin[:2]) @ np.asarray(np.linalg.inv(axes), dtype=np.float64)
    return found


def _kind(deck: DeckPlan) -> Kind:
    return "seat" if deck.name.startswith("seat.") else "deck"


def _in_one_plane(panels: list[Panel]) -> list[list[Panel]]:
    groups: list[list[Panel]] = []
    for panel in panels:
        for group in groups:
            first = group[0].frame
            if (
                float(first.z @ panel.frame.z) > 1 - 1e-9
                and abs(float(first.z @ (panel.frame.origin - first.origin))) < _SAME_PLANE
            ):
                group.append(panel)
                break
        else:
            groups.append([panel])
    return groups


def _face(panels: list[Panel], deck: str) -> Surface:
    first = panels[0]
    areas = [_moved_to(first.frame, panel) for panel in panels]
    whole = shapely.union_all(areas)
    if len(areas) > 1:
        whole = whole.buffer(SEAM / 2, join_style="mitre").buffer(-SEAM / 2, join_style="mitre")
    return Surface(first.name, "upright", first.frame, whole, deck, first.sheet.thickness)


def _moved_to(frame: Frame, panel: Panel) -> BaseGeometry:
    """The panel's outline in another frame of its plane whose axes are the same."""
    step = frame.to_frame(panel.frame.origin)
    return shapely.transform(panel.polygon, lambda points: np.asarray(points) + step[:2])
