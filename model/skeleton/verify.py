"""What a finished frame is looked over for: members that share a place, openings built over, wide bare sheet.

The rules of framing see to most of it; where openings crowd each other so that no rule holds, a note tells.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely
from shapely import STRtree

from model.flat_arcs import polygons_of
from model.layout.edges import is_wide
from model.skeleton.bench import Bench
from model.skeleton.plan_bar import left_of
from model.skeleton.strips import swap_polygon

SHARED = 1.0
"""Square millimetres that two members may share: the rounding of their corners."""

SLACK = 10.0
"""Millimetres by which bare sheet may exceed the greatest span: members settle beside what they cross."""

OVERHANG = 1.5
"""Millimetres by which an end may reach past what it lands on."""

BRIDGED = 3.0
"""Gap, mm, that a weld fills where an end lies across a turn of the ledger (common practice)."""

CRUMB = 50.0
"""Cells no wider than this, mm, need no look."""


def verify(bench: Bench) -> None:
    """Notes what is wrong with the frame of one deck."""
    names = list(bench.found.bars)
    if not names:
        return
    shapes = np.asarray(shapely.polygons(np.array([bench.found.bars[name].corners() for name in names])))
    tree = STRtree(shapes)
    first, second = tree.query(shapes, predicate="intersects")
    first, second = first[first < second], second[first < second]
    shared = shapely.area(shapely.intersection(shapes[first], shapes[second])) > SHARED
    for i, j in sorted(zip(first[shared].tolist(), second[shared].tolist(), strict=True)):
        what = f"takes part of the place of {names[i]}"
        bench.found.notes.append((names[j], what, "set the openings that they frame further apart"))
    for opening in bench.deck.openings:
        for i in tree.query(opening.clear.buffer(-0.05), predicate="intersects"):
            what = f"lies across the opening {opening.name}"
            bench.found.notes.append((names[int(i)], what, "set the openings further apart, or leave it out"))
    _verify_ends(bench, names, tree)
    _verify_spans(bench, shapes)


def _verify_ends(bench: Bench, names: list[str], tree: STRtree) -> None:
    """Notes ends that lie partly beside what they are to land on, and on nothing else."""
    owners, points = [], []
    for i, name in enumerate(names):
        bar = bench.found.bars[name]
        corners, aside = bar.corners(), OVERHANG * left_of(bar.direction)
        for cut, right, left in ((bar.cut_p, 0, 3), (bar.cut_q, 1, 2)):
            if cut.kind == "tee":
                owners += [i, i]
                points += [corners[right] + aside, corners[left] - aside]
    if not points:
        return
    at, on = tree.query(shapely.points(np.array(points)), predicate="dwithin", distance=BRIDGED)
    own = np.array(owners)
    held = set(at[on != own[at]].tolist())
    for i in dict.fromkeys(owners[k] for k in range(len(points)) if k not in held):
        meets = {cut.meets for cut in (bench.found.bars[names[i]].cut_p, bench.found.bars[names[i]].cut_q)}
        if meets & bench.found.bars.keys():  # what is left out is told elsewhere
            what = "ends partly beside what it is to land on"
            bench.found.notes.append((names[i], what, "set the openings there in one line, or further apart"))


def _verify_spans(bench: Bench, shapes: npt.NDArray[np.object_]) -> None:
    """Notes sheet between members that a circle wider than the greatest span fits on."""
    holes = [opening.clear for opening in bench.deck.openings]
    inner = swap_polygon(bench.inner, bench.athwart).buffer(-0.1)  # the ring, without its slivers
    within = [bar.role not in ("rim", "ledger") for bar in bench.found.bars.values()]
    bare = inner.difference(shapely.union_all([*shapes[within], *holes]))
    clear = bench.rules.beam_span - bench.width
    for cell in polygons_of(bare):
        u0, v0, u1, v1 = cell.bounds
        if min(u1 - u0, v1 - v0) <= max(clear + SLACK, CRUMB) or not is_wide(cell, clear + SLACK):
            continue
        circle = shapely.maximum_inscribed_circle(cell, tolerance=SLACK / 4)
        if 2 * circle.length > clear + SLACK:
            _note_span(bench, circle)


def _note_span(bench: Bench, circle: shapely.LineString) -> None:
    x, y, _ = bench.deck.frame.to_boat(np.array(circle.coords[0]))
    span, most = 2 * circle.length + bench.width, bench.rules.beam_span
    what = (
        f"the sheet spans {span:.0f} mm about {x:.0f} forward, {y:.0f} to port, over the {most:.0f} asked for"
    )
    cure = "add a member there, or accept a longer span in the deck's rules"
    bench.found.notes.append((bench.deck.name, what, cure))
