"""Free-standing consoles with a sloping face, resolved to numbers."""

from __future__ import annotations

import math

import numpy as np

from model.boatfile.numbers import Key
from model.boatfile.schema import ConsoleEntry
from model.geometry import Array, Frame
from model.layout.context import Context, Copy, copies
from model.layout.edges import holds, rectangle
from model.layout.records import ConsolePlan
from model.layout.seat_box_plan import SECTION
from model.layout.surfaces import Surfaces
from parts.section import Section
from parts.sheet import Sheet

LEAST_SIDE = 3.0
"""Widths of the section that a side of a console's frame must have between its corners' outsides."""


def resolve_consoles(ctx: Context, surfaces: Surfaces) -> tuple[ConsolePlan, ...]:
    """The consoles of the file; faults are noted in the context."""
    found = []
    for key, entry in ctx.entry.consoles.items():
        path: tuple[Key, ...] = ("consoles", key)
        centre = ctx.numbers.point(entry.centre, *path, "centre")
        for copy in copies(ctx, key, entry.both_sides, None, float(centre[1]), *path):
            plan = _Console(ctx, surfaces, entry, copy, path).resolve(copy.placed(centre))
            if plan is not None:
                found.append(plan)
    return tuple(found)


class _Console:
    def __init__(
        self, ctx: Context, surfaces: Surfaces, entry: ConsoleEntry, copy: Copy, path: tuple[Key, ...]
    ) -> None:
        self.ctx, self.surfaces, self.entry, self.copy, self.path = ctx, surfaces, entry, copy, path

    def resolve(self, centre: Array) -> ConsolePlan | None:
        """The console at a plan point; None where faults leave nothing to build."""
        entry, path, numbers = self.entry, self.path, self.ctx.numbers
        base = self.surfaces.deck(entry.on, self.copy.hand, (*path, "on"))
        section = self.ctx.section(entry.section or SECTION, *path, "section")
        sheet = self.ctx.sheet(entry.sheet, *path, "sheet")
        names = ("length", "width", "height", "face_from")
        length, width, height, face_from = (numbers.positive(getattr(entry, k), *path, k) for k in names)
        angle = numbers.angle(entry.face_angle, *path, "face_angle")
        if section is None or sheet is None:
            return None
        if not np.isfinite([*centre, length, width, height, face_from, angle]).all():
            return None
        profile = self._profile(length, height, face_from, angle, section, sheet)
        if not self._wide_enough(width, section, sheet) or profile is None or base is None:
            return None
        at = np.array([centre[0] / base.frame.x[0], centre[1]])
        if not holds(base.area, rectangle(float(at[0]), float(at[1]), length, width), 0.01):
            wrong = f"the console stands over the edge of {base.base}"
            self.ctx.fault((*path, "centre"), wrong, "move it inward, or make it smaller")
            return None
        away = 1.0 if entry.faces == "aft" else -1.0
        frame = Frame.make(base.frame.to_boat(at), away * base.frame.x, base.frame.z)
        name = f"console.{self.copy.name}"
        return ConsolePlan(name, base.name, at, frame, profile, width, section, sheet, path)

    def _profile(
        self, length: float, height: float, face_from: float, angle: float, section: Section, sheet: Sheet
    ) -> Array | None:
        """Foot, back, top, face and front in (x, z), counter-clockwise from the foot of the front."""
        least = LEAST_SIDE * (section.width + sheet.thickness)
        for key, value in (("length", length), ("face_from", face_from)):
            if value < least:
                wrong = f"{self.ctx.text(value)} leaves no room for the console's own frame"
                self.ctx.fault((*self.path, key), wrong, f"give at least {self.ctx.text(least)}")
                return None
        if not 0.0 <= angle <= math.radians(80.0):
            wrong = f"the face cannot lean by {math.degrees(angle):g} degrees"
            self.ctx.fault((*self.path, "face_angle"), wrong, "give 0 for upright up to 80")
            return None
        if face_from > height - least * math.cos(angle):
            right = f"keep it {self.ctx.text(least)} or more below the top"
            self.ctx.fault((*self.path, "face_from"), "the slope starts too near the console's top", right)
            return None
        h, top = length / 2, -length / 2 + (height - face_from) * math.tan(angle)
        if top > h - least:
            right = "lessen the angle, raise face_from, or make the console longer"
            self.ctx.fault((*self.path, "face_angle"), "the sloping face leaves no top behind it", right)
            return None
        return np.array([(-h, 0.0), (h, 0.0), (h, height), (top, height), (-h, face_from)])

    def _wide_enough(self, width: float, section: Section, sheet: Sheet) -> bool:
        least = 2 * (section.height + sheet.thickness) + 2 * section.width
        if width < least:
            wrong = f"{self.ctx.text(width)} leaves no room for the console's own frame"
            self.ctx.fault((*self.path, "width"), wrong, f"give at least {self.ctx.text(least)}")
            return False
        return True
