"""Short members that hold the ring round an odd opening to the rest of a deck's frame."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from model.geometry import Array
from model.skeleton.bench import LEAST_PIECE, Bench
from model.skeleton.plan_bar import SNUG, Bar, Cut
from model.skeleton.strips import straight, swap_bar

SQUARE_ON = 0.7
"""A side of the ring is tied straight out from it if it lies within 45 degrees of square to the beams."""

STEP = 5.0


def tie_holes(bench: Bench) -> None:
    """Ties each side of an odd opening's ring that faces along the beams, where no beam holds it yet.

    It runs along the beams from the middle of the side, or as near to it as both ends lie whole on a face,
    or at least with their axis.
    """
    for bar in [b for b in bench.found.bars.values() if b.role == "frame"]:
        side = swap_bar(bar, bench.athwart)
        if not _is_held(bench, bar.name):
            tie = _tie(bench, side)
            if tie is not None:
                bench.keep(tie)


def _is_held(bench: Bench, name: str) -> bool:
    """Whether a beam or an added member ends on the bar."""
    others = (b for b in bench.found.bars.values() if b.role in ("beam", "added", "tie"))
    return any(name in (b.cut_p.meets, b.cut_q.meets) for b in others)


def _tie(bench: Bench, side: Bar) -> Bar | None:
    """The tie from one side of a ring to what lies outside it; None where nothing is in reach."""
    corners, out = _outer_face(bench, side)
    if abs(out[1]) < SQUARE_ON:
        return None
    way = np.array([0.0, np.sign(out[1])])
    low, high = sorted(float(c[0]) for c in corners)
    half = bench.width / 2
    places = np.arange(low + half, high - half + 1e-6, STEP)
    middle = (low + high) / 2
    partly = None
    for s in sorted(places, key=lambda at: abs(at - middle)):
        share = (s - corners[0][0]) / (corners[1][0] - corners[0][0])
        at = corners[0] + share * (corners[1] - corners[0]) + way * LEAST_PIECE / 2
        ends = [bench.faces.stop(at, w, half) for w in (-way, way)]
        if any(
            end is None or not _on_axis(bench, end[0], at, w)
            for end, w in zip(ends, (-way, way), strict=True)
        ):
            continue
        (near, whole_near), (far, whole_far) = (end for end in ends if end is not None)
        name = side.name.replace("/frame.", "/tie.")
        tie = straight(name, "tie", bench.section, at, at + way)
        tie = replace(bench.turned(tie), cut_p=near, cut_q=far)
        if not LEAST_PIECE <= tie.shortest() <= bench.rules.beam_span:
            continue
        if whole_near and whole_far:
            return tie
        partly = partly or tie
    return partly


def _on_axis(bench: Bench, cut: Cut, at: Array, way: Array) -> bool:
    """Whether what an end is cut to is what its axis comes upon."""
    return cut.along(at, way) > bench.faces.first_hit(at, way)[0] - SNUG


def _outer_face(bench: Bench, side: Bar) -> tuple[tuple[Array, Array], Array]:
    """The two ends of a ring side's face away from its opening, and the direction it faces."""
    c = side.corners()
    faces = [(c[0], c[1]), (c[3], c[2])]
    opening = side.name.rpartition("/")[0]
    hole = next(
        shape for shape, o in zip(bench.clears, bench.deck.openings, strict=True) if o.name == opening
    )
    inside = np.array(hole.representative_point().coords[0])
    face = max(faces, key=lambda f: float(np.hypot(*((f[0] + f[1]) / 2 - inside))))
    other = faces[1] if face is faces[0] else faces[0]
    out = (face[0] + face[1]) / 2 - (other[0] + other[1]) / 2
    return face, out / np.hypot(*out)
