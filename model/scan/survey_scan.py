"""From a scan to a survey, with all that is to be told of how well it fits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from model.findings import Finding
from model.geometry import Array
from model.scan.align import aligned
from model.scan.asked import Asked
from model.scan.cloud import Cloud
from model.scan.fit_skin import chunks
from model.scan.lines import Lines, between_ends, found_lines
from model.scan.pose import NoPose
from model.scan.remarks import findings_of, notes_of
from model.scan.ribs import RibRun, StringerSeen, stiffeners
from model.scan.skin_model import lay
from model.scan.sound import is_sound, run_out, with_sound_end
from model.scan.stations import FEWEST, Gap, chosen, gaps, seen_near
from model.scan.to_survey import Surveyed, surveyed
from model.survey import Survey, check_survey
from parts.faults import BadInput, FaultList, Place
from parts.lengths import UNITS

STEEP, NARROW = 0.58, 0.3
"""Deadrise, rad, and beam over length, beyond which a hull looks like half of one."""
DECIMALS = {"mm": 1, "cm": 2, "m": 4, "in": 2, "ft": 3}
WHOLE = {"mm": 10.0, "cm": 10.0, "m": 10.0, "in": 25.4, "ft": 25.4}
"""Millimetres that stations of one's own choice are rounded to."""


@dataclass(frozen=True, eq=False)
class Distances:
    """How the scan lies about the fitted skin: root mean square, 95 of 100 nearer than, mm; points counted.

    `proud` and `outliers` are the points left out: those well inboard of the skin, and the others.
    """

    rms: float
    most: float
    count: int
    proud: int
    outliers: int


@dataclass(frozen=True, eq=False)
class ScanReport:
    """A scan surveyed.

    Attributes:
        name: of the file.
        survey: as the tape would give it.
        units: it is written in.
        rows: each line at each station, with its error.
        lines: the fitted lines.
        distances: of the points from the skin.
        ribs, stringers: told from the skin.
        gaps: stretches that were not seen.
        left_out: stations without enough points.
        notes: what was done and decided.
        findings: what to look after.
        inset: thickness by which the lines were moved in from the outside that was scanned, mm.
    """

    name: str
    survey: Survey
    units: str
    rows: tuple[Surveyed, ...]
    lines: Lines
    distances: Distances
    ribs: tuple[RibRun, ...]
    stringers: tuple[StringerSeen, ...]
    gaps: tuple[Gap, ...]
    left_out: tuple[float, ...]
    notes: tuple[str, ...]
    findings: tuple[Finding, ...]
    inset: float = 0.0

    @property
    def rake(self) -> float:
        """Of the transom, rad from upright, the top leaning aft."""
        return float(-np.arctan(self.lines.aligned.transom.lean))

    @property
    def bow_rake(self) -> float | None:
        """Of the bow plate, rad, the top leaning forward; None without one."""
        bow = self.lines.aligned.bow
        return None if bow is None else float(np.arctan(bow.lean))

    def summary(self) -> tuple[str, ...]:
        """What was fitted and how well."""
        d, laid = self.distances, self.lines.aligned
        return (
            f"{d.count} of {laid.given} points lie on the skin: {d.rms:.1f} mm off it (rms),"
            f" 95 % within {d.most:.1f} mm",
            f"centreline by {laid.pairs} points and their images, {laid.mirror_spread:.1f} mm apart;"
            f" transom by {laid.transom.count}, {laid.transom.spread:.1f} mm off its plane",
            f"{len(self.survey.stations)} stations, {len(self.survey.lines)} lines",
        )


