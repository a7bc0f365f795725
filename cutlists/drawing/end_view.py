"""A bent piece seen from its end: what it looks like folded, for each place where flanges have returns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cutlists.drawing.drawing import OUTLINE, PALE, Drawing, letters_wide
from cutlists.drawing.onto import Onto
from model.bends.folded_panel import FoldedPanel
from model.bends.order import sections_across
from model.flat_arcs import polygon_of
from parts.outline import Loop

if TYPE_CHECKING:
    from collections.abc import Callable

    from model.bends.made import Fold
    from model.panel import Panel
    from model.strip import Strip

HIGH = 30.0
"""Room that the views take, mm of paper."""
WIDE = 62.0
"""Room for one of them side by side, mm of paper."""
LONG = 60.0
"""Of flat sheet behind a flange no more is shown, mm."""
LETTERS = 2.1


@dataclass(frozen=True, eq=False)
class EndView:
    """One section: outlines of its metal, face up, mm, and its outside lengths from edge to edge."""

    loops: tuple[Loop, ...]
    lengths: tuple[float, ...]


def end_views(piece: Panel | Strip) -> list[EndView]:
    """The sections of a piece across flanges with returns; none where no flange has one."""
    if not isinstance(piece, FoldedPanel) or not piece.steps:
        return []
    core = polygon_of(piece.base, piece.base_holes)
    found: list[EndView] = []
    for across in sections_across(core, piece.folds):
        folds = [piece.folds[k] for k in dict.fromkeys(fold for fold, _ in across.of)]
        if any(fold.flange.returns for fold in folds):
            view = _view(folds, across.lengths)
            if all(view.lengths != other.lengths for other in found):
                found.append(view)
    return found


def _view(folds: list[Fold], lengths: tuple[float, ...]) -> EndView:
    """The sheet between two flanges, or behind one, and their sections: the last fold to the right."""
    right = folds[-1].flange
    both = len(folds) == 2
    depth = lengths[len(folds[0].flange.turns)] if both else lengths[0]
    shown = depth if both else min(depth, LONG)
    left_end = folds[0].flange.setback if both else 0.0
    t = right.thickness
    plate = Loop.polygon(
        [(left_end - shown, 0.0), (-right.setback, 0.0), (-right.setback, t), (left_end - shown, t)]
    )
    loops = [plate, _laid(folds[-1], 1.0, 0.0)]
    if both:
        loops.append(_laid(folds[0], -1.0, -depth))
    return EndView(tuple(loops), lengths if both else lengths[1:])


def _laid(fold: Fold, way: float, at: float) -> Loop:
    """A flange's section with the sheet's face up, to the right or (`way` -1) to the left of `at`."""
    own = fold.flange
    section = own.section()
    flip = 1.0 if own.up else -1.0
    lift = 0.0 if own.up else own.thickness
    turn = np.array([[way, 0.0], [0.0, flip]])
    return section.transformed(turn, (at, lift))


def draw_end_views(
    drawing: Drawing, views: list[EndView], left: float, top: float, word: Callable[[float], str]
) -> None:
    """The views side by side from an upper left corner, each with its outside lengths, as far as they fit."""
    x = left
    for view in views:
        told = "outside " + ", ".join(word(length) for length in view.lengths)
        wide = max(WIDE, letters_wide(told, LETTERS) + 6.0)
        if x + wide > drawing.width:
            return
        bounds = np.array([loop.bounds for loop in view.loops])
        low, high = bounds[:, :2].min(axis=0), bounds[:, 2:].max(axis=0)
        onto = Onto.fit(low, high, (x, top, WIDE - 8.0, HIGH - 11.0))
        for loop in view.loops:
            drawing.loops([onto.loop(loop)], OUTLINE, PALE)
        drawing.text(x, top + HIGH - 7.0, "folded, from its end, face up", LETTERS)
        drawing.text(x, top + HIGH - 4.0, told, LETTERS)
        x += wide
