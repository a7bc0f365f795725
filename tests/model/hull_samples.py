"""Hulls to test with: the demo surveys, and forms whose volumes are known in closed form."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from model.boatfile.hull_schema import HullEntry
from model.hull import Hull
from model.hull_build import loft_hull
from model.hull_read import read_hull
from model.survey import Survey, SurveyPoint
from parts.faults import FaultList, Place
from parts.lengths import parse_angle, parse_length
from parts.yamlfile import Document, read_text

CONFIGS = Path(__file__).parents[2] / "configs"
NOWHERE = Place("made up", None, "")

DEMO = {
    "lake16": """
hull:
  survey: lake16-survey.csv
  lines: [keel, chine, knuckle, gunwale]
  transom: {rake: 12}
  ribs:
    - {name: rib, at: 12, every: 16, until: 124, height: 1-1/2, width: 1-1/4, from: keel, to: chine}
  stringers:
    - {name: stringer, off_centre: 12, from: 2, to: 128, height: 2-1/4, width: 1-1/2}
""",
    "flat14": """
hull:
  survey: flat14-survey.csv
  lines: [keel, chine, gunwale]
  transom: {rake: 10}
  bow: {rake: 25}
  thickness: 0.08 in
""",
    "vee18": """
hull:
  survey: vee18-survey.csv
  lines: [keel, chine, upper chine, gunwale]
  transom: {rake: 14}
  thickness: 0.125 in
""",
}


class Plain:
    """Reads lengths without named dimensions; notes faults like the boat file's own reader."""

    def __init__(self, document: Document, units: str = "in") -> None:
        self.document = document
        self.units = units
        self.faults = FaultList()

    def length(self, value: Any, *path: str | int) -> float:
        try:
            return parse_length(value, self.units)
        except ValueError as error:
            self.faults.add(self.document.place(path), str(error))
            return math.nan

    def angle(self, value: Any, *path: str | int) -> float:
        return parse_angle(value)


def read(text: str, folder: Path = CONFIGS) -> tuple[Hull | None, FaultList]:
    """The hull of a boat file's text, and what is wrong with it."""
    document = read_text(text, "boat.yaml")
    plain = Plain(document)
    hull = read_hull(HullEntry.model_validate(document.data["hull"]), plain, folder)
    return hull, plain.faults


@cache
def demo(name: str) -> Hull:
    """A demo hull from its survey."""
    hull, faults = read(DEMO[name])
    assert hull is not None, faults
    return hull


def measured(
    lines: Sequence[str], rows: dict[float, Sequence[tuple[float, float] | None]], **how: Any
) -> Hull:
    """A symmetrical hull from half-breadth and height of each line at each station, None where it lacks."""
    points = [
        SurveyPoint(x, "both", line, None, *at, None, NOWHERE)
        for x, row in rows.items()
        for line, at in zip(lines, row, strict=True)
        if at is not None
    ]
    return loft_hull(Survey(tuple(lines), tuple(points)), **how)


def waterlines(
    breadth: Callable[[float, float], float], x: Sequence[float], z: Sequence[float], **how: Any
) -> Hull:
    """A hull whose lines are level: half-breadth `breadth(x, z)` at each station and waterline."""
    names = [f"line {i}" for i in range(len(z))]
    return measured(names, {a: [(breadth(a, b), b) for b in z] for a in x}, **how)


def bowed(breadth: Callable[[float, float], float], x: Sequence[float], z: Sequence[float]) -> Hull:
    """The same form from two lines, with bowed sections through points between them."""
    points = []
    for a in x:
        for i, b in enumerate(z):
            line = ("keel", "keel", "gunwale")[(i > 0) + (i == len(z) - 1)]
            upper = "gunwale" if 0 < i < len(z) - 1 else None
            points.append(SurveyPoint(a, "both", line, upper, breadth(a, b), b, None, NOWHERE))
    return loft_hull(Survey(("keel", "gunwale"), tuple(points)))


def wigley(length: float, beam: float, draught: float) -> Callable[[float, float], float]:
    """Half-breadth of the Wigley form, x from the aft end, z up from the keel."""

    def breadth(x: float, z: float) -> float:
        along, down = 2.0 * x / length - 1.0, (draught - z) / draught
        return beam / 2.0 * (1.0 - along**2) * (1.0 - down**2)

    return breadth


def vee(length: float, deadrise: float, draught: float, stations: int = 21) -> Hull:
    """A prism of two straight bottoms with upright ends."""
    b = draught / math.tan(deadrise)
    return measured(
        ("keel", "chine"), {float(x): [(0.0, 0.0), (b, draught)] for x in np.linspace(0.0, length, stations)}
    )


def box(length: float, beam: float, depth: float, stations: int = 21) -> Hull:
    """A box: the keel and the chine at one height."""
    corners = [(0.0, 0.0), (beam / 2.0, 0.0), (beam / 2.0, depth)]
    x = np.linspace(0.0, length, stations)
    return measured(("keel", "chine", "gunwale"), {float(a): corners for a in x})
