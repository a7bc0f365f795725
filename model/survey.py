"""What the tape measured: points of named lines at stations, on one side or on both.

In mm: x forward from the transom, half-breadth out from the centreline, height up from the baseline.
The points lie on the inside of the skin.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeAlias

from parts.faults import FaultList, Place

Side: TypeAlias = Literal["port", "starboard"]
SIDES: tuple[Side, Side] = ("port", "starboard")

LEAST = 10.0
"""Millimetres of breadth and depth without which nothing is a hull."""
SAME = 1e-6
"""Millimetres; stations and heights nearer than this are one."""


@dataclass(frozen=True, slots=True)
class SurveyPoint:
    """A measured point.

    Attributes:
        station: distance of its station from the transom, mm.
        side: `port`, `starboard`, or `both` for a hull measured on one side.
        line: the line it lies on, or the lower one of the two it lies between.
        upper: None, or the line above it where it lies between two.
        half_breadth: mm, positive on either side.
        height: mm above the baseline.
        x: its own distance from the transom where it does not stand at the station; else None.
        place: where it was written.
    """

    station: float
    side: Literal["port", "starboard", "both"]
    line: str
    upper: str | None
    half_breadth: float
    height: float
    x: float | None
    place: Place

    @property
    def name(self) -> str:
        """`chine`, or `chine>gunwale` for a point between the two."""
        return self.line if self.upper is None else f"{self.line}>{self.upper}"

    def on(self, side: Side) -> bool:
        """True if the point tells of that side."""
        return self.side in ("both", side)


@dataclass(frozen=True, slots=True)
class Survey:
    """A measured hull: `lines` named from the keel up, `points` in the order written."""

    lines: tuple[str, ...]
    points: tuple[SurveyPoint, ...]

    @property
    def stations(self) -> tuple[float, ...]:
        """The stations from the transom forward, mm."""
        return tuple(sorted({point.station for point in self.points}))

    @property
    def symmetrical(self) -> bool:
        """True if only one side was measured, which then holds for both."""
        return len({point.side for point in self.points} - {"both"}) <= 1

    def side(self, side: Side) -> tuple[SurveyPoint, ...]:
        """The points that tell of a side; a hull measured on one side is the same on the other."""
        if self.symmetrical:
            return self.points
        return tuple(point for point in self.points if point.on(side))

    def section(self, side: Side, station: float) -> tuple[SurveyPoint, ...]:
        """The points of a side at a station from the lowest line up, points between lines in their order."""
        order = {name: 2 * i for i, name in enumerate(self.lines)}
        here = [p for p in self.side(side) if abs(p.station - station) <= SAME]
        return tuple(sorted(here, key=lambda p: order[p.line] + (p.upper is not None)))

    def located(
        self, point: SurveyPoint, side: Side, leans: Mapping[float, float]
    ) -> tuple[float, float, float]:
        """x, half-breadth and height of a point.

        `leans` gives dx/dz from its lowest point up for a station that leans; a point's own x goes first.
        """
        if point.x is not None:
            return point.x, point.half_breadth, point.height
        lean = leans.get(point.station, 0.0)
        foot = self.section(side, point.station)[0].height if lean else 0.0
        return point.station + lean * (point.height - foot), point.half_breadth, point.height

    def sequences(self, side: Side) -> Iterator[tuple[str, tuple[SurveyPoint, ...]]]:
        """Each line's points from the transom forward.

        Points between two lines have no name of their own: the first one above `chine` at each station makes
        the run `chine>gunwale`, the second one `chine>gunwale 2`.
        """
        runs: dict[str, list[SurveyPoint]] = {}
        for station in self.stations:
            met: dict[str, int] = {}
            for point in self.section(side, station):
                met[point.name] = met.get(point.name, 0) + 1
                count = met[point.name]
                runs.setdefault(point.name if count == 1 else f"{point.name} {count}", []).append(point)
        for name, run in runs.items():
            yield name, tuple(run)


def check_survey(survey: Survey, faults: FaultList) -> None:
    """Notes every way in which the survey cannot be a hull; each fault at the point's own place."""
    _check_order(survey, faults)
    sides: tuple[Side, ...] = ("port",) if survey.symmetrical else SIDES
    before = len(faults.faults)
    for side in sides:
        _check_counts(survey, side, faults)
        for station in survey.stations:
            _check_section(survey.section(side, station), faults)
    _check_size(survey, faults)
    _check_own_x(survey, faults)
    if len(faults.faults) == before and not survey.symmetrical:
        _check_centre(survey, faults)


def _check_order(survey: Survey, faults: FaultList) -> None:
    """Stations go forward in the file, and none is written in two places."""
    first: dict[float, Place] = {}
    measured: dict[tuple[float, str, str], Place] = {}
    here = None
    for point in survey.points:
        if here is None or point.station != here:
            if point.station in first:
                where = _line(first[point.station])
                faults.add(
                    point.place,
                    f"the station is doubled (first {where})",
                    "write all its points in one place",
                )
            elif here is not None and point.station < here:
                faults.add(
                    point.place,
                    f"the station is out of order: {_mm(point.station)} after {_mm(here)}",
                    "write stations from the transom forward",
                )
            first.setdefault(point.station, point.place)
            here = point.station
        if point.upper is None:
            for side in SIDES:
                key = (point.station, side, point.line)
                if point.on(side) and measured.setdefault(key, point.place) is not point.place:
                    where = _line(measured[key])
                    faults.add(
                        point.place,
                        f"'{point.line}' is measured twice at this station (first {where})",
                        "keep one",
                    )
                    break


