"""The `bends:` entries of a boat file to flanges; what cannot be bent so is told as a fault."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.bends.edges import CurvedEdgeError, Span, edges_looking, edges_of_hole, sides_of
from model.bends.flange import Flange
from parts.bending import Bending, least_radius, setback
from parts.faults import did_you_mean
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boatfile.bends_schema import FlangeEntry
    from model.boatfile.numbers import Key
    from model.layout.context import Context
    from model.layout.records import Layout
    from model.panel import Panel

LEAST_TURN, MOST_TURN = math.radians(5.0), math.radians(150.0)
"""A brake turns no further in one stroke, common practice."""

_SAME = 0.01


@dataclass(frozen=True, eq=False, slots=True)
class _Turn:
    """How an entry is bent."""

    height: float
    angle: float
    radius: float


class FlangeReader:
    """Reads the flanges of one piece; faults are noted in the context's numbers."""

    def __init__(self, context: Context, layout: Layout, panel: Panel) -> None:
        """Reads for one piece."""
        self.context, self.layout, self.panel = context, layout, panel
        self.bending: Bending = context.catalogue.bending

    def flanges(self, entries: list[FlangeEntry]) -> list[Flange]:
        """The flanges of all entries of the piece."""
        found: list[Flange] = []
        for i, entry in enumerate(entries):
            path: tuple[Key, ...] = ("bends", self.panel.name, i)
            turn, spans = self._turn(entry, path), self._spans(entry, path)
            if turn is None:
                continue
            own = [self._flange(entry, turn, span) for span in spans]
            if any(_on_one_edge(mine, other) for mine in own for other in found):
                self.context.fault(path, "this edge is bent already", "leave one of the two out")
                continue
            found += own
        return found

    def _flange(self, entry: FlangeEntry, turn: _Turn, span: Span) -> Flange:
        of = f"lip of {entry.opening}" if entry.opening else f"{entry.edge} flange"
        sheet = self.panel.sheet
        return Flange(
            of, *span, turn.height, turn.angle, turn.radius, sheet.thickness, self.bending.k(sheet),
            entry.turn == "face",
        )  # fmt: skip

    def _turn(self, entry: FlangeEntry, path: tuple[Key, ...]) -> _Turn | None:
        """Height, angle and radius; None once a fault is noted."""
        numbers = self.context.numbers
        height = numbers.positive(entry.height, *path, "height")
        angle = numbers.angle(entry.angle, *path, "angle")
        radius = self._radius(entry, path)
        if math.isnan(height + angle + radius):
            return None
        if not LEAST_TURN <= angle <= MOST_TURN:
            wrong = f"{math.degrees(angle):g} degrees cannot be bent"
            self.context.fault((*path, "angle"), wrong, "give the turn from flat, 5 to 150 degrees")
            return None
        thickness, text = self.panel.sheet.thickness, self.context.text
        least = setback(angle, radius, thickness) + thickness
        if height < least - 1e-9:
            wrong = f"a flange of {text(height)} is too short for its bend"
            right = f"give {_up(least, self.context)} or more: the bend, and the sheet's thickness beyond it"
            self.context.fault((*path, "height"), wrong, right)
            return None
        return _Turn(height, angle, radius)

    def _radius(self, entry: FlangeEntry, path: tuple[Key, ...]) -> float:
        """The inside radius, nan once a fault is noted."""
        sheet, text = self.panel.sheet, self.context.text
        least = least_radius(sheet.alloy.name, sheet.thickness)
        if entry.radius is not None:
            radius = self.context.numbers.not_negative(entry.radius, *path, "radius")
            path = (*path, "radius")
        else:
            found = self.bending.radius(sheet)
            if found is None:
                wrong = f"no inside radius is known for {sheet.name}, {sheet.alloy.name}"
                right = "give `radius` here, or in the shop file under `bending: radii:`"
                self.context.fault(path, wrong, right)
                return math.nan
            radius = found
        if least is not None and radius < least - 1e-6:
            wrong = f"an inside radius of {text(radius)} may crack {sheet.alloy.name} of {sheet.name}"
            times = least / sheet.thickness
            self.context.fault(path, wrong, f"give {_up(least, self.context)} or more, {times:g} thicknesses")
            return math.nan
        return radius

    def _spans(self, entry: FlangeEntry, path: tuple[Key, ...]) -> list[Span]:
        """The edges an entry is about; empty once a fault is noted."""
        if (entry.edge is None) == (entry.opening is None):
            self.context.fault(path, "a flange needs one place", "give just one of edge, opening")
            return []
        return self._opening(entry.opening, path) if entry.opening else self._side(str(entry.edge), path)

    def _side(self, side: str, path: tuple[Key, ...]) -> list[Span]:
        name = self.panel.name
        try:
            found = edges_looking(self.panel, side)
        except CurvedEdgeError:
            wrong = f"the {side} edge of {name} is curved or has a corner in it"
            right = "a brake bends along one straight line: part the piece, or bend another edge"
            self.context.fault((*path, "edge"), wrong, right)
            return []
        if not found:
            sides = ", ".join(sides_of(self.panel)) or "none"
            self.context.fault(
                (*path, "edge"), f"no edge of {name} looks that way", f"it has straight edges: {sides}"
            )
        return found

    def _opening(self, name: str, path: tuple[Key, ...]) -> list[Span]:
        owner = self.panel.name.partition("/")[0]
        plan = self.layout.opening(f"{owner}/{name}")
        path = (*path, "opening")
        if plan is None:
            deck = self.layout.decks.get(owner)
            known = [o.name.rpartition("/")[2] for o in deck.openings] if deck else []
            right = did_you_mean(name, known) if known else "lips go round openings of a deck's sheet"
            self.context.fault(path, f"{owner} has no opening '{name}'", right)
            return []
        found = edges_of_hole(self.panel, plan.polygon)
        if found is None:
            wrong = f"opening '{name}' does not lie whole within {self.panel.name}"
            self.context.fault(path, wrong, "name the sheet that it is cut from, or move the seam off it")
        elif not found:
            self.context.fault(
                path, f"opening '{name}' has no straight edge", "a brake bends along straight edges only"
            )
        return found or []


def _on_one_edge(one: Flange, other: Flange) -> bool:
    return bool(abs(one.start - other.start).max() < _SAME and abs(one.end - other.end).max() < _SAME)


def _up(length: float, context: Context) -> str:
    """A least length as text that is not below it: inches to the next 1/32, millimetres to the next tenth."""
    step = 25.4 / 32 if context.entry.units in ("in", "ft") else 0.1
    return format_length(math.ceil(length / step - 1e-6) * step, context.entry.units, 32)
