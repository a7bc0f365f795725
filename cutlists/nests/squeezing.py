"""A sheet's pieces pressed together by the engine: to make room for one more, or to leave a larger rest."""

from __future__ import annotations

import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity

from cutlists.nests.engine import Answer, Limits, StripTask, run_engine
from cutlists.nests.filling import Work
from cutlists.nests.forms import Form
from cutlists.nests.ground import Ground, Laid, Plot, Spot
from cutlists.nests.records import turn_matrix
from parts.outline import Array

_SPARE = 0.02
"""Added to the spacing: the engine counts in single precision, mm."""
_IN_REACH = 0.005
"""Of which this much is kept off the sheet's edges, mm."""
_REPORTS = 160
"""Reports of the engine in each run of a search of three nominal seconds; by then most is found."""
FAILING, FITTING = 1.0, 0.3
"""Nominal seconds of such a run, both directions at once, to its end or until all fit."""
_FULLEST = 0.85
"""The engine is not asked to fit pieces whose outer outlines cover more of the usable sheet than this."""


@dataclass(frozen=True, eq=False)
class Block:
    """A form as it lies, with the forms in its openings, moved as one.

    `ways` are the quarter turns, degrees, from how it lies that are allowed to all of them.
    """

    outline: shapely.Polygon
    laid: tuple[Laid, ...]
    ways: tuple[int, ...]


def blocks_of(laid: Sequence[Laid]) -> list[Block]:
    """Forms that lie free, each with those in its openings."""
    polygons = [one.polygon for one in laid]
    outers = [shapely.Polygon(polygon.exterior) for polygon in polygons]
    hosts: dict[int, list[int]] = {}
    for i, polygon in enumerate(polygons):
        around = [
            j
            for j, outer in enumerate(outers)
            if j != i and outer.area > polygon.area and outer.covers(polygon)
        ]
        # A form in an opening of a form in an opening belongs to the outermost.
        hosts.setdefault(max(around, key=lambda j: outers[j].area, default=i), []).append(i)
    found = []
    for host, members in hosts.items():
        together = tuple(laid[i] for i in members)
        found.append(Block(outers[host], together, _ways(together)))
    return found


def _ways(laid: Sequence[Laid]) -> tuple[int, ...]:
    return tuple(
        way
        for way in (0, 90, 180, 270)
        if all(((one.spot.pose.turn + way) % 360, one.spot.pose.flipped) in one.form.alike for one in laid)
    )


def make_room(ground: Ground, extra: Form, seed: int, work: Work) -> Ground | None:
    """The sheet laid anew with one more form on it; None if the engine does not find how."""
    pose = extra.poses[0]
    blocks = [*blocks_of(ground.laid), *blocks_of([Laid(extra, Spot(pose, 0.0, 0.0))])]
    if sum(block.outline.area for block in blocks) > _FULLEST * ground.plot.area:
        return None
    for axis, answer in _run(blocks, ground.plot, seed, work, fit=True):
        if _left(answer, ground.plot, axis) >= 0:
            found = _laid_out(blocks, ground.plot, axis, answer, work)
            if found is not None:
                return found
    return None


def press(ground: Ground, seed: int, work: Work) -> list[Ground]:
    """The sheet laid anew as short as the engine finds along its length, and across it.

    Where the clock decides, only along its length, with both cores until time is up.
    """
    blocks = blocks_of(ground.laid)
    axes, workers = ((0, 1), 1) if work.repeatable else ((0,), 2)
    laid = [
        _laid_out(blocks, ground.plot, axis, answer, work)
        for axis, answer in _run(blocks, ground.plot, seed, work, False, axes, workers)
        if _left(answer, ground.plot, axis) >= 0
    ]
    return [new for new in laid if new is not None]


def _left(answer: Answer, plot: Plot, axis: int) -> float:
    """Area of the strip that an answer leaves free, mm2; below zero where it is too long for the plot."""
    if answer.strip is None:
        return -np.inf
    return (_length(plot, axis) - answer.strip.length) * plot.size[1 - axis]


def _spacing(plot: Plot) -> float:
    return plot.spacing + _SPARE


