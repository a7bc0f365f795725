"""Heights, angles and inside radii of bends from a boat file; what sheet or brake cannot is a fault."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from model.bends.profile import Turn
from parts.bending import Bending, least_radius, setback
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boatfile.bends_schema import FlangeEntry, ReturnEntry
    from model.boatfile.numbers import Key
    from model.boatfile.values import Plain
    from model.layout.context import Context
    from parts.sheet import Sheet

LEAST_TURN, MOST_TURN = math.radians(5.0), math.radians(150.0)
"""A brake turns no further in one stroke, common practice."""


class TurnReader:
    """Reads bends of one sheet; faults are noted in the context's numbers."""

    def __init__(self, context: Context, sheet: Sheet) -> None:
        """Reads for one sheet, as the shop bends it."""
        self.context, self.sheet = context, sheet
        self.bending: Bending = context.catalogue.bending

    def of_flange(self, entry: FlangeEntry, path: tuple[Key, ...]) -> tuple[Turn, ...] | None:
        """The flange's bend and its returns; None once a fault is noted."""
        lacks = [key for key in ("height", "turn") if getattr(entry, key) is None]
        for key in lacks:
            self.context.fault(path, f"the flange has no {key}", f"give `{key}`, or the wall that it `takes`")
        if lacks:
            return None
        told: list[tuple[FlangeEntry | ReturnEntry, tuple[Key, ...]]] = [(entry, path)]
        told += [(one, (*path, "returns", i)) for i, one in enumerate(entry.returns)]
        turns = [self._turn(one, where, one.turn == entry.turn) for one, where in told]
        if any(turn is None for turn in turns):
            return None
        found = tuple(turn for turn in turns if turn is not None)
        fits = [
            self.fits(turn, following, (*where, "height"))
            for turn, following, (_, where) in zip(found, (*found[1:], None), told, strict=True)
        ]
        return found if all(fits) else None

    def fits(self, turn: Turn, following: Turn | None, path: tuple[Key, ...]) -> bool:
        """Whether a leg is high enough for the bends at its two ends; else a fault is noted."""
        thickness = self.sheet.thickness
        least = setback(turn.angle, turn.radius, thickness)
        least += thickness if following is None else setback(following.angle, following.radius, thickness)
        if turn.height < least - 1e-9:
            wrong = f"a flange of {self.context.text(turn.height)} is too short for its "
            wrong += "bend" if following is None else "two bends"
            right = f"give {rounded_up(least, self.context)} or more: "
            right += "the bend, and the sheet's thickness beyond it" if following is None else "both bends"
            self.context.fault(path, wrong, right)
            return False
        if self.bending.flange is not None and turn.height < self.bending.flange - 1e-9:
            wrong = f"a flange of {self.context.text(turn.height)} is lower than the brake can hold"
            right = f"give {rounded_up(self.bending.flange, self.context)} or more, or bend it elsewhere"
            self.context.fault(path, wrong, right)
            return False
        return True

    def _turn(self, entry: FlangeEntry | ReturnEntry, path: tuple[Key, ...], onward: bool) -> Turn | None:
        """Height, angle and radius; None once a fault is noted."""
        numbers = self.context.numbers
        height = numbers.positive(entry.height or 0, *path, "height")
        angle = numbers.angle(entry.angle, *path, "angle")
        radius = self.radius(entry.radius, path)
        if math.isnan(height + angle + radius):
            return None
        if not LEAST_TURN <= angle <= MOST_TURN:
            wrong = f"{math.degrees(angle):g} degrees cannot be bent"
            self.context.fault((*path, "angle"), wrong, "give the turn from flat, 5 to 150 degrees")
            return None
        return Turn(height, angle, radius, onward)

    def radius(self, asked: Plain | None, path: tuple[Key, ...]) -> float:
        """The inside radius, nan once a fault is noted."""
        sheet, text = self.sheet, self.context.text
        least = least_radius(sheet.alloy.name, sheet.thickness)
        if asked is not None:
            radius = self.context.numbers.not_negative(asked, *path, "radius")
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
            right = f"give {rounded_up(least, self.context)} or more, {least / sheet.thickness:g} thicknesses"
            self.context.fault(path, wrong, right)
            return math.nan
        return radius


def rounded_up(length: float, context: Context) -> str:
    """A least length as text that is not below it: inches to the next 1/32, millimetres to the next tenth."""
    step = 25.4 / 32 if context.entry.units in ("in", "ft") else 0.1
    return format_length(math.ceil(length / step - 1e-6) * step, context.entry.units, 32)
