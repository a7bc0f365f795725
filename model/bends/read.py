"""The `bends:` entries of a boat file to flanges; what cannot be bent so is told as a fault."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from model.bends.edges import CurvedEdgeError, Span, edges_looking, edges_of_hole, sides_of
from model.bends.flange import Flange
from model.bends.fold import mitres
from model.bends.profile import Turn
from parts.bending import Bending, least_radius, setback
from parts.faults import did_you_mean
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boatfile.bends_schema import FlangeEntry, ReturnEntry
    from model.boatfile.numbers import Key
    from model.layout.context import Context
    from model.layout.records import Layout
    from model.panel import Panel

LEAST_TURN, MOST_TURN = math.radians(5.0), math.radians(150.0)
"""A brake turns no further in one stroke, common practice."""

_SAME = 0.01


class FlangeReader:
    """Reads the flanges of one piece; faults are noted in the context's numbers."""

    def __init__(self, context: Context, layout: Layout, panel: Panel) -> None:
        """Reads for one piece."""
        self.context, self.layout, self.panel = context, layout, panel
        self.bending: Bending = context.catalogue.bending

    def flanges(self, entries: list[FlangeEntry]) -> list[Flange]:
        """The flanges of all entries of the piece."""
        found: list[Flange] = []
        paths: list[tuple[Key, ...]] = []
        for i, entry in enumerate(entries):
            path: tuple[Key, ...] = ("bends", self.panel.name, i)
            turns, spans = self._turns(entry, path), self._spans(entry, path)
            gap = self._mitre_gap(entry, path)
            if turns is None:
                continue
            own = [self._flange(entry, turns, span, gap) for span in spans]
            if any(_on_one_edge(mine, other) for mine in own for other in found):
                self.context.fault(path, "this edge is bent already", "leave one of the two out")
                continue
            paths += [path] * len(own)
            found += own
        self._check_mitres(found, paths)
        return found

    def _mitre_gap(self, entry: FlangeEntry, path: tuple[Key, ...]) -> float | None:
        """The gap at mitred corners; None where they are notched."""
        if entry.corner == "mitre":
            return self.context.gap(entry.corner_gap, "seam_gap", *path, "corner_gap")
        if entry.corner_gap is not None:
            wrong = "notched corners have no gap of their own"
            self.context.fault((*path, "corner_gap"), wrong, "add `corner: mitre`, or leave the gap out")
        return None

    def _check_mitres(self, flanges: list[Flange], paths: list[tuple[Key, ...]]) -> None:
        """Notes mitres that meet nothing, and corners whose two flanges do not match."""
        for own, path in zip(flanges, paths, strict=True):
            if own.mitre_gap is None:
                continue
            there = [k for k, other in enumerate(flanges) if other is not own and any(mitres(own, (other,)))]
            if not there:
                wrong = f"the {own.of} meets no other mitred flange in a corner that stands out"
                right = "give the flange beside it `corner: mitre` too, or leave it notched"
                self.context.fault((*path, "corner"), wrong, right)
            elif any(not _match(own, flanges[k]) for k in there if paths[k] <= path):
                wrong = f"the {own.of} and the flange round its corner are bent differently"
                right = "mitred flanges turn the same way, with the same angles, radii and returns"
                self.context.fault((*path, "corner"), wrong, right)

    def _flange(self, entry: FlangeEntry, turns: tuple[Turn, ...], span: Span, gap: float | None) -> Flange:
        of = f"lip of {entry.opening}" if entry.opening else f"{entry.edge} flange"
        sheet = self.panel.sheet
        return Flange(
            of, *span, turns[0].height, turns[0].angle, turns[0].radius, sheet.thickness,
            self.bending.k(sheet), entry.turn == "face", turns[1:], gap,
        )  # fmt: skip

    def _turns(self, entry: FlangeEntry, path: tuple[Key, ...]) -> tuple[Turn, ...] | None:
        """The flange's bend and its returns; None once a fault is noted."""
        told: list[tuple[FlangeEntry | ReturnEntry, tuple[Key, ...]]] = [(entry, path)]
        told += [(one, (*path, "returns", i)) for i, one in enumerate(entry.returns)]
        turns = [self._turn(one, where, one.turn == entry.turn) for one, where in told]
        if any(turn is None for turn in turns):
            return None
        found = tuple(turn for turn in turns if turn is not None)
        thickness = self.panel.sheet.thickness
        fits = [
            self._fits(turn, following, thickness, where)
            for turn, following, (_, where) in zip(found, (*found[1:], None), told, strict=True)
        ]
        return found if all(fits) else None

    def _fits(self, turn: Turn, following: Turn | None, thickness: float, path: tuple[Key, ...]) -> bool:
        """Whether a leg is high enough for the bends at its two ends; else a fault is noted."""
        least = setback(turn.angle, turn.radius, thickness)
        least += thickness if following is None else setback(following.angle, following.radius, thickness)
        if turn.height < least - 1e-9:
            wrong = f"a flange of {self.context.text(turn.height)} is too short for its "
            wrong += "bend" if following is None else "two bends"
            right = f"give {_up(least, self.context)} or more: "
            right += "the bend, and the sheet's thickness beyond it" if following is None else "both bends"
            self.context.fault((*path, "height"), wrong, right)
            return False
        if self.bending.flange is not None and turn.height < self.bending.flange - 1e-9:
            wrong = f"a flange of {self.context.text(turn.height)} is lower than the brake can hold"
            right = f"give {_up(self.bending.flange, self.context)} or more, or bend it elsewhere"
            self.context.fault((*path, "height"), wrong, right)
            return False
        return True

    def _turn(self, entry: FlangeEntry | ReturnEntry, path: tuple[Key, ...], onward: bool) -> Turn | None:
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
        return Turn(height, angle, radius, onward)

    def _radius(self, entry: FlangeEntry | ReturnEntry, path: tuple[Key, ...]) -> float:
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


def _match(one: Flange, other: Flange) -> bool:
    """Whether two flanges may be mitred where they meet: bent alike, and as high where they have returns."""
    if one.up != other.up or len(one.turns) != len(other.turns):
        return False
    pairs = list(zip(one.turns, other.turns, strict=True))
    alike = all(
        a.onward == b.onward and abs(a.angle - b.angle) < 1e-6 and abs(a.radius - b.radius) < 1e-6
        for a, b in pairs
    )
    return alike and all(abs(a.height - b.height) < _SAME for a, b in pairs[:-1])


def _up(length: float, context: Context) -> str:
    """A least length as text that is not below it: inches to the next 1/32, millimetres to the next tenth."""
    step = 25.4 / 32 if context.entry.units in ("in", "ft") else 0.1
    return format_length(math.ceil(length / step - 1e-6) * step, context.entry.units, 32)
