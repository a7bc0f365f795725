"""The `hats:` of a boat file: where each one stands, what it butts against, and what a brake cannot make."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from model.bends.check import bend_findings
from model.bends.hat import Hat, HatShape, hat_piece
from model.bends.hat_seat import BlockedError, Run, Seat
from model.bends.turns import TurnReader, rounded_up
from model.findings import Finding
from model.geometry import Array
from model.layout.context import hands, with_hand
from parts.faults import did_you_mean

if TYPE_CHECKING:
    from model.boatfile.hats_schema import HatEntry
    from model.boatfile.numbers import Key
    from model.layout.context import Context
    from model.layout.records import Layout
    from model.member import Member
    from model.panel import Panel

LEAST_TURN, MOST_TURN = math.radians(45.0), math.radians(90.0)
"""Sides that lean out further make no hat; sides that lean in let no punch out."""

SHORTEST = 25.0
"""A hat with less than this between what it butts against is not made, mm."""

ASTRAY = 50.0
"""A point further than this off the piece it is told on is a mistake, mm."""

Placed = tuple[str, Seat, Array, Array]
"""Name of the piece, what it stands on, and both ends as told, in the seat's x, y."""


def hats_of(
    context: Context, layout: Layout, members: Sequence[Member], panels: Sequence[Panel]
) -> tuple[tuple[Hat, ...], tuple[Finding, ...]]:
    """The hats of a boat file, and the findings about them.

    Args:
        context: the file, whose faults are noted, and the catalogue with the shop's bending.
        layout: for decks.
        members: of the skeleton; a hat ends at those of its own deck.
        panels: flat pieces, folded or not.
    """
    reader = _HatReader(context, layout, members, {panel.name: panel for panel in panels})
    for name, entry in context.entry.hats.items():
        reader.read(name, entry)
    return tuple(reader.hats), tuple(reader.findings)


