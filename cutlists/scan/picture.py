"""The sections of a scan as a picture: points as they were scanned, and the lines fitted to them."""

from __future__ import annotations

import numpy as np

from cutlists.drawing.drawing import GREY, Drawing, Pen
from cutlists.drawing.onto import Onto
from model.geometry import Array
from model.scan.cloud import picked
from model.scan.survey_scan import ScanReport
from model.scan.to_survey import Shape, at_end, bowed_shares

WIDE, TALL = 279.4, 215.9
MARGIN = 10.0
MOST = 16
NEAR = 25.0
DOT = np.array([0.15, 0.0])
DOTS = 450
SCANNED = Pen(0.3, "#7a9cc0")
FITTED = Pen(0.18, "#b03020")
CENTRE = Pen(0.1, GREY, (3.0, 1.0))


def sections_svg(report: ScanReport) -> str:
    """Every section with the scan's points near it, and the lines from the side and from above; one sheet."""
    drawing = Drawing(WIDE, TALL, f"Sections of {report.name}")
    name = " ".join(report.name.split())
    summary = report.summary()
    drawing.text(MARGIN, MARGIN + 3.0, f"{name}: sections, seen from aft", 4.0, bold=True)
    drawing.text(MARGIN, MARGIN + 8.0, summary[0], 2.6)
    stations = list(report.survey.stations)
    if len(stations) > MOST:
        stations = [stations[round(k)] for k in np.linspace(0, len(stations) - 1, MOST)]
    columns = 3 if len(stations) <= 9 else 4
    rows = -(-len(stations) // columns)
    width = (WIDE - 2.0 * MARGIN) / columns
    height = (TALL - 2.0 * MARGIN - 62.0) / rows
    onto_size = _size(report)
    for k, station in enumerate(stations):
        left = MARGIN + (k % columns) * width
        top = MARGIN + 11.0 + (k // columns) * height
        onto = Onto.fit(*onto_size, (left + 2.0, top + 4.0, width - 4.0, height - 6.0))
        drawing.text(left + 2.0, top + 3.0, f"{station / 25.4:.1f} in, {station:.0f} mm", 2.4)
        _section(drawing, report, station, onto)
    _views(drawing, report, TALL - MARGIN - 50.0)
    return drawing.svg()


def _size(report: ScanReport) -> tuple[Array, Array]:
    points = report.survey.points
    breadth = max(p.half_breadth for p in points) + 25.0
    heights = [p.height for p in points]
    return np.array([-breadth, min(heights) - 25.0]), np.array([breadth, max(heights) + 25.0])


def _base(report: ScanReport) -> tuple[float, float]:
    """What leads from the scan's frame to the survey's: shift of x and of z."""
    laid = report.lines.aligned
    ahead = report.inset * float(np.hypot(1.0, laid.transom.lean))
    shape = Shape(report.lines.both, report.inset)
    keel = next(p.height for p in report.survey.points if p.line == report.survey.lines[0])
    return ahead, float(shape.corners(np.array([ahead]))[0, 0, 1]) - keel


def _section(drawing: Drawing, report: ScanReport, station: float, onto: Onto) -> None:
    """A section: what was scanned within `NEAR` of it, what was fitted, and the points of the survey."""
    ahead, base = _base(report)
    laid = report.lines.aligned
    first, last = report.survey.stations[0], report.survey.stations[-1]
    lean = laid.transom.lean if station == first else laid.bow.lean if station == last and laid.bow else 0.0
    away = laid.points[:, 0] - (station + ahead) - lean * (laid.points[:, 2] - base)
    if station == last and laid.bow:
        away = laid.bow.height(laid.points)
    clear = 24.0 + NEAR if station == first else 0.0
    near = laid.points[(np.abs(away - clear) < NEAR)]
    flat = picked(near, DOTS)[:, 1:] * [-1.0, 1.0] - [0.0, base]
    low, high = _size(report)
    inside = (np.abs(flat[:, 0]) < high[0]) & (flat[:, 1] > low[1]) & (flat[:, 1] < high[1])
    dots = onto.points(flat[inside])
    drawing.lines(np.stack([dots, dots + DOT], axis=1), SCANNED, "scanned")
    ys = [low[1] + 20.0, high[1] - 20.0]
    drawing.lines([onto.points([[0.0, ys[0]], [0.0, ys[1]]])], CENTRE)
    shares = bowed_shares(report.lines.both)
    for side, sign in (("port", -1.0), ("starboard", 1.0)):
        # Seen from aft, port lies to the left.
        shape = Shape(report.lines.fit(side), report.inset)
        curve = _curve(report, shape, station + ahead, lean, shares) - [0.0, base]
        drawing.lines([onto.points(curve * [sign, 1.0])], FITTED, "fitted")
    for point in report.survey.points:
        if point.station == station:
            for side, sign in (("port", -1.0), ("starboard", 1.0)):
                if point.side in ("both", side):
                    drawing.dot(onto.points([sign * point.half_breadth, point.height]), 0.5, Pen(0.15))


def _curve(
    report: ScanReport, shape: Shape, x: float, lean: float, shares: dict[int, tuple[float, ...]]
) -> Array:
    """A side's section from the keel up, bowed where it bows, `(n, 2)`."""
    found = []
    for line in range(len(report.survey.lines)):
        found.append(at_end(shape, x, lean, line, None)[0])
        if line in shares:
            found += [at_end(shape, x, lean, line, share)[0] for share in np.linspace(0.1, 0.9, 9)]
    return np.array(found)


def _views(drawing: Drawing, report: ScanReport, top: float) -> None:
    """The lines from port and from above, the gaps marked."""
    end = report.lines.span[1]
    ahead, base = _base(report)
    x = np.linspace(0.0, end, 200)
    low, high = _size(report)
    half = (WIDE - 2.0 * MARGIN) / 2.0
    side = Onto.fit([-100.0, low[1]], [end + 50.0, high[1]], (MARGIN, top + 5.0, half - 4.0, 42.0))
    plan = Onto.fit([-100.0, low[0]], [end + 50.0, high[0]], (MARGIN + half, top + 5.0, half - 4.0, 42.0))
    drawing.text(MARGIN, top + 3.0, "lines from the side, survey points on them", 2.6)
    drawing.text(MARGIN + half, top + 3.0, "from above; port above", 2.6)
    for which, sign in (("port", 1.0), ("starboard", -1.0)):
        corners = Shape(report.lines.fit(which), report.inset).corners(x + ahead)
        for line in range(corners.shape[1]):
            if sign > 0.0:
                drawing.lines([side.points(np.stack([x, corners[:, line, 1] - base], axis=1))], FITTED)
            drawing.lines([plan.points(np.stack([x, sign * corners[:, line, 0]], axis=1))], FITTED)
    for point in report.survey.points:
        drawing.dot(side.points([point.station, point.height]), 0.4, Pen(0.1))
        for which, sign in (("port", 1.0), ("starboard", -1.0)):
            if point.side in ("both", which):
                drawing.dot(plan.points([point.station, sign * point.half_breadth]), 0.4, Pen(0.1))
    for gap in report.gaps:
        ends = side.points([[gap.aft, low[1] + 10.0], [gap.forward, low[1] + 10.0]])
        drawing.lines([ends], Pen(1.0, "#d08000"), "not seen")
