"""Corners of every nested piece, measured from one corner of the sheet, for laying out by hand."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from cutlists.nests.records import NestPlan, Placement, SheetNest
from parts.lengths import format_fraction
from parts.outline import Loop

COLUMNS = (
    "sheet",
    "number",
    "cut from",
    "mark",
    "piece",
    "face",
    "line",
    "corner",
    "x",
    "y",
    "x mm",
    "y mm",
    "to the next",
    "radius mm",
    "through x mm",
    "through y mm",
)
"""Headings of the CSV file. An arc runs to the next corner through the point named, its middle."""
HOW = (
    "x runs along the length, y across, both from the low left corner of the sheet; corners in order",
    "round the piece, back to the first. Fractions to 1/{denominator} in for the tape; mm to 0.01.",
)


@dataclass(frozen=True)
class Corner:
    """A corner on the sheet, mm; the edge to the next is straight, or an arc of `radius` through `middle`."""

    x: float
    y: float
    radius: float | None
    middle: tuple[float, float] | None


def corners_of(loop: Loop) -> list[Corner]:
    """Corners in order from the one nearest the sheet's low corner, counter-clockwise."""
    loop = loop.ccw()
    first = int(np.lexsort((loop.points[:, 0], np.round(loop.points.sum(axis=1), 6)))[0])
    ahead = np.roll(loop.points, -1, axis=0) - loop.points
    chord = np.hypot(ahead[:, 0], ahead[:, 1])
    found = []
    for i in np.roll(np.arange(len(loop.points)), -first):
        bulge = float(loop.bulges[i])
        x, y = (float(value) for value in loop.points[i])
        if bulge == 0.0:
            found.append(Corner(x, y, None, None))
        else:
            radius = float(chord[i]) * (1 + bulge**2) / (4 * abs(bulge))
            found.append(Corner(x, y, radius, (float(loop.apexes[i, 0]), float(loop.apexes[i, 1]))))
    return found


def _numbered(plan: NestPlan) -> Iterator[tuple[str, int, SheetNest]]:
    for material in plan.materials:
        for number, nest in enumerate(material.sheets, start=1):
            yield material.sheet, number, nest


def _lines(placement: Placement) -> Iterator[tuple[str, list[Corner]]]:
    outline, *holes = placement.loops
    yield "outline", corners_of(outline)
    for k, hole in enumerate(holes, start=1):
        yield f"opening {k}", corners_of(hole)


def ordinates_csv(plan: NestPlan, denominator: int = 16) -> str:
    """All corners as CSV, one a row."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    for sheet, number, nest in _numbered(plan):
        for placement in nest.placements:
            piece = placement.piece
            head = [
                sheet,
                number,
                nest.stock.label,
                piece.mark,
                piece.name,
                "down" if placement.flipped else "up",
            ]
            for line, corners in _lines(placement):
                for k, corner in enumerate(corners, start=1):
                    rows.writerow([*head, line, k, *_cells(corner, denominator)])
    return out.getvalue()


def _cells(corner: Corner, denominator: int) -> list[str]:
    arc = corner.radius is not None and corner.middle is not None
    return [
        format_fraction(corner.x, denominator),
        format_fraction(corner.y, denominator),
        f"{corner.x:.2f}",
        f"{corner.y:.2f}",
        "arc" if arc else "straight",
        f"{corner.radius:.2f}" if corner.radius is not None else "",
        *([f"{value:.2f}" for value in corner.middle] if corner.middle is not None else ["", ""]),
    ]


def ordinates_text(plan: NestPlan, denominator: int = 16) -> str:
    """All corners as text of at most 100 columns, sheet by sheet."""
    found = [line.format(denominator=denominator) for line in HOW]
    for sheet, number, nest in _numbered(plan):
        title = f"{sheet}, sheet {number}: {nest.stock.label}"
        found += ["", "", title, "=" * len(title)]
        for placement in nest.placements:
            face = ", face down" if placement.flipped else ""
            found += ["", f"{placement.piece.mark}  {placement.piece.name}{face}"[:100]]
            for line, corners in _lines(placement):
                found.append(f"  {line}")
                found += [f"    {_said(k, corner, denominator)}" for k, corner in enumerate(corners, start=1)]
    return "\n".join(line.rstrip() for line in found) + "\n"


def _said(k: int, corner: Corner, denominator: int) -> str:
    x, y = (format_fraction(value, denominator) for value in (corner.x, corner.y))
    text = f"{k:>3}  x {x:>11}  y {y:>11}   {corner.x:>9.2f} {corner.y:>9.2f} mm"
    if corner.radius is None or corner.middle is None:
        return text
    through = f"{corner.middle[0]:.2f} {corner.middle[1]:.2f}"
    return f"{text}   arc r {corner.radius:.2f} through {through}"
