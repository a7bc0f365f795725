"""Text of the boat file to numbers: lengths to millimetres, angles to radians, points to arrays.

Every fault is noted with its place and stands in the result as nan, so that all faults of a file are
told at once; nothing is built while there is one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence

import numpy as np

from model.boatfile.schema import AngleEntry, BoatFile, DimensionEntry, RunEntry
from model.geometry import Array
from parts.expressions import DimensionsError, ExpressionError, evaluate, resolve
from parts.faults import FaultList
from parts.lengths import parse_angle
from parts.yamlfile import Document

LEAST_STEP = 0.1
"""Points of a polyline nearer to each other than this, mm, are one."""

FULL_TURN = 360.0 + 1e-9
"""Degrees."""

Key = str | int
Text = str | int | float


class Numbers:
    """Reads the lengths and angles of one boat file against its named dimensions.

    Attributes:
        dimensions: named lengths, mm.
        angles: named angles, rad.
        faults: what could not be read.
    """

    def __init__(self, document: Document, entry: BoatFile, faults: FaultList) -> None:
        """Resolves the named dimensions and angles of `entry`; faults go into `faults`."""
        self.document = document
        self.units: str = entry.units
        self.faults = faults
        self.dimensions: dict[str, float] = {}
        self.angles = {name: self._named_angle(name, value) for name, value in entry.angles.items()}
        self.dimensions = self._named_lengths(entry.dimensions)

    def fault(self, path: Sequence[Key], wrong: str, right: str) -> None:
        """Notes a fault at a key path of the file."""
        self.faults.add(self.document.place(tuple(path)), wrong, right)

    def length(self, value: Text, *path: Key) -> float:
        """A length in mm; nan where it could not be read."""
        try:
            return evaluate(value, self.dimensions, self.units)
        except ExpressionError as error:
            self.fault(path, error.wrong, error.right)
            return math.nan

    def length_or(self, value: Text | None, default: float, *path: Key) -> float:
        """A length in mm, or `default` where the key is absent."""
        return default if value is None else self.length(value, *path)

    def positive(self, value: Text, *path: Key) -> float:
        """A length that must be above zero, mm."""
        found = self.length(value, *path)
        if found <= 0:
            self.fault(path, f"{value} is not above zero", "give a length above zero")
            return math.nan
        return found

    def not_negative(self, value: Text, *path: Key) -> float:
        """A length that must not be below zero, mm."""
        found = self.length(value, *path)
        if found < 0:
            self.fault(path, f"{value} is below zero", "give zero or more")
            return math.nan
        return found

    def angle(self, value: Text, *path: Key) -> float:
        """An angle in rad from degrees, `45 deg`, `0.5 rad`, or an expression over the file's `angles`."""
        try:
            return parse_angle(value)
        except ValueError as error:
            wrong, _, right = str(error).partition("; ")
        if isinstance(value, str) and value.strip() and not _LENGTH.search(value):
            names = {name: math.degrees(angle) for name, angle in self.angles.items()}
            try:
                # plain numbers of one unit: the arithmetic of millimetres serves for degrees
                degrees = evaluate(_DEGREES.sub("", value), names, "mm")
            except ExpressionError as error:
                told = error.wrong.replace("a named dimension", "a named angle")
                wrong, right = f"{value[:40]!r} is not an angle: {told}", error.right
            else:
                if abs(degrees) <= FULL_TURN:
                    return math.radians(degrees)
                wrong, right = f"{value[:40]!r} comes to {degrees:g} degrees", "give at most one full turn"
        self.fault(path, wrong, right)
        return math.nan

    def point(self, value: Sequence[Text], *path: Key) -> Array:
        """A point of two or three lengths, mm."""
        return np.array([self.length(part, *path, i) for i, part in enumerate(value)])

    def polyline(self, value: Sequence[Sequence[Text] | RunEntry], *path: Key) -> Array:
        """Plan points `(n, 2)`, mm; a run is laid on from the point before it."""
        points: list[Array] = []
        for i, item in enumerate(value):
            if not isinstance(item, RunEntry):
                points.append(self.point(item, *path, i))
            elif not points:
                self.fault((*path, i), "a polyline cannot begin with a run", "begin with a point [x, y]")
                points.append(np.array([math.nan, math.nan]))
            else:
                points.append(self._run_end(points[-1], item, *path, i))
            if i and float(np.hypot(*(points[-1] - points[-2]))) < LEAST_STEP:
                self.fault((*path, i), "the point is the same as the one before it", "leave one of them out")
                points[-1] = np.array([math.nan, math.nan])
        return np.array(points)

    def _run_end(self, start: Array, run: RunEntry, *path: Key) -> Array:
        along = self.angle(run.angle, *path, "angle")
        direction = np.array([math.cos(along), math.sin(along)])
        ways = {"length": run.length, "to_x": run.to_x, "to_y": run.to_y}
        given = {key: text for key, text in ways.items() if text is not None}
        if len(given) != 1:
            self.fault(path, "a run needs one end", "give just one of length, to_x, to_y")
            return np.array([math.nan, math.nan])
        key, text = next(iter(given.items()))
        if key == "length":
            return start + self.positive(text, *path, key) * direction
        value = self.length(text, *path, key)
        axis = 0 if key == "to_x" else 1
        if math.isnan(value + along + start[axis]):
            return np.array([math.nan, math.nan])
        if abs(direction[axis]) < 1e-9:
            self.fault(path, f"a run at this angle never reaches {key} {text}", "change the angle or the end")
            return np.array([math.nan, math.nan])
        travel = (value - start[axis]) / direction[axis]
        if travel < 0:
            self.fault(path, f"{key} {text} lies behind the run", "turn the run about, or change its end")
            return np.array([math.nan, math.nan])
        found: Array = start + travel * direction
        return found

    def _named_angle(self, name: str, entry: float | AngleEntry) -> float:
        if not isinstance(entry, AngleEntry):
            return math.radians(entry)
        self._check_limits(("angles", name), entry.value, entry.least, entry.greatest)
        return math.radians(entry.value)

    def _named_lengths(self, entries: Mapping[str, Text | DimensionEntry]) -> dict[str, float]:
        texts = {k: v.value if isinstance(v, DimensionEntry) else v for k, v in entries.items()}
        try:
            found = resolve(texts, self.units)
        except DimensionsError as errors:
            for name, error in errors.by_name.items():
                self.fault(self._value_of(name, entries), error.wrong, error.right)
            return dict.fromkeys(entries, math.nan)
        self.dimensions = found
        for name, entry in entries.items():
            if isinstance(entry, DimensionEntry):
                path = ("dimensions", name)
                least = None if entry.least is None else self.length(entry.least, *path, "least")
                most = None if entry.greatest is None else self.length(entry.greatest, *path, "greatest")
                self._check_limits(path, found[name], least, most)
        return found

    @staticmethod
    def _value_of(name: str, entries: Mapping[str, Text | DimensionEntry]) -> tuple[Key, ...]:
        """Where the value of a dimension stands."""
        whole = isinstance(entries[name], DimensionEntry)
        return ("dimensions", name, "value") if whole else ("dimensions", name)

    def _check_limits(
        self, path: tuple[Key, ...], value: float, least: float | None, most: float | None
    ) -> None:
        if least is not None and most is not None and least > most:
            self.fault((*path, "least"), "least is above greatest", "exchange them")
        elif least is not None and value < least - 1e-9:
            self.fault((*path, "value"), "the value is below its own least", "raise it, or lower `least`")
        elif most is not None and value > most + 1e-9:
            self.fault(
                (*path, "value"), "the value is above its own greatest", "lower it, or raise `greatest`"
            )


_DEGREES = re.compile(r"(?<=[\d.])\s*(?:deg(?:rees?)?\b|°)")
_LENGTH = re.compile(r"\d\s*(?:(?:mm|cm|m|in|inch|inches|ft|foot|feet)\b|['\"′″])")
