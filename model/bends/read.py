"""The `bends:` entries of a boat file to flanges; what cannot be bent so is told as a fault."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from model.bends.edges import CurvedEdgeError, Span, edges_looking, edges_of_hole, sides_of
from model.bends.flange import Flange
from model.bends.fold import mitres
from model.bends.profile import Turn
from model.bends.turns import TurnReader
from model.bends.wall_corner import CornerError, WallCorner, corner_between, out_of, with_edge_moved
from parts.faults import did_you_mean

if TYPE_CHECKING:
    from model.boatfile.bends_schema import FlangeEntry
    from model.boatfile.numbers import Key
    from model.layout.context import Context
    from model.layout.records import Layout
    from model.panel import Panel

_SAME = 0.01


class FlangeReader:
    """Reads the flanges of one piece; faults are noted in the context's numbers."""

    def __init__(
        self, context: Context, layout: Layout, panel: Panel, others: Mapping[str, Panel] | None = None
    ) -> None:
        """Reads for one piece; `others` are the flat pieces by name, in whose place a flange may stand."""
        self.context, self.layout, self.panel = context, layout, panel
        self.turns = TurnReader(context, panel.sheet)
        self.others: Mapping[str, Panel] = others or {}
        self.taken: dict[str, tuple[WallCorner, float]] = {}

    def flanges(self, entries: list[FlangeEntry]) -> list[Flange]:
        """The flanges of all entries of the piece."""
        found: list[Flange] = []
        paths: list[tuple[Key, ...]] = []
        for i, entry in enumerate(entries):
            path: tuple[Key, ...] = ("bends", self.panel.name, i)
            if entry.takes is not None:
                found += self._in_place_of(entry, entry.takes, path)
                paths += [path] * (len(found) - len(paths))
                continue
            turns, spans = self.turns.of_flange(entry, path), self._spans(entry, path)
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

    def _in_place_of(self, entry: FlangeEntry, name: str, path: tuple[Key, ...]) -> list[Flange]:
        """The flange that takes the place of a wall; the piece's own edge goes out to its mould line."""
        told = [key for key in ("height", "turn", "opening", "returns") if getattr(entry, key)]
        if told or entry.edge is None or entry.corner == "mitre":
            wrong, right = "a flange that takes a wall's place goes by that wall", "give just edge and radius"
            self.context.fault(path, wrong, right)
            return []
        other = self.others.get(name)
        if other is None or name == self.panel.name or name in self.context.entry.bends:
            wrong = f"there is no flat sheet piece '{name}'" if other is None else f"{name} is bent itself"
            right = did_you_mean(name, self.others) if other is None else "name a wall that is left flat"
            self.context.fault((*path, "takes"), wrong, right)
            return []
        spans, radius = self._side(entry.edge, path), self.turns.radius(entry.radius, path)
        if len(spans) != 1 or math.isnan(radius):
            return []
        try:
            corner = corner_between(self.panel, spans[0], other)
        except CornerError as error:
            self.context.fault((*path, "takes"), error.wrong, error.right)
            return []
        self.panel = with_edge_moved(self.panel, spans[0], corner.out)
        self.taken[name] = corner, radius
        turn = Turn(corner.height, corner.angle, radius)
        if not self.turns.fits(turn, None, (*path, "takes")):
            return []
        start, end = np.array(spans[0]) + corner.out * out_of(spans[0])
        return [
            Flange(
                f"{entry.edge} flange", start, end, turn.height, turn.angle, radius,
                self.panel.sheet.thickness, self.turns.bending.k(self.panel.sheet), corner.up,
            )
        ]  # fmt: skip

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
            self.turns.bending.k(sheet), entry.turn == "face", turns[1:], gap,
        )  # fmt: skip

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
