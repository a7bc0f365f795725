"""Bevel cards: for each sheet edge along the hull, the angle to cut it at every few inches."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.bevels import BevelRun, bevel_runs
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

STEP = {"in": 152.4, "mm": 150.0}
COLUMNS = ("mark", "piece", "edge", "along", "along mm", "from transom mm", "to port mm", "bevel deg")


@dataclass(frozen=True, eq=False)
class BevelCard:
    """One edge of a sheet: its piece mark, which edge, and the run along the hull."""

    mark: str
    edge: str
    run: BevelRun

    @property
    def letter(self) -> str:
        """Of the edge, by which it is asked for."""
        return self.edge.partition(",")[0]

    def told(self, units: str) -> str:
        """Distances along the edge with their angles, such as `0": 20.8, 6": 21.0`."""
        return ", ".join(
            f"{format_length(at, units)}: {math.degrees(bevel) + 0.0:.1f}"
            for at, bevel in zip(self.run.at.tolist(), self.run.bevel.tolist(), strict=True)
        )


def bevel_cards(boat: Boat) -> list[BevelCard]:
    """A card for each edge of a flat sheet that follows the hull, pieces in the boat's order.

    Edges of a piece are lettered from its after end; port before starboard.
    """
    step = STEP["in" if boat.units in ("in", "ft") else "mm"]
    found = []
    for panel in boat.panels:
        runs = bevel_runs(panel, boat.hull, boat.layout.hull_gap, step)
        runs.sort(key=lambda run: (round(float(run.points[0, 0]), 1), -round(float(run.points[0, 1]), 1)))
        for number, run in enumerate(runs):
            found.append(
                BevelCard(boat.marks[panel.name], f"{chr(ord('a') + number % 26)}, {_side(run)}", run)
            )
    return found


def _side(run: BevelRun) -> str:
    y = float(run.points[:, 1].mean())
    return "port" if y > 1.0 else "starboard" if y < -1.0 else "middle"


def bevel_csv(cards: list[BevelCard], units: str) -> str:
    """The cards as CSV (RFC 4180), a row for each place."""
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(COLUMNS)
    for card in cards:
        run = card.run
        for at, point, bevel in zip(run.at.tolist(), run.points.tolist(), run.bevel.tolist(), strict=True):
            out.writerow([
                card.mark, run.name, card.edge, format_length(at, units), round(at, 1), round(point[0], 1),
                round(point[1], 1), round(math.degrees(bevel), 2) + 0.0,
            ])  # fmt: skip
    return text.getvalue()
