"""Any many-sided plate with any flanges: sound flat patterns whose parts add up, or a plain refusal."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from model.bends.flange import Flange
from model.bends.fold import FoldError, flap, fold
from model.flat_arcs import polygon_of
from model.geometry import Frame
from model.panel import Panel
from parts.catalogue import starter
from parts.outline import CHORD, Loop

SHEET = starter().sheets["5052-0.090"]
T = SHEET.thickness


@st.composite
def plates(draw: st.DrawFn) -> Loop:
    """Star-shaped outlines with corners of every kind, sharp or rounded."""
    count = draw(st.integers(3, 8))
    steps = np.array(draw(st.lists(st.floats(0.5, 1.5), min_size=count, max_size=count)))
    turn = np.cumsum(steps / steps.sum()) * 2 * math.pi
    out = np.array(draw(st.lists(st.floats(120.0, 400.0), min_size=count, max_size=count)))
    corners = np.column_stack([out * np.cos(turn), out * np.sin(turn)])
    radius = draw(st.sampled_from([0.0, 0.0, 2.0, 8.0]))
    try:
        return Loop.rounded(corners, radius)
    except ValueError:
        return Loop.polygon(corners)


@settings(max_examples=60, deadline=None)
@given(
    outline=plates(),
    chosen=st.sets(st.integers(0, 15), min_size=1),
    height=st.floats(15.0, 60.0),
    degrees=st.floats(5.0, 120.0),
    radius=st.floats(0.0, 5.0),
    relief=st.floats(0.5, 8.0),
)
def test_parts_add_up(
    outline: Loop, chosen: set[int], height: float, degrees: float, radius: float, relief: float
) -> None:
    polygon = polygon_of(outline)
    if not polygon.is_valid:
        return
    panel = Panel("plate", Frame.level(0.0), outline, (), SHEET, "deck")
    points = outline.ccw().points
    flanges = [
        Flange(
            "flange",
            points[i],
            points[(i + 1) % len(points)],
            height,
            math.radians(degrees),
            radius,
            T,
            0.4,
            True,
        )
        for i in sorted(chosen)
        if i < len(points) and outline.ccw().bulges[i] == 0
    ]
    flanges = [own for own in flanges if own.length > 12.0 and own.leg > 0]
    if not flanges:
        return
    try:
        folded = fold(panel, flanges, relief)
    except FoldError:
        return
    flat, core = folded.cut_polygon, polygon_of(folded.base, folded.base_holes)
    assert flat.is_valid
    assert core.is_valid
    parts = [core, *(flap(own, 0.0) for own in folded.folds)]
    lap = sum(one.intersection(other).area for one, other in combinations(parts, 2))
    lost = sum(part.area for part in parts) - flat.area
    assert -0.01 < lost < lap + 0.01  # three that lap in one place are counted thrice
    # every bend begins on the flat part, all along it
    for own in folded.folds:
        line = shapely.LineString(own.flange.strip(own.low, own.high, -own.flange.setback - 0.01, 0.0)[2:])
        assert line.intersection(core).length > own.length - 0.1
    # and the flat part is no larger than the plate it was made of, arcs followed within CHORD
    assert core.difference(polygon.buffer(CHORD + 0.01)).area < 1e-6