def _length(plot: Plot, axis: int) -> float:
    """The longest strip that the plot holds along an axis; the engine's spacing is kept at both its ends."""
    return plot.size[axis] + 2 * (_spacing(plot) - _IN_REACH)


def _run(
    blocks: Sequence[Block],
    plot: Plot,
    seed: int,
    work: Work,
    fit: bool,
    axes: Sequence[int] = (0, 1),
    workers: int = 1,
) -> list[tuple[int, Answer]]:
    """The engine's answers for strips along the length (0) and along the width (1), run side by side.

    A strip too low for one of the blocks is left out.
    """
    axes = [axis for axis in axes if all(_enters(block, plot, axis) for block in blocks)]
    if not axes:
        return []
    tasks = [_task(blocks, plot, axis, seed, workers) for axis in axes]
    limits = [_limits(work, _length(plot, axis) if fit else 0.0) for axis in axes]
    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(run_engine, tasks, limits))
    fitted = any(a.strip and a.strip.length <= limit.target for a, limit in zip(answers, limits, strict=True))
    work.charge((FITTING if fitted else FAILING) * _scale(work))
    if work.repeatable:
        work.cut_short |= any(answer.by_clock and not answer.fault for answer in answers)
    work.notes += [f"the engine failed: {answer.fault}" for answer in answers if answer.fault]
    return list(zip(axes, answers, strict=True))


def _enters(block: Block, plot: Plot, axis: int) -> bool:
    """Whether the block can lie within a strip along the axis."""
    low_x, low_y, high_x, high_y = block.outline.bounds
    across = (high_y - low_y, high_x - low_x)
    return any(across[(way // 90 + axis) % 2] < plot.size[1 - axis] - 0.1 for way in block.ways)


def _scale(work: Work) -> float:
    """How long the engine may try, against a search of three nominal seconds."""
    return max(1.0, work.effort / 3)


def _limits(work: Work, target: float) -> Limits:
    """Limits of one run; where the clock decides, pressing has all that is left of the time."""
    scale = _scale(work)
    if work.repeatable:
        return Limits(work.deadline, target, round(_REPORTS * scale), 1)
    return Limits(min(work.deadline, time.monotonic() + scale) if target else work.deadline, target)


def _task(blocks: Sequence[Block], plot: Plot, axis: int, seed: int, workers: int) -> StripTask:
    """The blocks as items of a strip along the axis; across, the sheet is turned a quarter for the engine."""
    outlines = [
        tuple((float(x), float(y)) for x, y in shapely.get_coordinates(block.outline)[:-1])
        for block in blocks
    ]
    turns = [tuple(float((way + 90 * axis) % 360) for way in block.ways) for block in blocks]
    return StripTask(_length(plot, 1 - axis), tuple(outlines), tuple(turns), _spacing(plot), seed, workers)


def _laid_out(blocks: Sequence[Block], plot: Plot, axis: int, answer: Answer, work: Work) -> Ground | None:
    """The sheet as the engine laid it, each spot checked; None if one does not hold."""
    assert answer.strip is not None
    ground = Ground(plot)
    edge = _spacing(plot) - _IN_REACH
    for block, turn, (u, v) in zip(blocks, answer.strip.turns, answer.strip.moves, strict=True):
        way = round(turn / 90 - axis) * 90 % 360
        along = (u, v) if axis == 0 else (v, answer.strip.length - u)
        offset = np.array(along) - edge
        for one in block.laid:
            spot = _moved(one, way, offset)
            if not ground.is_clear(spot):
                work.notes.append(f"a layout of the engine was refused: {one.form.piece.name} is too near")
                return None
            ground.put(one.form, spot)
    return ground


def _moved(one: Laid, way: int, offset: Array) -> Spot:
    """The spot after a turn about the ground's corner and a move."""
    pose = one.form.alike[(one.spot.pose.turn + way) % 360, one.spot.pose.flipped]
    turned = affinity.affine_transform(one.polygon, [*turn_matrix(way, False).ravel(), *offset])
    low_x, low_y = turned.bounds[:2]
    return Spot(pose, low_x, low_y)
