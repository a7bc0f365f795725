"""Judges the cuts of a stick: sawn one after the other, they free every piece and enter none.

The blade is a slab between two planes, followed on the fibres at the corners of the section's hull. A cut may
touch a neighbour's room once the two are apart, not before.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from cutlists.sticks.records import Cut, Stick
from cutlists.sticks.saw_setting import ALMOST
from model.geometry import Array

ENTERS = 1e-3
"""A blade may enter a piece this far, mm, which is rounding."""
MADE = 0.1
"""An end is made where a cut leaves it within this, mm: pieces of a mark may differ by as much."""


def cut_faults(
    stick: Stick, spans: Sequence[Array], fibres: Array, kerf: float, same_cut: float
) -> Iterator[str]:
    """What is wrong with the cuts, in words.

    Args:
        stick: with its cuts in order.
        spans: where each piece begins and ends on each fibre, `(n, 2)`, from left to right, mm.
        fibres: section points, `(n, 2)`.
        kerf: mm, square to the cut.
        same_cut: end planes this close are made by one cut, rad.
    """
    reach = float(np.hypot(*fibres.T).max())
    apart = [False] * (len(spans) + 1)
    made = {
        (0, 0): _is_flat(spans[0][:, 0], 0.0),
        (len(spans) - 1, 1): _is_flat(spans[-1][:, 1], stick.length),
    }
    for number, cut in enumerate(stick.cuts, start=1):
        low, high = _slab(cut, fibres, kerf)
        # Two ends of a class are up to twice the angle apart, and as much again is left between them.
        made_to = MADE + 8.0 * max(same_cut, ALMOST) * (1.0 + float(cut.slope @ cut.slope)) * reach
        gap = sum(float(span.mean()) < float(low.mean() + high.mean()) / 2.0 for span in spans)
        for piece, side, face, enters in _beside(spans, gap, low, high):
            if enters > ENTERS and not (apart[gap] and side == (cut.blade < 0)):
                yield f"cut {number} goes {enters:.3f} mm into {stick.placed[piece].name}"
            if np.abs(face - spans[piece][:, side]).max() <= made_to:
                made[piece, side] = True
        apart[gap] = True
    for piece, placed in enumerate(stick.placed):
        for side, name in ((0, "left"), (1, "right")):
            if not made.get((piece, side)):
                yield f"no cut makes the {name} end of {placed.name}"


def _is_flat(ends: Array, at: float) -> bool:
    """Whether an end is the raw end of the stick."""
    return bool(np.abs(ends - at).max() <= MADE)


def _slab(cut: Cut, fibres: Array, kerf: float) -> tuple[Array, Array]:
    """The left and the right face of the blade on each fibre, x in mm."""
    off = -fibres @ cut.slope
    thick = kerf * float(np.sqrt(1.0 + cut.slope @ cut.slope))
    face = cut.at + off - (off.max() if cut.blade > 0 else off.min())
    return (face, face + thick) if cut.blade > 0 else (face - thick, face)


def _beside(
    spans: Sequence[Array], gap: int, low: Array, high: Array
) -> Iterator[tuple[int, int, Array, float]]:
    """The pieces left and right of a cut: place, which end, the face of the blade towards it, how far in."""
    if gap > 0:
        yield gap - 1, 1, low, float((spans[gap - 1][:, 1] - low).max())
    if gap < len(spans):
        yield gap, 0, high, float((high - spans[gap][:, 0]).max())
