"""From measured points to lines: splines along the hull, lines that run out, panels that bow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from model.bow import Bow, bowed
from model.geometry import Array
from model.skin import Cubics, Skin
from model.survey import SAME

MERGE = 1e-6
"""Millimetres; breaks of lines nearer than this are one."""


@dataclass(frozen=True, eq=False, slots=True)
class Track:
    """The measured points of one line on one side, from aft forward.

    Attributes:
        points: `(k, 3) float`: x, half-breadth, height; mm.
        starts: False if the line is missing at the first station, so that it begins farther forward.
        ends: False if it is missing at the last station.
    """

    points: Array
    starts: bool = True
    ends: bool = True


def lofted_lines(tracks: Mapping[str, Track], stations: Sequence[float], straight: bool) -> dict[str, Cubics]:
    """The lines of one side through their measured points, on the same breaks; those that run out carried on.

    Args:
        tracks: the measured points by line, in order from the lowest up.
        stations: rising, mm.
        straight: straight lines from station to station in place of fair curves.
    """
    own = {name: Cubics.through(t.points[:, 0], t.points[:, 1:], straight) for name, t in tracks.items()}
    first = min(float(t.points[0, 0]) for t in tracks.values() if t.starts)
    last = max(float(t.points[-1, 0]) for t in tracks.values() if t.ends)
    breaks = _union([curve.breaks[1:-1] for curve in own.values()], _changes(tracks, stations), first, last)
    return _held({name: curve.on(breaks) for name, curve in own.items()}, tracks, stations)


def loft_side(
    lines: Mapping[str, Cubics],
    bows: Mapping[str, Bow],
    fractions: Mapping[str, Array],
    stations: Sequence[float],
    straight: bool,
    plank: bool,
) -> Skin:
    """The skin of one side from its lofted lines.

    Args:
        lines: in order from the lowest up, on the same breaks.
        bows: what was measured between a line and the one above it, by the lower line.
        fractions: where a bowed panel is divided, `(k,) float` rising inside 0..1, by the lower line.
        stations: rising, mm.
        straight: as the lines.
        plank: the lowest line stands off the centreline, which then closes the section.
    """
    names = list(lines)
    panels = {
        low: bowed(lines[low], lines[high], bows.get(low), fractions[low], stations, straight)
        for low, high in pairwise(names)
        if low in fractions
    }
    breaks = lines[names[0]].breaks
    inner = [curve.breaks[1:-1] for panel in panels.values() for curve in panel]
    every = _union(inner, breaks[1:-1], float(breaks[0]), float(breaks[-1]))
    return _stacked(lines, panels, fractions, every, plank)


def _stacked(
    lines: Mapping[str, Cubics],
    panels: Mapping[str, Sequence[Cubics]],
    fractions: Mapping[str, Array],
    breaks: Array,
    plank: bool,
) -> Skin:
    """All curves of a side on the same breaks, bowed panels divided."""
    on = {name: curve.on(breaks).coefficients for name, curve in lines.items()}
    names = list(lines)
    stack: list[Array] = []
    rows: dict[str, int] = {}
    if plank:
        stack.append(on[names[0]] * np.array([0.0, 1.0]))
    for i, name in enumerate(names):
        rows[name] = len(stack)
        stack.append(on[name])
        if name in panels:
            low, high = on[name], on[names[i + 1]]
            for t, offset in zip(fractions[name], panels[name], strict=True):
                stack.append((1.0 - t) * low + t * high + offset.on(breaks).coefficients)
    curves = Cubics(breaks, np.concatenate(stack, axis=2))
    return Skin(curves, rows, (float(breaks[0]), float(breaks[-1])))


def _union(inner: Sequence[Array], more: Sequence[float] | Array, first: float, last: float) -> Array:
    """All breaks between `first` and `last` once, with these two at the ends."""
    every = np.unique(np.concatenate([*inner, np.asarray(more, dtype=np.float64), [first, last]]))
    every = every[(every >= first) & (every <= last)]
    # The ends stay exactly themselves; of inner breaks that nearly coincide the first one stays.
    inside = every[(every > first + MERGE) & (every < last - MERGE)]
    kept = inside[np.diff(inside, prepend=-np.inf) > MERGE]
    return np.concatenate([[first], kept, [last]])


def _changes(tracks: Mapping[str, Track], stations: Sequence[float]) -> list[float]:
    """Where a line begins or ends short of the hull's end, and where it has come to rest on its chord."""
    found: list[float] = []
    for track in tracks.values():
        if not track.ends:
            found += [float(track.points[-1, 0]), _next(stations, float(track.points[-1, 0]))]
        if not track.starts:
            found += [float(track.points[0, 0]), -_next([-s for s in stations], -float(track.points[0, 0]))]
    return found


