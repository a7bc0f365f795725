"""The way a lid opens: about a hinge, slid along its deck, or lifted out; and the struts that hold it."""

from __future__ import annotations

import math

import numpy as np

from model.boatfile.lid_schema import StrutEntry
from model.boatfile.numbers import Key
from model.boatfile.schema import OpeningEntry
from model.geometry import Array
from model.layout.context import Context
from model.layout.edges import OPPOSITE_HAND
from model.layout.records import LidWay, StrutAsked
from parts.amounts import parse_force
from parts.outline import Loop

SIDES = {"aft": (-1.0, 0.0), "forward": (1.0, 0.0), "port": (0.0, 1.0), "starboard": (0.0, -1.0)}
"""Which way each side of a lid looks in its deck's plane."""

LEAST_EDGE = 0.4
"""A hinge needs an edge that runs over this share of the lid's width there."""

ASLANT = 0.7
"""Least cosine between an edge's way out and the side it is said to be on: 45 degrees."""

NONE = "none"


def hinge_line(outline: Loop, side: str) -> Array | None:
    """The two ends `(2, 2)` of the longest straight edge that looks to a side; None without a fit one.

    Args:
        outline: of the lid, in its deck's plane.
        side: aft, forward, port or starboard.
    """
    loop = outline.ccw()
    starts, ends = loop.points, np.roll(loop.points, -1, axis=0)
    runs = ends - starts
    lengths = np.hypot(runs[:, 0], runs[:, 1])
    toward = np.array(SIDES[side])
    outward = np.stack([runs[:, 1], -runs[:, 0]], axis=1) / np.maximum(lengths, 1e-9)[:, None]
    fit = (np.abs(loop.bulges) < 1e-9) & (outward @ toward > ASLANT)
    if not fit.any():
        return None
    best = int(np.argmax(np.where(fit, lengths, 0.0)))
    x0, y0, x1, y1 = loop.bounds
    width = y1 - y0 if toward[0] else x1 - x0
    return None if lengths[best] < LEAST_EDGE * width else np.stack([starts[best], ends[best]])


def lid_way(
    ctx: Context, entry: OpeningEntry, outline: Loop, mirrored: bool, where: tuple[Key, ...]
) -> LidWay:
    """How a lid opens; what cannot be is noted as a fault.

    Args:
        ctx: the file's numbers.
        entry: the opening.
        outline: of the lid, on the side that it is for.
        mirrored: whether that is the other side of what the file describes.
        where: keys that lead to the opening.
    """
    opens = ctx.numbers.angle(entry.opens, *where, "opens")
    if not (math.isnan(opens) or 0.0 <= opens <= math.pi + 1e-9):
        ctx.fault((*where, "opens"), "a lid opens from 0 to 180 degrees", "give an angle between them")
    _one_way(ctx, entry, where)
    hinge, slide = (
        OPPOSITE_HAND.get(side, side) if mirrored else side for side in (entry.hinge, entry.slide)
    )
    if hinge != NONE and not mirrored and hinge_line(outline, hinge) is None:
        fit = [side for side in SIDES if hinge_line(outline, side) is not None]
        ctx.fault(
            (*where, "hinge"),
            f"the lid has no straight edge on its {hinge} side to take a hinge",
            f"hinge it {' or '.join(fit)}" if fit else "leave `hinge` out, so that the lid lifts out",
        )
    strut = None if entry.strut is None else _strut(ctx, entry.strut, where)
    return LidWay(hinge, opens, slide, _travel(ctx, entry, outline, slide, where), strut)


def _one_way(ctx: Context, entry: OpeningEntry, where: tuple[Key, ...]) -> None:
    """Notes keys of two ways of opening that stand together."""
    slides, hinged = entry.slide != NONE, entry.hinge != NONE
    if slides and hinged:
        ctx.fault((*where, "slide"), "a lid that is hinged does not slide", "leave out `hinge` or `slide`")
    if slides and "opens" in entry.model_fields_set:
        ctx.fault(
            (*where, "opens"), "a lid that slides opens to no angle", "give `travel`, a length, or nothing"
        )
    if entry.travel is not None and not slides:
        ctx.fault((*where, "travel"), "the lid does not slide", "give `slide: forward` or another side")
    if entry.strut is not None and not hinged:
        ctx.fault((*where, "strut"), "gas struts need a hinge", "give `hinge`, or leave `strut` out")


def _travel(ctx: Context, entry: OpeningEntry, outline: Loop, slide: str, where: tuple[Key, ...]) -> float:
    """How far it slides, mm: by its own size, unless said."""
    if entry.travel is not None:
        return ctx.numbers.positive(entry.travel, *where, "travel")
    if slide == NONE:
        return 0.0
    u0, v0, u1, v1 = outline.bounds
    return u1 - u0 if SIDES[slide][0] else v1 - v0


def _strut(ctx: Context, entry: StrutEntry, where: tuple[Key, ...]) -> StrutAsked:
    at = (*where, "strut")
    stroke = None if entry.stroke is None else ctx.numbers.positive(entry.stroke, *at, "stroke")
    on_lid, on_frame = (_eye(ctx, entry, key, at) for key in ("on_lid", "on_frame"))
    return StrutAsked(entry.count, _force(ctx, entry, at), stroke, on_lid, on_frame, at)


def _eye(ctx: Context, entry: StrutEntry, key: str, at: tuple[Key, ...]) -> tuple[float, float] | None:
    """An eye as (out, down), mm; None where it is to be chosen."""
    given = getattr(entry, key)
    if given is None:
        return None
    out, down = (float(v) for v in ctx.numbers.point(given, *at, key))
    if out <= 0.0:
        ctx.fault((*at, key), "the eye is not out from the hinge line", "give a distance out above zero")
    return out, down


def _force(ctx: Context, entry: StrutEntry, at: tuple[Key, ...]) -> float | None:
    if entry.force is None:
        return None
    try:
        return parse_force(entry.force)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        ctx.fault((*at, "force"), wrong, right)
        return math.nan
