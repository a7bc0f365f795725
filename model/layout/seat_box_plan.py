"""Seat boxes: small decks on posts, each with a lid, that stand on a deck."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from shapely import Polygon

from model.boatfile.numbers import Key
from model.boatfile.schema import OpeningEntry, SeatBoxEntry
from model.geometry import Array
from model.layout.context import Context, Copy, copies
from model.layout.edges import OUTLINE, Edge, holds, rectangle
from model.layout.frame_rules import span
from model.layout.opening_drawing import DeckShape
from model.layout.opening_plan import resolve_opening
from model.layout.records import DeckPlan, FrameRules, Opening, RiserPlan
from model.layout.surfaces import Surfaces
from parts.lengths import UNITS
from parts.section import Section
from parts.sheet import Sheet

SECTION = "square-1x1x0.125"
"""What boxes and consoles are framed of unless the file says."""

NO_POSTS_BETWEEN = 1e6
"""Seat boxes stand on the posts at their corners."""


def resolve_seat_boxes(ctx: Context, surfaces: Surfaces) -> dict[str, DeckPlan]:
    """The seat boxes of the file by name (`seat.stern`); faults are noted in the context."""
    found: dict[str, DeckPlan] = {}
    for key, entry in ctx.entry.seat_boxes.items():
        path: tuple[Key, ...] = ("seat_boxes", key)
        centre = ctx.numbers.point(entry.centre, *path, "centre")
        for copy in copies(ctx, key, entry.both_sides, entry.every, float(centre[1]), *path):
            box_plan = _SeatBox(ctx, surfaces, entry, key, copy, path).resolve(copy.placed(centre))
            if box_plan is not None:
                found[box_plan.name] = box_plan
    return found


class _SeatBox:
    def __init__(
        self,
        ctx: Context,
        surfaces: Surfaces,
        entry: SeatBoxEntry,
        key: str,
        copy: Copy,
        path: tuple[Key, ...],
    ) -> None:
        self.ctx, self.surfaces, self.entry = ctx, surfaces, entry
        self.key, self.copy, self.path = key, copy, path

    def resolve(self, centre: Array) -> DeckPlan | None:
        """The box at a plan point; None where faults leave nothing to build."""
        entry, path, numbers = self.entry, self.path, self.ctx.numbers
        base = self.surfaces.deck(entry.on, self.copy.hand, (*path, "on"))
        section = self.ctx.section(entry.section or SECTION, *path, "section")
        sheet = self.ctx.sheet(entry.sheet, *path, "sheet")
        sizes = [
            numbers.positive(getattr(entry, k), *path, k) for k in ("length", "width", "height", "border")
        ]
        if section is None or sheet is None or not np.isfinite([*centre, *sizes]).all():
            return None
        if not self._holds_its_frame(sizes, section, sheet) or base is None:
            return None
        u, v = float(centre[0] / base.frame.x[0]), float(centre[1])
        area = rectangle(u, v, sizes[0], sizes[1])
        if not holds(base.area, area, 0.01):
            wrong = f"the box stands over the edge of {base.base}"
            self.ctx.fault((*path, "centre"), wrong, "move it inward, or make it smaller")
            return None
        return self._plan(base, section, sheet, area, sizes)

    def _holds_its_frame(self, sizes: list[float], section: Section, sheet: Sheet) -> bool:
        """Notes a box too small for its frame, or a border that leaves no opening."""
        length, width, height, border = sizes
        least = 4 * (section.width + sheet.thickness)
        if min(length, width) < least or height < section.height + 2 * sheet.thickness:
            sides, upright = self.ctx.text(least), self.ctx.text(section.height + 2 * sheet.thickness)
            self.ctx.fault(
                self.path,
                "the box is too small for its own frame",
                f"make its sides over {sides}, its height over {upright}",
            )
            return False
        if 2 * border > min(length, width) - section.width:
            right = f"give less than {self.ctx.text((min(length, width) - section.width) / 2)}"
            self.ctx.fault((*self.path, "border"), "the border leaves no opening in the box", right)
            return False
        return True

    def _plan(
        self, base: DeckPlan, section: Section, sheet: Sheet, area: Polygon, sizes: list[float]
    ) -> DeckPlan:
        middle, thick = area.centroid, 2 * sheet.thickness
        inside = rectangle(middle.x, middle.y, sizes[0] - thick, sizes[1] - thick)
        edge, held = (Edge.outline(np.array(shape.exterior.coords)[:-1]) for shape in (area, inside))
        name = f"seat.{self.copy.name}"
        beams = span(self.ctx, None, "beam_span", section, self.path)
        return DeckPlan(
            name=name,
            base=self.key,
            hand=self.copy.hand,
            frame=base.frame.moved(dz=sizes[2]),
            sheet=sheet,
            edges={OUTLINE: edge},
            area=area,
            frame_edges={OUTLINE: held},
            frame_area=inside,
            ledger_gap=0.0,
            openings=tuple(self._opening(name, base, sheet, area, edge, sizes)),
            risers=(RiserPlan(OUTLINE, sheet, base.name, None, self.path),),
            rules=FrameRules(section, section, "athwart", beams, NO_POSTS_BETWEEN, True, ()),
            stands_on=base.name,
            path=self.path,
            hull_gap=base.hull_gap,
        )

    def _opening(
        self, name: str, base: DeckPlan, sheet: Sheet, area: Polygon, edge: Edge, sizes: list[float]
    ) -> list[Opening]:
        """The opening under the box's lid, within its border."""
        pitch, unit = float(base.frame.x[0]), UNITS[self.ctx.entry.units]
        length, width, _, border = sizes
        middle = area.centroid
        entry = OpeningEntry(
            centre=[middle.x * pitch / unit, middle.y / unit],
            length=(length - 2 * border) / unit,
            width=(width - 2 * border) / unit,
            radius=self.entry.radius,
            lid=self.entry.lid,
            hinge=self.entry.hinge,
            opens=self.entry.opens,
            strut=self.entry.strut,
        )
        shape = DeckShape(name, area, {OUTLINE: edge}, pitch, sheet, False)
        found = resolve_opening(self.ctx, shape, "lid", entry, *self.path)
        return [replace(opening, path=self.path) for opening in found]
