"""The `hull:` part of a boat file, read to a hull; every fault noted with its place."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Literal, Protocol

from model.boatfile.hull_schema import EndEntry, HullEntry, StationEntry, StationSideEntry
from model.hull import Hull
from model.hull_build import loft_hull
from model.hull_check import check_lofted
from model.stiffeners import Rib, Stringer
from model.survey import Survey, SurveyPoint, check_survey
from model.survey_csv import read_survey, split_name
from parts.faults import FaultList, did_you_mean
from parts.lengths import parse_length
from parts.yamlfile import Document

Key = str | int
STEEPEST = math.radians(80.0)
MOST_RIBS = 500


class Numbers(Protocol):
    """What turns the texts of a boat file to mm and rad, noting faults and giving nan."""

    document: Document
    units: str
    faults: FaultList

    def length(self, value: str | int | float, *path: Key) -> float:
        """A length in mm."""
        ...

    def angle(self, value: str | int | float, *path: Key) -> float:
        """An angle in rad."""
        ...


def read_hull(entry: HullEntry, numbers: Numbers, folder: Path) -> Hull | None:
    """The hull that `entry` tells of; a CSV survey is looked for in `folder`.

    None if anything is wrong, in which case `numbers.faults` says what.
    """
    faults, before = numbers.faults, len(numbers.faults.faults)
    _check_lines(entry, numbers)
    survey = _survey(entry, numbers, folder)
    if survey is not None and survey.points:
        check_survey(survey, faults)
    thickness = _positive(numbers, entry.thickness, "thickness")
    rakes = [_rake(end, numbers, key) for end, key in ((entry.transom, "transom"), (entry.bow, "bow"))]
    ribs = tuple(_ribs(entry, numbers))
    stringers = tuple(_stringers(entry, numbers))
    if survey is None or not survey.points or len(faults.faults) > before:
        return None
    try:
        hull = loft_hull(
            survey,
            straight=entry.loft == "straight",
            transom_rake=rakes[0],
            bow_rake=rakes[1],
            thickness=thickness,
            ribs=ribs,
            stringers=stringers,
        )
    except ValueError as error:
        wrong = "points between two lines cannot be joined to a section"
        faults.add(numbers.document.place(("hull",)), wrong, str(error))
        return None
    check_lofted(hull, numbers.document.place(("hull", "survey" if entry.survey else "stations")), faults)
    return None if len(faults.faults) > before else hull


def _check_lines(entry: HullEntry, numbers: Numbers) -> None:
    for i, name in enumerate(entry.lines):
        place = numbers.document.place(("hull", "lines", i))
        if not name.strip() or ">" in name or name in ("at", "between", "port", "starboard"):
            numbers.faults.add(place, f"'{name}' cannot name a line", "name it like keel, chine, gunwale")
        elif name in entry.lines[:i]:
            numbers.faults.add(place, f"the line '{name}' stands twice", "keep one")


def _survey(entry: HullEntry, numbers: Numbers, folder: Path) -> Survey | None:
    place = numbers.document.place(("hull",))
    if (entry.survey is None) == (entry.stations is None):
        wrong = "there is no survey" if entry.survey is None else "there are two surveys"
        numbers.faults.add(place, wrong, "give either `survey:`, a CSV file, or `stations:`")
        return None
    units = entry.units or numbers.units
    if entry.survey is not None:
        path = Path(entry.survey)
        if path.is_absolute() or ".." in path.parts:
            where = numbers.document.place(("hull", "survey"))
            numbers.faults.add(where, f"'{entry.survey}' leads away", "keep the survey beside the boat file")
            return None
        return read_survey(folder / path, entry.survey, entry.lines, units, numbers.faults)
    reader = _Stations(numbers, entry, units)
    return Survey(tuple(entry.lines), tuple(reader.points()))


class _Stations:
    """Reads the survey that stands in the boat file itself."""

    def __init__(self, numbers: Numbers, entry: HullEntry, units: str) -> None:
        self.numbers = numbers
        self.lines = entry.lines
        self.stations: Sequence[StationEntry] = entry.stations or ()
        self.own_units = units if units != numbers.units else None
        self.units = units

    def points(self) -> Iterator[SurveyPoint]:
        """Every point that can be read, in the order written."""
        seen: dict[float, int] = {}
        for i, station in enumerate(self.stations):
            path: tuple[Key, ...] = ("hull", "stations", i)
            at = self._length(station.at, *path, "at")
            if at in seen:
                self.numbers.faults.add(
                    self.numbers.document.place((*path, "at")),
                    f"the station {station.at} is doubled (it is also item {seen[at] + 1})",
                    "write all points of a station in one item",
                )
                continue
            seen[at] = i
            yield from self._side(station, at, "both", path)
            if station.port is not None:
                yield from self._side(station.port, at, "port", (*path, "port"))
            if station.starboard is not None:
                yield from self._side(station.starboard, at, "starboard", (*path, "starboard"))

    def _side(
        self,
        entry: StationSideEntry,
        at: float,
        side: Literal["port", "starboard", "both"],
        path: tuple[Key, ...],
    ) -> Iterator[SurveyPoint]:
        document, faults = self.numbers.document, self.numbers.faults
        for name, values in (entry.__pydantic_extra__ or {}).items():
            if name not in self.lines:
                known = [*self.lines, "at", "between", "port", "starboard"]
                faults.add(document.place((*path, name)), f"unknown line '{name}'", did_you_mean(name, known))
            else:
                yield from self._point(values, at, side, (name, None), (*path, name))
        for name, rows in entry.between.items():
            place = document.place((*path, "between", name))
            pair = split_name(name, self.lines, place, faults)
            if pair is not None and pair[1] is None:
                faults.add(place, f"'{name}' names one line", f"name two, such as {name}>...")
                pair = None
            for k, values in enumerate(rows if pair else ()):
                assert pair is not None
                yield from self._point(values, at, side, pair, (*path, "between", name, k))

    def _point(
        self,
        values: Sequence[str | int | float],
        at: float,
        side: Literal["port", "starboard", "both"],
        pair: tuple[str, str | None],
        path: tuple[Key, ...],
    ) -> Iterator[SurveyPoint]:
        read = [self._length(value, *path, i) for i, value in enumerate(values)]
        if not any(math.isnan(value) for value in (at, *read)):
            x = read[2] if len(read) == 3 else None
            yield SurveyPoint(at, side, *pair, read[0], read[1], x, self.numbers.document.place(path))

    def _length(self, value: str | int | float, *path: Key) -> float:
        """A length of the survey, whose bare numbers may be in other units than the file's."""
        if self.own_units is None:
            return self.numbers.length(value, *path)
        try:
            return parse_length(value, self.own_units)
        except ValueError as error:
            wrong, _, right = str(error).partition("; ")
            self.numbers.faults.add(self.numbers.document.place(path), wrong, right)
            return math.nan


