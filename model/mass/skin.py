"""What the sheet of a hull weighs by its measured form: an estimate for a hull that was not weighed."""

from __future__ import annotations

from weakref import WeakKeyDictionary

import numpy as np

from model.geometry import Array, Plane
from model.hull import Hull
from model.hull_outside import outer_shell
from model.hull_volume import immersed
from model.mass.lump import Lump, total
from model.shell import Shell
from model.stiffeners import Rib, Stringer
from model.survey import SIDES

DENSITY = 2660.0
"""Of marine sheet, kg/m3 (5086; Aluminum Standards and Data gives 2.66)."""
EXTRAS = 1.15
"""Gunwale, splash rail, keel, rivets or welds, brackets, over bare skin and ribs (common practice)."""
RIB_THICKNESS = 2.5
"""Of the metal of ribs and stringers where the survey gives only their outer size, mm (an assumption)."""


def skin_estimate(hull: Hull) -> Lump:
    """Mass and centre of a hull of its surveyed thickness with its ribs and stringers, as an estimate.

    The skin's metal is the volume between its outside and its inside; a rib or stringer counts as a channel
    of its height and width. A hull that stays while a boat is changed is reckoned once.
    """
    if hull not in _KNOWN:
        _KNOWN[hull] = _estimate(hull)
    return _KNOWN[hull]


_KNOWN: WeakKeyDictionary[Hull, Lump] = WeakKeyDictionary()


def _estimate(hull: Hull) -> Lump:
    lumps = [_skin(hull)] if hull.thickness > 0.0 else []
    lumps += [_rib(hull, rib) for rib in hull.ribs]
    lumps += [_stringer(hull, bar) for bar in hull.stringers]
    found = total(lumps)
    if found.mass <= 0.0:
        return Lump("hull", "hull", 0.0, np.array([hull.length / 2.0, 0.0, 0.0]))
    return Lump("hull", "hull", EXTRAS * found.mass, found.centre)


def _skin(hull: Hull) -> Lump:
    high = Plane(np.array([0.0, 0.0, 1.0]), 1e5)
    outer = immersed(outer_shell(hull), high)
    inner = immersed(Shell(hull.chain, hull.line_rows, hull.span, hull.ends), high)
    metal = outer.volume - inner.volume
    centre = (outer.volume * outer.centre - inner.volume * inner.centre) / metal
    return Lump("skin", "hull", metal * DENSITY * 1e-9, centre)


def _channel(length: float, height: float, width: float) -> float:
    """Mass of a channel of two sides and a back, kg."""
    return length * (2.0 * height + width) * RIB_THICKNESS * DENSITY * 1e-9


def _rib(hull: Hull, rib: Rib) -> Lump:
    """A rib along the skin between its two lines on both sides."""
    runs = []
    for side in SIDES:
        section = hull.section(rib.x, side)
        ends = [hull.skins[side].line(name, rib.x) for name in (rib.low, rib.high)]
        kept = section[(np.abs(section[:, 0]) <= ends[1][0] + 1.0) & (section[:, 1] <= ends[1][1] + 1.0)]
        runs.append(_run(kept, rib.x, _channel(1.0, rib.height, rib.width)))
    found = total(runs)
    centre = np.array([rib.x, 0.0, rib.height / 2.0]) if found.mass <= 0.0 else found.centre
    return Lump(rib.name, "hull", found.mass, centre)


def _run(points: Array, x: float, mass_per_mm: float) -> Lump:
    step = np.linalg.norm(np.diff(points, axis=0), axis=1)
    length = float(step.sum())
    if length <= 0.0:
        return Lump("run", "hull", 0.0, np.zeros(3))
    middle = (step @ ((points[1:] + points[:-1]) / 2.0)) / length
    return Lump("run", "hull", mass_per_mm * length, np.array([x, *middle]))


def _stringer(hull: Hull, bar: Stringer) -> Lump:
    x = (bar.aft + bar.forward) / 2.0
    at = np.linspace(bar.aft, bar.forward, 9)
    height = float(np.nanmean(hull.bottom(at, np.full(9, bar.y))))
    mass = _channel(bar.forward - bar.aft, bar.height, bar.width)
    return Lump(bar.name, "hull", mass, np.array([x, bar.y, height + bar.height / 2.0]))