class _HatReader:
    def __init__(
        self, context: Context, layout: Layout, members: Sequence[Member], panels: dict[str, Panel]
    ) -> None:
        self.context, self.layout, self.members, self.panels = context, layout, members, panels
        self.hats: list[Hat] = []
        self.findings: list[Finding] = []

    def read(self, name: str, entry: HatEntry) -> None:
        """Adds what an entry stands for."""
        path: tuple[Key, ...] = ("hats", name)
        shape, placed = self._shape(entry, path), list(self._placed(name, entry, path))
        for piece, seat, start, end in placed if shape is not None else ():
            if shape is not None and np.isfinite([start, end]).all():
                self._add(piece, seat, start, end, shape, path)

    def _add(
        self, name: str, seat: Seat, start: Array, end: Array, shape: HatShape, path: tuple[Key, ...]
    ) -> None:
        if np.hypot(*(end - start)) < SHORTEST:
            self.context.fault((*path, "along"), "its ends are one point", "set them further apart")
            return
        try:
            run = seat.run(start, end, shape.half)
        except BlockedError as error:
            wrong = f"{error.name} lies across its middle"
            self.context.fault((*path, "along"), wrong, "give its ends on both sides of one bay")
            return
        if run.length < SHORTEST:
            wrong = f"only {self.context.text(run.length)} of it is left between the members it meets"
            self.context.fault((*path, "along"), wrong, "move it to where the frame leaves room")
            return
        at = seat.at(run)
        relief = self.context.catalogue.bending.relief_width(shape.sheet)
        piece = hat_piece(name, shape, at, run.length, relief)
        a, b = at.to_boat(np.array([(x, 0.0, shape.height / 2) for x in (0.0, run.length)]))
        self.hats.append(Hat(name, piece, shape.section(name), a, b, at.z, seat.of, run.meets, path))
        self._find(self.hats[-1], seat, run)

    def _find(self, hat: Hat, seat: Seat, run: Run) -> None:
        """What stands against one."""
        place = self.context.numbers.document.place(hat.path)
        own = list(bend_findings(hat.piece, self.context.catalogue.bending, self.context.entry.units))
        bare = seat.bare(run)
        if bare > 0.0:
            what = f"{bare * 1e-2:.0f} cm2 of it lie over no sheet of {hat.of}"
            cure = "end it at the edge of the sheet, or move it clear of the hole"
            own.append(Finding("sheet", (hat.name,), what, cure, hat.piece.centre))
        self.findings += (replace(finding, place=place) for finding in own)

    def _placed(self, name: str, entry: HatEntry, path: tuple[Key, ...]) -> Iterator[Placed]:
        """The pieces an entry stands for; none once a fault is noted."""
        points = [self.context.numbers.point(p, *path, "along", i) for i, p in enumerate(entry.along)]
        if (entry.under is None) == (entry.on is None):
            self.context.fault(path, "a hat stiffens one thing", "give just one of under, on")
        elif len({len(point) for point in points} - {2 if entry.under else 3}):
            right = "[x, y] below a deck" if entry.under else "[x, y, z] on a piece"
            self.context.fault((*path, "along"), "its ends are points of another kind", f"give two {right}")
        elif entry.under is not None:
            yield from self._below(name, entry, np.array(points), path)
        elif entry.both_sides:
            wrong, right = "a piece has one place", "tell the other hat by a name of its own"
            self.context.fault((*path, "both_sides"), wrong, right)
        else:
            yield from self._on(name, entry, np.array(points), path)

    def _below(self, name: str, entry: HatEntry, ends: Array, path: tuple[Key, ...]) -> Iterator[Placed]:
        base, middle = str(entry.under), float(ends[:, 1].mean())
        for hand, mirrored in hands(entry.both_sides, middle):
            y = -middle if mirrored else middle
            deck = self.layout.deck(base, "port" if y >= 0.0 else "starboard")
            if deck is None:
                decks = [d for d in self.layout.decks.values() if d.name.startswith("deck.")]
                known = dict.fromkeys(d.base for d in decks)
                self.context.fault((*path, "under"), f"there is no deck '{base}'", did_you_mean(base, known))
                return
            seat = Seat.below(deck, self.members)
            # in the deck's plane, which is seen from below
            flat = ends * [1.0 / float(deck.frame.x[0]), 1.0 if mirrored else -1.0]
            own = with_hand(f"{deck.name}/hat.{name}", None if deck.hand else hand)
            yield own, seat, flat[0], flat[1]

    def _on(self, name: str, entry: HatEntry, ends: Array, path: tuple[Key, ...]) -> Iterator[Placed]:
        panel = self.panels.get(str(entry.on))
        if panel is None:
            right = did_you_mean(str(entry.on), self.panels)
            self.context.fault((*path, "on"), f"there is no flat sheet piece '{entry.on}'", right)
            return
        seat = Seat.on(panel, entry.side == "face")
        flat = seat.frame.to_frame(ends)
        off = float(np.abs(flat[:, 2]).max())
        if off > ASTRAY:
            wrong = f"it is told {self.context.text(off)} off {panel.name}"
            self.context.fault((*path, "along"), wrong, "give two points on that piece")
            return
        owner = panel.name.partition("/")[0]
        yield f"{owner}/hat.{name}", seat, flat[0, :2], flat[1, :2]

    def _shape(self, entry: HatEntry, path: tuple[Key, ...]) -> HatShape | None:
        """Its shape across; None once a fault is noted."""
        numbers, sheet = self.context.numbers, self.context.sheet(entry.sheet, *path, "sheet")
        width = numbers.positive(entry.width, *path, "width")
        height = numbers.positive(entry.height, *path, "height")
        foot = 0.0 if entry.foot is None else numbers.positive(entry.foot, *path, "foot")
        angle = numbers.angle(entry.angle, *path, "angle")
        if sheet is None:
            return None
        radius = TurnReader(self.context, sheet).radius(entry.radius, path)
        if math.isnan(width + height + foot + angle + radius):
            return None
        if not LEAST_TURN - 1e-9 <= angle <= MOST_TURN + 1e-9:
            wrong = f"sides turned by {math.degrees(angle):g} degrees make no hat"
            self.context.fault((*path, "angle"), wrong, "give 45 to 90 degrees, 90 for upright sides")
            return None
        bending = self.context.catalogue.bending
        shape = HatShape(width, height, foot, angle, radius, sheet, bending.k(sheet))
        return shape if self._is_made(shape, path) else None

    def _is_made(self, shape: HatShape, path: tuple[Key, ...]) -> bool:
        """Whether there is room for every bend, and the brake holds every leg; else a fault is noted."""
        asked = [
            ("width", shape.width, shape.least_width, "web"),
            ("height", shape.height, shape.least_height, "side"),
        ]
        if shape.foot:
            asked.append(("foot", shape.foot, shape.least_foot, "foot"))
        held = self.context.catalogue.bending.flange or 0.0
        legs = {"height": shape.turns[0].height, "foot": shape.foot}
        good = True
        for key, given, least, what in asked:
            wrong = ""
            if given < least - 1e-9:
                wrong = f"a {what} of {self.context.text(given)} leaves no room for its bends"
            elif legs.get(key, held) < held - 1e-9:
                wrong, least = (
                    f"a {what} of {self.context.text(given)} is lower than the brake can hold",
                    held,
                )
            if wrong:
                self.context.fault((*path, key), wrong, f"give {rounded_up(least, self.context)} or more")
                good = False
        return good