def _check_counts(survey: Survey, side: Side, faults: FaultList) -> None:
    """Enough stations and points for curves, and ends that close."""
    points = survey.side(side)
    place = Place(survey.points[0].place.file, None, "") if survey.points else Place("survey", None, "")
    stations = survey.stations
    if len(stations) < 3:
        faults.add(place, f"{len(stations)} stations were measured", "measure at least 3")
        return
    if stations[0] != 0.0:
        faults.add(
            place,
            f"the first station is {_mm(stations[0])} from the transom",
            "the first station is the transom itself, at 0",
        )
    for name in survey.lines:
        on_line = [p.station for p in points if p.line == name and p.upper is None]
        if len(on_line) < 2:
            faults.add(place, f"'{name}' has {len(on_line)} points on the {side} side", "measure at least 2")
    for name in (survey.lines[0], survey.lines[-1]):
        on_line = [p.station for p in points if p.line == name and p.upper is None]
        for station, end in ((stations[0], "first"), (stations[-1], "last")):
            if len(on_line) >= 2 and station not in on_line:
                faults.add(
                    place,
                    f"'{name}' is not measured at the {end} station on the {side} side",
                    "the lowest and the highest line run from end to end; lines between them may run out",
                )


def _check_section(section: tuple[SurveyPoint, ...], faults: FaultList) -> None:
    """Going up, heights do not fall; half-breadths are not negative, and once they fall they do not grow.

    The last allows tumblehome and no more: a section is then met once by every level line on each side, and
    once by every upright line from below.
    """
    for point in section:
        if point.half_breadth < 0.0:
            faults.add(
                point.place,
                f"the half-breadth {_mm(point.half_breadth)} is negative",
                "measure out from the centreline; the side says which way",
            )
    drawn_in = False
    for low, high in pairwise(section):
        if high.height < low.height - SAME:
            faults.add(
                low.place,
                f"'{low.name}' at {_mm(low.height)} is above"
                f" its neighbour '{high.name}' at {_mm(high.height)}",
                "heights do not fall from the keel up to the gunwale; see whether two numbers were exchanged",
            )
        falls = high.half_breadth < low.half_breadth - SAME
        if drawn_in and high.half_breadth > low.half_breadth + SAME:
            faults.add(
                high.place,
                f"'{high.name}' stands out again above '{low.name}', where the side already drew in",
                "half-breadths grow from the keel up, and may draw in only from one line up to the gunwale",
            )
        if falls and abs(high.height - low.height) <= SAME:
            faults.add(
                high.place,
                f"'{high.name}' lies inboard of '{low.name}' at the same height",
                "see whether two half-breadths were exchanged",
            )
        drawn_in = drawn_in or falls


def _check_size(survey: Survey, faults: FaultList) -> None:
    """A hull has breadth and depth somewhere."""
    if not survey.points:
        return
    heights = [point.height for point in survey.points]
    for what, size in (
        ("breadth", max(point.half_breadth for point in survey.points)),
        ("depth", max(heights) - min(heights)),
    ):
        if size < LEAST:
            place = Place(survey.points[0].place.file, None, "")
            faults.add(
                place, f"the hull has no {what}: {_mm(size)} at most", "see to the units of the survey"
            )


def _check_own_x(survey: Survey, faults: FaultList) -> None:
    """A point that stands off its station still stands between the stations next to it."""
    stations = survey.stations
    for point in survey.points:
        if point.x is None:
            continue
        before = [s for s in stations if s < point.station]
        after = [s for s in stations if s > point.station]
        if (before and point.x <= before[-1] + SAME) or (after and point.x >= after[0] - SAME):
            faults.add(
                point.place,
                f"its own x, {_mm(point.x)}, lies past the station next to {_mm(point.station)}",
                "x is measured from the transom; leave it out for a point that stands at its station",
            )


def _check_centre(survey: Survey, faults: FaultList) -> None:
    """The keel's height on the centreline is one, whichever side it is measured from."""
    keel = survey.lines[0]
    found = [
        {p.station: p for p in survey.side(side) if p.line == keel and p.upper is None} for side in SIDES
    ]
    for station in sorted(found[0].keys() & found[1].keys()):
        port, starboard = found[0][station], found[1][station]
        on_centre = max(port.half_breadth, starboard.half_breadth) <= SAME
        if on_centre and abs(port.height - starboard.height) > SAME:
            faults.add(
                starboard.place,
                f"'{keel}' on the centreline is {_mm(starboard.height)} high, to port {_mm(port.height)}",
                "the centreline has one height; measure it once for both sides",
            )


def _line(place: Place) -> str:
    return f"on line {place.line}" if place.line is not None else f"at {place.key}"


def _mm(value: float) -> str:
    """A length as both rules read it."""
    return f"{value:.1f} mm ({value / 25.4:.3f} in)"
