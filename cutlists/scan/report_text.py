"""The report of a scan as plain text: how it lies, how well it fits, line by line and station by station."""

from __future__ import annotations

import math
from collections.abc import Iterator
from textwrap import wrap

from cutlists.scan.survey_file import number
from model.scan.survey_scan import ScanReport
from model.scan.units import NAMES
from parts.lengths import UNITS, format_length

WIDTH = 100
CAUTION = (
    "A scan is no better than its coverage. Errors are standard errors of the fit, one in three is larger; "
    "they do not know of a scanner out of true. Tape the length, the beam and some heights, and compare, "
    "before metal is cut."
)


def report_text(report: ScanReport) -> str:
    """The whole report."""
    return "\n".join(_lines(report)) + "\n"


def _lines(report: ScanReport) -> Iterator[str]:
    yield f"Scan {' '.join(report.name.split())}"
    yield ""
    for line in (*report.summary(), *report.notes, *_ends(report), *_pose(report), *_others(report)):
        yield from wrap(line, WIDTH, subsequent_indent="    ")
    if report.findings:
        yield ""
        yield "To look after"
        for finding in report.findings:
            yield from wrap(f"  {finding}", WIDTH, subsequent_indent="    ")
    yield ""
    yield from stiffener_lines(report)
    yield ""
    yield from _by_line(report)
    yield ""
    yield from _by_station(report)
    yield ""
    yield from wrap(CAUTION, WIDTH)


def _ends(report: ScanReport) -> Iterator[str]:
    laid = report.lines.aligned
    sizes = [_size(size, report) for size in (laid.transom.breadth, laid.transom.depth)]
    yield f"transom: rake {math.degrees(report.rake):.2f} degrees, {' by '.join(sizes)} seen"
    if report.rake < -math.radians(0.5):
        yield "the top of the transom leans forward, which a boat file does not hold: it is written upright"
    if report.bow_rake is not None:
        yield f"bow plate: rake {math.degrees(report.bow_rake):.2f} degrees"


def _pose(report: ScanReport) -> Iterator[str]:
    laid = report.lines.aligned
    at = ", ".join(f"{value:.6g}" for value in laid.origin)
    yield f"in the file, in {NAMES[laid.unit]}: foot of the transom on the centreline at ({at})"
    for name, axis in zip(("forward", "port", "up"), laid.axes, strict=True):
        yield f"    {name:8} " + "  ".join(f"{value:+.6f}" for value in axis)


def _others(report: ScanReport) -> Iterator[str]:
    d = report.distances
    yield f"{d.proud} points stand proud of the skin (ribs, stringers, what lay in her)"
    yield f"{d.outliers} points lie elsewhere about her"


def stiffener_lines(report: ScanReport) -> Iterator[str]:
    """Ribs and stringers as told from the skin."""
    if not report.ribs and not report.stringers:
        yield "No ribs or stringers stand on the bottom, or none could be told from the skin."
    for rib in report.ribs:
        many = f"rib at {_size(rib.at, report)}"
        if rib.count > 1:
            many = f"{rib.count} ribs from {_size(rib.at, report)} every {_size(rib.every, report)}"
        missed = f", {rib.missed} of them not seen" if rib.missed else ""
        yield f"{many}{missed}: {_size(rib.height, report)} high, {_size(rib.width, report)} wide"
    for bar in report.stringers:
        run = f"{_size(bar.aft, report)} to {_size(bar.forward, report)}"
        size = f"{_size(bar.height, report)} high, {_size(bar.width, report)} wide"
        yield f"stringers {_size(bar.off, report)} off the centreline, {run}: {size}"


def _by_line(report: ScanReport) -> Iterator[str]:
    """Root mean square of the errors of each line."""
    yield "Standard error by line, rms over the stations, mm      half-breadth    height"
    for side in ("both", "port", "starboard"):
        for line in report.survey.lines:
            rows = [row for row in report.rows if row.line == line and row.side == side]
            if rows:
                out = math.sqrt(sum(row.half_breadth_error**2 for row in rows) / len(rows))
                up = math.sqrt(sum(row.height_error**2 for row in rows) / len(rows))
                yield f"    {side:10} {line:32} {out:14.1f} {up:12.1f}"


def _by_station(report: ScanReport) -> Iterator[str]:
    units = report.units
    head = ("station", "side", "line", "half-breadth", "height", "+/- mm", "+/- mm", "points")
    yield f"Lines by station, in {NAMES[units]}; the error of the half-breadth, then of the height, in mm"
    wide = (">9", "9", "16", ">12", ">9", ">7", ">6", ">6")
    yield "  ".join(f"{name:{width}}" for name, width in zip(head, wide, strict=True))
    for row in report.rows:
        sizes = [number(value, units) for value in (row.station, row.half_breadth, row.height)]
        yield (
            f"{sizes[0]:>9}  {row.side:9}  {row.line[:16]:16}  {sizes[1]:>12}  {sizes[2]:>9}"
            f"  {row.half_breadth_error:7.1f}  {row.height_error:6.1f}  {row.points:6.0f}"
        )


def _size(mm: float, report: ScanReport) -> str:
    """A length in the unit written, as the shop reads it."""
    return format_length(mm, report.units) if report.units in UNITS else f"{mm:.1f} mm"
