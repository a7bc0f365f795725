"""Where a run is held: at places where something is beside it to be clipped to, often enough."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from model.geometry import Array
from model.ways.places import CLIP, FAR

if TYPE_CHECKING:
    from model.ways.route import Ways

STEP = 15.0
"""Places for a clip are looked at this far apart, mm."""

BESIDE = 8.0
"""A clip reaches from a run to what lies this near to it, mm."""

SOLID = ("member", "sheet", "well", "stringer", "rib")


def clips_of(ways: Ways, path: Array, radius: float) -> Array:
    """Clips along a path `(n, 3)`, no further apart than a run may hang, `(m, 3)`.

    Each is put as far along as may be where something is to clip to; where nothing is for so long, it hangs
    from a bracket at the end of that length.

    Args:
        ways: of the boat.
        path: of the run.
        radius: of the run, mm.
    """
    far = np.concatenate([[0.0], np.cumsum(np.sqrt((np.diff(path, axis=0) ** 2).sum(axis=1)))])
    at = np.linspace(0.0, far[-1], max(2, int(far[-1] / STEP) + 1))
    points = np.column_stack([np.interp(at, far, path[:, k]) for k in range(3)])
    held = at[_beside(ways, points, radius)]
    found: list[float] = []
    last = 0.0
    while far[-1] - last > FAR or not found:
        # the first is asked for within half a span, so that a short run has one in its middle
        most = last + FAR if found else min(FAR, far[-1] / 2.0)
        near = held[(held > last + STEP) & (held <= most)]
        last = float(near[-1]) if len(near) else most
        found.append(last)
    return np.column_stack([np.interp(found, far, path[:, k]) for k in range(3)])


def _beside(ways: Ways, points: Array, radius: float) -> npt.NDArray[np.bool_]:
    """Which of `(n, 3)` points have metal beside them."""
    reach = radius + CLIP + BESIDE
    hit, slab = ways.blocks.hits(points, points, reach)
    found = np.zeros(len(points), dtype=np.bool_)
    found[hit[np.isin(ways.blocks.kinds[slab], SOLID)]] = True
    ask = np.flatnonzero(~found)
    found[ask] = ways.hull.gap(points[ask], ends=True) <= reach
    return found