def _next(stations: Sequence[float], x: float) -> float:
    """The next station beyond x, or x itself at the end."""
    return min((s for s in stations if s > x + SAME), default=x)


def _held(
    lines: Mapping[str, Cubics], tracks: Mapping[str, Track], stations: Sequence[float]
) -> dict[str, Cubics]:
    """Lines that run out are carried on between their neighbours, so that the skin stays whole."""
    held = dict(lines)
    names = list(lines)
    out = sorted((n for n in names if not tracks[n].ends), key=lambda n: -tracks[n].points[-1, 0])
    for name in out:
        x = float(tracks[name].points[-1, 0])
        reach = [n for n in names if tracks[n].ends or tracks[n].points[-1, 0] > x + SAME]
        held[name] = _carried(held, names, name, reach, x, _next(stations, x), forward=True)
    late = sorted((n for n in names if not tracks[n].starts), key=lambda n: tracks[n].points[0, 0])
    for name in late:
        x = float(tracks[name].points[0, 0])
        reach = [n for n in names if tracks[n].starts or tracks[n].points[0, 0] < x - SAME]
        rest = -_next([-s for s in stations], -x)
        held[name] = _carried(held, names, name, reach, x, rest, forward=False)
    return held


def _carried(
    lines: Mapping[str, Cubics],
    names: Sequence[str],
    name: str,
    reach: Sequence[str],
    x: float,
    rest: float,
    forward: bool,
) -> Cubics:
    """A line held beyond x on the chord of the nearest lines that reach on, at its last chord fraction.

    What stands off the chord at x fades out to nothing at `rest`.
    """
    here = names.index(name)
    low = lines[next(n for n in reversed(names[:here]) if n in reach)]
    high = lines[next(n for n in names[here + 1 :] if n in reach)]
    curve = lines[name]
    ends = np.array([c.at(x)[0] for c in (low, curve, high)])
    slopes = np.array([c.slope(x)[0] for c in (low, curve, high)])
    chord = ends[2] - ends[0]
    f = float(np.clip((ends[1] - ends[0]) @ chord / max(float(chord @ chord), SAME), 0.0, 1.0))
    off = ends[1] - (1.0 - f) * ends[0] - f * ends[2]
    drift = slopes[1] - (1.0 - f) * slopes[0] - f * slopes[2]
    fade = _fade(off, drift, x, rest).on(curve.breaks).coefficients
    middles = (curve.breaks[:-1] + curve.breaks[1:]) / 2.0
    fading = ((middles > x) & (middles < rest)) if forward else ((middles < x) & (middles > rest))
    beyond = middles > x if forward else middles < x
    resting = (1.0 - f) * low.coefficients + f * high.coefficients
    resting = resting + np.where(fading[None, :, None, None], fade, 0.0)
    return Cubics(curve.breaks, np.where(beyond[None, :, None, None], resting, curve.coefficients))


def _fade(off: Array, drift: Array, x: float, rest: float) -> Cubics:
    """The cubic that leaves x with value `off` and slope `drift` and comes to rest at zero, uncrossed.

    A slope that would carry it across zero, or away from it by more than it stands off, is cut to what a
    monotone cubic bears (three times the mean slope).
    """
    h = rest - x
    if abs(h) <= SAME:
        return Cubics(np.array([x - 1.0, x]), np.zeros((4, 1, 1, 2)))
    mean = -off / h
    slope = np.where(drift * mean > 0.0, np.sign(mean) * np.minimum(np.abs(drift), 3.0 * np.abs(mean)), 0.0)
    a = 2.0 * off / h**3 + slope / h**2
    b = -3.0 * off / h**2 - 2.0 * slope / h
    return Cubics(np.array([x, x + 1.0]), np.stack([a, b, slope, off])[:, None, None, :])