def _rake(end: EndEntry | None, numbers: Numbers, key: str) -> float | None:
    if end is None:
        return None
    rake = numbers.angle(end.rake, "hull", key, "rake")
    if not math.isnan(rake) and not 0.0 <= rake <= STEEPEST:
        numbers.faults.add(
            numbers.document.place(("hull", key, "rake")),
            f"a rake of {math.degrees(rake):g} degrees",
            "give 0 for upright up to 80; the top leans out of the boat",
        )
    return rake


def _positive(numbers: Numbers, value: str | int | float, *path: Key) -> float:
    found = numbers.length(value, "hull", *path)
    if found <= 0.0:
        numbers.faults.add(
            numbers.document.place(("hull", *path)), f"{value} is not above zero", "give a length"
        )
    return found


def _ribs(entry: HullEntry, numbers: Numbers) -> Iterator[Rib]:
    for i, rib in enumerate(entry.ribs):
        path = ("ribs", i)
        place = numbers.document.place(("hull", *path))
        low, high = rib.from_line or entry.lines[0], rib.to_line or entry.lines[1]
        for key, line in (("from", low), ("to", high)):
            if line not in entry.lines:
                where = numbers.document.place(("hull", *path, key))
                numbers.faults.add(where, f"unknown line '{line}'", did_you_mean(line, entry.lines))
        height = _positive(numbers, rib.height, *path, "height")
        width = _positive(numbers, rib.width, *path, "width")
        at = numbers.length(rib.at, "hull", *path, "at")
        name = rib.name or ("rib" if len(entry.ribs) == 1 else f"rib.{i + 1}")
        stand = _repeated(at, rib.every, rib.until, numbers, path)
        for k, x in enumerate(stand):
            yield Rib(f"{name}.{k + 1}" if rib.every else name, x, width, height, low, high, place)


def _repeated(
    at: float,
    every: str | int | float | None,
    until: str | int | float | None,
    numbers: Numbers,
    path: tuple[Key, ...],
) -> list[float]:
    place = numbers.document.place(("hull", *path))
    if (every is None) != (until is None):
        numbers.faults.add(place, "`every` and `until` go together", "give both or neither")
    if every is None or until is None:
        return [at]
    step = _positive(numbers, every, *path, "every")
    last = numbers.length(until, "hull", *path, "until")
    if math.isnan(at + step + last) or step <= 0.0:
        return []
    count = int((last - at) / step + 1e-9) + 1
    if not 1 <= count <= MOST_RIBS:
        numbers.faults.add(place, f"this repeats {max(count, 0)} times", "see to `at`, `every` and `until`")
        return []
    return [at + k * step for k in range(count)]


def _stringers(entry: HullEntry, numbers: Numbers) -> Iterator[Stringer]:
    for i, bar in enumerate(entry.stringers):
        path = ("stringers", i)
        place = numbers.document.place(("hull", *path))
        off = numbers.length(bar.off_centre, "hull", *path, "off_centre")
        aft = numbers.length(bar.from_x, "hull", *path, "from")
        forward = numbers.length(bar.to_x, "hull", *path, "to")
        if forward <= aft:
            numbers.faults.add(
                place, f"it ends at {bar.to_x}, aft of where it begins", "exchange `from` and `to`"
            )
        if off < 0.0:
            numbers.faults.add(
                place, "`off_centre` is below zero", "give the distance and say `side: starboard`"
            )
        sizes = (
            _positive(numbers, bar.width, *path, "width"),
            _positive(numbers, bar.height, *path, "height"),
        )
        name = bar.name or ("stringer" if len(entry.stringers) == 1 else f"stringer.{i + 1}")
        for side, way in _ways(bar.side, off).items():
            whole = name if bar.side != "both" or off == 0.0 else f"{name}.{side}"
            yield Stringer(whole, way * off, *sizes, aft, forward, place)


def _ways(side: str, off: float) -> Mapping[str, float]:
    """The signs of y of the sides asked for; on the centreline both are one."""
    if side == "both":
        return {"port": 1.0, "starboard": -1.0} if off > 0.0 else {"port": 1.0}
    return {side: 1.0 if side == "port" else -1.0}
