"""From a survey to a hull."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np

from model.bow import Bow, divide, section
from model.geometry import Array, Plane
from model.hull import Hull
from model.loft import Track, loft_side, lofted_lines
from model.skin import Cubics, Skin
from model.stiffeners import Rib, Stringer
from model.survey import SAME, SIDES, Side, Survey

OWN_X = 0.1
"""Millimetres; an end whose points stand farther than this from its station leans."""


def loft_hull(
    survey: Survey,
    *,
    straight: bool = False,
    transom_rake: float | None = None,
    bow_rake: float | None = None,
    thickness: float = 0.0,
    ribs: Sequence[Rib] = (),
    stringers: Sequence[Stringer] = (),
) -> Hull:
    """The hull through the points of a survey that `check_survey` has passed.

    Args:
        survey: the measured points.
        straight: lines run straight from station to station in place of fair curves.
        transom_rake: rad from upright, the top leaning aft; from the points' own x where not given.
        bow_rake: rad from upright, the top leaning forward, of the plate that closes a blunt bow; likewise.
        thickness: of the sheet outside the surveyed surface, mm.
        ribs: what stands on the skin athwart.
        stringers: what stands on it fore and aft.

    Raises:
        ValueError: points between two lines do not follow one another up the chord.
    """
    stations = survey.stations
    transom = _end_rake(survey, stations[0], transom_rake, -1.0)
    bow = _end_rake(survey, stations[-1], bow_rake, 1.0)
    leans = {stations[0]: -math.tan(transom or 0.0), stations[-1]: math.tan(bow or 0.0)}
    skins = _skins(survey, leans, straight)
    foot = skins["port"].line(survey.lines[0], np.array([stations[0], stations[-1]]))[:, 1]
    closed = max(abs(skin.section(skin.span[1])[:, 0]).max() for skin in skins.values()) <= SAME
    plate = None if closed and bow is None else _end(stations[-1], float(foot[1]), bow or 0.0, 1.0)
    return Hull(
        survey.lines,
        skins,
        _end(stations[0], float(foot[0]), transom or 0.0, -1.0),
        plate,
        thickness,
        tuple(ribs),
        tuple(stringers),
        survey,
    )


def _end(x: float, z: float, rake: float, way: float) -> Plane:
    """The plane of an end through (x, z) on the centreline, its normal pointing out, its top leaning out."""
    return Plane.through((x, 0.0, z), (way * math.cos(rake), 0.0, -math.sin(rake)))


def _end_rake(survey: Survey, station: float, given: float | None, way: float) -> float | None:
    """The rake of an end, rad; from its points' own x where not given; None if nothing says that it leans."""
    if given is not None:
        return given
    rises, runs = [0.0], [0.0]
    for side in SIDES:
        points = survey.section(side, station)
        for point in points:
            if point.x is not None and abs(point.x - station) > OWN_X:
                rises.append(point.height - points[0].height)
                runs.append(way * (point.x - station))
    if len(runs) == 1:
        return None
    return math.atan2(float(np.dot(rises, runs)), float(np.dot(rises, rises)))


def _skins(survey: Survey, leans: Mapping[float, float], straight: bool) -> dict[Side, Skin]:
    sides: tuple[Side, ...] = ("port",) if survey.symmetrical else SIDES
    tracks = {side: _tracks(survey, side, leans) for side in sides}
    bows = {side: _bows(survey, side, leans) for side in sides}
    lines = {side: lofted_lines(tracks[side], survey.stations, straight) for side in sides}
    fractions = _fractions(survey, lines, bows)
    plank = any(track[survey.lines[0]].points[:, 1].max() > SAME for track in tracks.values())
    made = {
        side: loft_side(lines[side], bows[side], fractions, survey.stations, straight, plank)
        for side in sides
    }
    return {"port": made["port"], "starboard": made.get("starboard", made["port"])}


def _fractions(
    survey: Survey, lines: Mapping[Side, Mapping[str, Cubics]], bows: Mapping[Side, Mapping[str, Bow]]
) -> dict[str, Array]:
    """How each bowed panel is divided, the same on both sides."""
    found = {}
    for low, high in pairwise(survey.lines):
        measured = [
            t
            for side, on in bows.items()
            if low in on
            for station in on[low].points
            for t in section(lines[side][low], lines[side][high], on[low], station).fractions[1:-1]
        ]
        if measured:
            found[low] = divide(measured)
    return found


def _tracks(survey: Survey, side: Side, leans: Mapping[float, float]) -> dict[str, Track]:
    found = {}
    for name in survey.lines:
        points = sorted(
            (p for p in survey.side(side) if p.line == name and p.upper is None), key=lambda p: p.station
        )
        stations = [p.station for p in points]
        found[name] = Track(
            np.array([survey.located(point, side, leans) for point in points]),
            stations[0] == survey.stations[0],
            stations[-1] == survey.stations[-1],
        )
    return found


def _bows(survey: Survey, side: Side, leans: Mapping[float, float]) -> dict[str, Bow]:
    found: dict[str, Bow] = {}
    for station in survey.stations:
        here = survey.section(side, station)
        x = {p.line: survey.located(p, side, leans)[0] for p in here if p.upper is None}
        for low, high in pairwise(survey.lines):
            points = [survey.located(p, side, leans) for p in here if p.line == low and p.upper == high]
            if points:
                bow = found.setdefault(low, Bow({}, {}))
                found[low] = Bow(
                    {**bow.points, station: np.array(points)},
                    {**bow.ends, station: (x.get(low, station), x.get(high, station))},
                )
    return found
