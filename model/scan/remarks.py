"""What is to be told of a scan: what was found and decided, and what to look after."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from model.findings import Finding
from model.scan.asked import Asked
from model.scan.lines import Lines
from model.scan.stations import ABOUT, FEW, Gap
from model.scan.to_survey import Surveyed
from model.scan.units import NAMES

SLIGHT = 0.1
"""Rad by which a section must turn at a line that is to be found well."""
UNSURE = 12.0
"""Millimetres of standard error along the skin from which a line is only guessed."""
POOR_MIRROR = 0.75
ROUGH = 8.0
SPARSE = 9_000


def notes_of(lines: Lines, asked: Asked) -> Iterator[str]:
    """What was found of the scan's pose, and decided."""
    laid = lines.aligned
    sized = asked.length is not None or asked.beam is not None
    how = "as told" if asked.units else "by the size told" if sized else "guessed"
    yield f"the scan is in {NAMES[laid.unit]} ({how}): {lines.span[1]:.0f} mm from transom to forward end"
    if laid.upside:
        yield "z pointed down in the file; the scan was turned over"
    if laid.floor:
        yield "a floor or walls were found about the hull and left out"
    if asked.half is not None:
        yield f"only the {asked.half} side was scanned; the other is its mirror image about its straight edge"
    level = "the straight run of the keel lies level" if asked.level == "keel" else "upright as --up says"
    yield f"baseline: {level}"
    rms, most, at = lines.unevenness
    if asked.half is None:
        kept = "they are kept apart" if lines.sides else "they are taken as alike"
        off = f"{rms:.1f} mm (rms), {most:.1f} mm at most, at {at:.0f} mm"
        yield f"port and starboard differ by {off}; {kept}"
    bowed = [lines.names[panel] for panel, free in enumerate(lines.both.bends) if free]
    if bowed:
        yield f"bowed above {', '.join(bowed)}: points between the lines are surveyed there"


def findings_of(
    lines: Lines,
    rows: tuple[Surveyed, ...],
    seen_gaps: tuple[Gap, ...],
    left_out: list[float],
    near: dict[tuple[float, int], float],
    stations: tuple[float, ...],
    cut_off: float,
    lost: dict[float, frozenset[int]],
) -> Iterator[Finding]:
    """What to look after.

    Args:
        lines: of the scan.
        rows: as surveyed.
        seen_gaps: what was not seen.
        left_out: stations.
        near: points by station and line.
        stations: that are surveyed.
        cut_off: forward of the last of them, mm.
        lost: lines left out, by station.
    """
    yield from _not_surveyed(lines, seen_gaps, left_out, stations, cut_off, lost)
    yield from _doubtful(lines, rows, near, stations)
    yield from _poor(lines)


def _not_surveyed(
    lines: Lines,
    seen_gaps: tuple[Gap, ...],
    left_out: list[float],
    stations: tuple[float, ...],
    cut_off: float,
    lost: dict[float, frozenset[int]],
) -> Iterator[Finding]:
    if cut_off > 0.0:
        what = f"the last {cut_off:.0f} mm forward are not surveyed: the lines run together there"
        yield Finding("scan", ("bow",), what, "add the end of the stem to the survey by tape", short=cut_off)
    for k, name in enumerate(lines.names):
        out = [station for station in stations if k in lost[station]]
        if out:
            what = f"'{name}' runs out: from {out[0]:.0f} mm on the section turns too little there to find it"
            yield Finding("scan", (name,), what, "where it does run on, add it by tape")
    for station in left_out:
        what = f"the station at {station:.0f} mm is left out"
        yield Finding(
            "scan", ("stations",), what, "too little of the hull was seen there; measure it by tape"
        )
    for gap in seen_gaps:
        what = f"nothing was seen of {gap.panel} from {gap.aft:.0f} to {gap.forward:.0f} mm"
        yield Finding(
            "scan",
            (gap.panel,),
            what,
            "the lines run on smoothly there; check them by tape",
            short=gap.forward - gap.aft,
        )


def _doubtful(
    lines: Lines,
    rows: tuple[Surveyed, ...],
    near: dict[tuple[float, int], float],
    stations: tuple[float, ...],
) -> Iterator[Finding]:
    for station in stations:
        # An end has neighbours on one side only.
        least = FEW / 2.0 if station in (stations[0], stations[-1]) else FEW
        few = [name for k, name in enumerate(lines.names) if near[station, k] < least]
        if few:
            what = f"few points within {ABOUT:.0f} mm of the station at {station:.0f} mm: {', '.join(few)}"
            yield Finding("scan", tuple(few), what, "check the station by tape")
    for k, name in enumerate(lines.names[1:-1]):
        slight = {x for x in stations if lines.skin.turns(np.array([x]))[0, k] < SLIGHT}
        own = [row for row in rows if row.line == name]
        unsure = sorted(
            {row.station for row in own if max(row.half_breadth_error, row.height_error) > UNSURE} | slight
        )
        if unsure:
            where = f"{min(unsure):.0f} to {max(unsure):.0f} mm" if len(unsure) > 1 else f"{unsure[0]:.0f} mm"
            what = f"the corner at '{name}' is too slight to be found well, at {where}"
            yield Finding(
                "scan",
                (name,),
                what,
                "the skin is right there, the line may lie some way along it; check by tape",
            )


def _poor(lines: Lines) -> Iterator[Finding]:
    laid = lines.aligned
    if lines.both.count < SPARSE:
        what = f"only {lines.both.count} points lie on the skin"
        yield Finding(
            "scan", ("skin",), what, "lines may be taken for others; give some 50 000 points or more"
        )
    if laid.share < POOR_MIRROR:
        what = f"only {laid.share:.0%} of the scan lies on its own mirror image"
        yield Finding("scan", ("centreline",), what, "see to the picture; crop away what is not the hull")
    if lines.both.noise > ROUGH:
        what = f"the points stray {lines.both.noise:.1f} mm from the skin"
        yield Finding("scan", ("skin",), what, "see to the picture; scan again where the lines matter")
    if laid.transom.count == 0:
        yield Finding(
            "scan", ("transom",), "no transom was found; it is taken upright at its point", "measure its rake"
        )
    elif laid.transom.spread > max(2.0 * lines.both.noise, 5.0):
        what = f"the transom is not flat: {laid.transom.spread:.1f} mm off its plane"
        yield Finding("scan", ("transom",), what, "measure its rake on the centreline")