def survey_scan(cloud: Cloud, asked: Asked, units: str, tell: Callable[[str], None]) -> ScanReport:
    """The survey of a scan.

    Args:
        cloud: as read.
        asked: lines and stations, and what is known of the scan.
        units: that the survey is to be written in.
        tell: told of each step.

    Raises:
        BadInput: the scan cannot be laid straight, is in the wrong unit, or shows no hull.
    """
    place = Place(cloud.name, None, "")
    try:
        tell("laying the scan straight")
        laid = aligned(cloud, asked)
        lines = found_lines(laid, asked.lines, asked.level == "keel", tell)
        _check_whole(lines, asked)
    except NoPose as error:
        raise BadInput.at(place, error.wrong, error.right) from error
    tell("telling ribs from skin")
    ribs, stringers = stiffeners(lines) if asked.outside <= 0.0 else ((), ())
    tell("surveying")
    lines, cut_off = with_sound_end(lines, asked.outside)
    every = chosen(lines, asked.stations, asked.spacing, WHOLE[units])
    count = len(lines.names)
    near = {(s, k): seen_near(lines.cells, k, s, count) for s in every for k in range(count)}
    lost = run_out(lines, every, asked.outside)
    poor = [
        s
        for s in every[1:-1]
        if min(near[s, k] for k in range(count) if k not in lost[s]) < FEWEST
        or not is_sound(lines, s, asked.outside, lost[s])
    ]
    stations = tuple(s for s in every if s not in poor)
    decimals = (UNITS[units], DECIMALS[units])
    survey, rows = surveyed(lines, stations, asked.outside, asked.keel_height, decimals, near, lost)
    faults = FaultList()
    check_survey(survey, faults)
    if len(faults):
        told = faults.faults[0]
        wrong = f"the lines that were found make no hull: {told.wrong}"
        right = "name fewer --lines, name the --stations where she was well seen, or scan her more closely"
        raise BadInput.at(place, wrong, right)
    seen_gaps = gaps(lines)
    unmet = [] if asked.stations is None else [s for s in asked.stations if s > lines.span[1]]
    findings = tuple(findings_of(lines, rows, seen_gaps, [*poor, *unmet], near, stations, cut_off, lost))
    return ScanReport(
        cloud.name, survey, units, rows, lines, _distances(lines), ribs, stringers, seen_gaps,
        (*poor, *unmet), (*cloud.told, *notes_of(lines, asked)), findings, asked.outside,
    )  # fmt: skip


def _check_whole(lines: Lines, asked: Asked) -> None:
    """Refuses what looks like one side of a boat, mirrored about its bilge: narrow and steep.

    Raises:
        NoPose: so, and nothing that was told says otherwise.
    """
    if asked.half is not None or asked.up is not None or asked.beam is not None or asked.points:
        return
    low, high = lines.skin.at(np.array([0.4 * lines.span[1]]))[0][0, [0, -1]]
    first = lines.skin.at(np.array([0.4 * lines.span[1]]))[0][0, 1] - low
    steep = float(np.arctan2(first[1], first[0]))
    if len(lines.names) > 2 and steep > STEEP and 2.0 * high[0] < NARROW * lines.span[1]:
        raise NoPose(
            f"the hull comes out {2.0 * high[0]:.0f} mm wide, {np.degrees(steep):.0f} degrees steep below,"
            " as one side does that is mirrored about its bilge",
            "a scan of one side needs --half port or --half starboard, with --up; else tell her --beam",
        )


def _distances(lines: Lines) -> Distances:
    """Distances of all points about the hull, those on the skin told from the others."""
    noise, laid = lines.both.noise, lines.aligned
    squares, proud, out = [], 0, 0
    for some in chunks(laid.points[between_ends(laid)]):
        folded = some.copy()
        folded[:, 1] = np.abs(folded[:, 1])
        if lines.sides:
            off = _off_sides(lines, some, folded)
        else:
            at = lay(lines.skin, folded)
            off = np.where(np.abs(at.share - 0.5) < 0.52, at.off * at.lean, np.inf)
        on = np.abs(off) < 4.7 * noise
        squares.append(np.abs(off[on]).astype(np.float32))
        proud += int(np.sum((off >= 4.7 * noise) & (off < 150.0)))
        out += int(np.sum(~on & ~((off >= 4.7 * noise) & (off < 150.0))))
    away = np.concatenate(squares)
    rms = float(np.sqrt(np.mean(away.astype(np.float64) ** 2)))
    return Distances(rms, float(np.quantile(away, 0.95)), len(away), proud, out)


def _off_sides(lines: Lines, some: Array, folded: Array) -> Array:
    off = np.empty(len(some))
    for side, own in (("port", some[:, 1] >= 0.0), ("starboard", some[:, 1] < 0.0)):
        if own.any():
            at = lay(lines.fit(side).skin, folded[own])
            off[own] = np.where(np.abs(at.share - 0.5) < 0.52, at.off * at.lean, np.inf)
    return off
