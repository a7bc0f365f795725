"""Line drawing with hidden lines removed: the edges of pieces that a viewer sees, as spans on paper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from cutlists.view_camera import Camera
from cutlists.view_shapes import Flags, Shapes
from model.geometry import Array

CREASE = np.cos(np.radians(25.0))
"""Two triangles meeting flatter than this are one surface without an edge."""
WELD = 0.01
"""Vertices of one piece nearer than this are the same, mm."""
LIFT = np.array([0.0, 0.0, 0.3])
"""Edges are tested this far in front of themselves, mm: clear of their own faces, less than any sheet."""
INSET = 0.5
"""Edges are tested this far beside themselves, on each face toward the viewer, mm."""
LEAST = 0.02
"""Edges shorter than this on paper are not drawn, px."""
STEP = 1.0
"""Distance between visibility tests along an edge, px."""
HALVINGS = 4
"""Halvings of the step to place a line's visible end: to 1/16 px."""


@dataclass(frozen=True, eq=False, slots=True)
class Edges:
    """Straight edges in view coordinates: ends `p` and `q` `(k, 3) float`, mm.

    `piece` `(k,) int` is the place of the piece; `outline` `(k,) bool` marks the edges where a face toward
    the viewer meets one turned away. `beside` `(k, 2, 3) float` are steps from the edge onto its first and
    last face, mm, zero for a face turned away and for a line that has no faces.
    """

    p: Array
    q: Array
    piece: npt.NDArray[np.int64]
    outline: Flags
    beside: Array

    def chosen(self, rows: npt.NDArray[np.int64] | Flags) -> Edges:
        """The edges at `rows`."""
        return Edges(self.p[rows], self.q[rows], self.piece[rows], self.outline[rows], self.beside[rows])

    @classmethod
    def polylines(cls, lines: list[Array], pieces: list[int]) -> Edges:
        """The segments of `(n, 3)` polylines in view coordinates, each with the number of its piece."""
        none = np.zeros((0, 3))
        owners = [np.full(len(line) - 1, piece) for line, piece in zip(lines, pieces, strict=True)]
        p = np.concatenate([none, *(line[:-1] for line in lines)])
        q = np.concatenate([none, *(line[1:] for line in lines)])
        piece = np.concatenate([np.zeros(0, dtype=np.int64), *owners])
        return cls(p, q, piece, np.zeros(len(p), dtype=np.bool_), np.zeros((len(p), 2, 3)))


def _welded(shapes: Shapes) -> npt.NDArray[np.int64]:
    """Faces `(m, 3)` renumbered so that vertices of one piece in one place share a number."""
    owner = np.zeros(len(shapes.vertices), dtype=np.int64)
    owner[shapes.faces.ravel()] = np.repeat(shapes.piece, 3)
    places = np.round(shapes.vertices / WELD).astype(np.int64)
    keys = np.column_stack([places, owner])
    order = np.lexsort(keys.T)
    changed = np.any(np.diff(keys[order], axis=0) != 0, axis=1)
    number = np.empty(len(keys), dtype=np.int64)
    number[order] = np.concatenate([[0], np.cumsum(changed)])
    return number[shapes.faces]


def feature_edges(shapes: Shapes) -> Edges:
    """The edges to draw: creases, borders of open surfaces, and outlines of round ones.

    Edges between two faces turned away from the viewer are left out: their own piece hides them.
    """
    faces = _welded(shapes)
    pairs = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    raw = shapes.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    face = np.repeat(np.arange(len(faces)), 3)
    kept = pairs[:, 0] != pairs[:, 1]
    if not kept.any():
        return Edges.polylines([], [])
    pairs, raw, face = np.sort(pairs[kept], axis=1), raw[kept], face[kept]
    order = np.lexsort(pairs.T)
    pairs, raw, face = pairs[order], raw[order], face[order]
    starts = np.flatnonzero(np.concatenate([[True], np.any(np.diff(pairs, axis=0) != 0, axis=1)]))
    counts = np.diff(np.append(starts, len(pairs)))
    facing = (shapes.normals[face, 2] > 1e-6).astype(np.int64)
    toward = np.add.reduceat(facing, starts)
    mean = np.add.reduceat(shapes.normals[face], starts) / counts[:, None]
    # |mean|^2 of two unit normals is (1 + cos turn) / 2; more than two faces on an edge follow the same rule.
    flat = (mean**2).sum(axis=1) > (1.0 + CREASE) / 2.0
    outline = (counts == 1) | ((toward > 0) & (toward < counts))
    drawn = (toward > 0) & (outline | ~flat)
    first, last = starts[drawn], (starts + counts - 1)[drawn]
    p, q = shapes.vertices[raw[first, 0]], shapes.vertices[raw[first, 1]]
    steps = [_step_onto(shapes, face[rows], p, q) * facing[rows, None] for rows in (first, last)]
    return Edges(p, q, shapes.piece[face[first]], outline[drawn], np.stack(steps, axis=1))


def _step_onto(shapes: Shapes, face: npt.NDArray[np.int64], p: Array, q: Array) -> Array:
    """A short step from each edge p-q into its triangle `face`, square to the edge, `(k, 3) float`, mm."""
    along = (q - p) / np.maximum(np.linalg.norm(q - p, axis=1, keepdims=True), 1e-9)
    inward = shapes.vertices[shapes.faces[face]].mean(axis=1) - p
    inward -= (inward * along).sum(axis=1, keepdims=True) * along
    # The centre of a triangle stands a third of its height from each edge.
    size = np.linalg.norm(inward, axis=1, keepdims=True)
    found: Array = inward * np.minimum(INSET / np.maximum(size, 1e-9), 1.0)
    return found


def visible_spans(edges: Edges, blockers: Shapes, camera: Camera) -> Edges:
    """The parts of `edges` that nothing of `blockers` hides, as edges of their own.

    An edge is seen where a face beside it is seen; that decides flush faces and shared corners alike.
    """
    size = np.linalg.norm((edges.q - edges.p)[:, :2], axis=1) * camera.scale
    edges, size = edges.chosen(size > LEAST), size[size > LEAST]
    if not len(size):
        return edges  # a bare hull, which is seen through
    count = np.maximum(np.ceil(size / STEP).astype(np.int64), 2)
    owner = np.repeat(np.arange(len(count)), count)
    first = (np.cumsum(count) - count)[owner]
    # Tests sit in the middle of equal cells, so that the shared ends of edges decide nothing.
    t = (np.arange(len(owner)) - first + 0.5) / count[owner]

    def seen(rows: npt.NDArray[np.int64], along: Array) -> Flags:
        points = edges.p[rows] + along[:, None] * (edges.q - edges.p)[rows]
        found = np.zeros(len(rows), dtype=np.bool_)
        loose = (np.abs(edges.beside).sum(axis=(1, 2)) == 0.0)[rows]
        for side in (0, 1):
            step = edges.beside[rows, side]
            asked = loose | step.any(axis=1)
            found[asked] |= ~blockers.hidden(points[asked] + step[asked] + LIFT)
        return found

    visible = _without_specks(seen(owner, t), owner)
    turn = np.flatnonzero((owner[1:] == owner[:-1]) & (visible[1:] != visible[:-1]))
    low, high = t[turn], t[turn + 1]
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        same = seen(owner[turn], middle) == visible[turn]
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    return _spans(edges, visible, owner, turn, (low + high) / 2.0)


def _without_specks(visible: Flags, owner: npt.NDArray[np.int64]) -> Flags:
    """Single tests that differ from both neighbours on their edge take the neighbours' side."""
    found = visible.copy()
    inner = (owner[1:-1] == owner[:-2]) & (owner[1:-1] == owner[2:]) & (visible[:-2] == visible[2:])
    found[1:-1] = np.where(inner, visible[:-2], visible[1:-1])
    return found


def _spans(
    edges: Edges,
    visible: Flags,
    owner: npt.NDArray[np.int64],
    turn: npt.NDArray[np.int64],
    cut: Array,
) -> Edges:
    """Runs of visible tests as edges; `cut` `(j,)` is the place along the edge after test `turn`."""
    breaks = np.flatnonzero(owner[1:] != owner[:-1])
    ends = np.sort(np.concatenate([turn, breaks, [len(owner) - 1]])).astype(np.int64)
    begins = np.concatenate([[0], ends[:-1] + 1]).astype(np.int64)
    place = np.full(len(owner), np.nan)
    place[turn] = cut
    stop = np.where(np.isnan(place[ends]), 1.0, place[ends])
    before = np.where(begins > 0, place[begins - 1], np.nan)
    start = np.where(np.isnan(before), 0.0, before)
    kept = visible[begins]
    rows, start, stop = owner[begins[kept]], start[kept], stop[kept]
    step = (edges.q - edges.p)[rows]
    p, q = edges.p[rows] + start[:, None] * step, edges.p[rows] + stop[:, None] * step
    return Edges(p, q, edges.piece[rows], edges.outline[rows], edges.beside[rows])


def chains(paper_p: Array, paper_q: Array, grain: float = 0.02) -> list[Array]:
    """Segments joined end to end into polylines, each `(n, 2) float`, in the units given.

    Segments in the same place are drawn once. Ends nearer than `grain` are one point.
    """
    ends = np.round(np.concatenate([paper_p, paper_q]) / grain).astype(np.int64)
    points, number = np.unique(ends, axis=0, return_inverse=True)
    a, b = number.reshape(2, -1)
    links: dict[int, set[int]] = {}
    for i, j in zip(a.tolist(), b.tolist(), strict=True):
        if i != j:
            links.setdefault(i, set()).add(j)
            links.setdefault(j, set()).add(i)
    found: list[Array] = []
    # Loose ends first: what is left after them are closed rings.
    for start in sorted(links, key=lambda point: (len(links[point]) % 2 == 0, point)):
        while links[start]:
            run = [start]
            while links[run[-1]]:
                ahead = min(links[run[-1]])
                links[run[-1]].discard(ahead)
                links[ahead].discard(run[-1])
                run.append(ahead)
            found.append(points[run].astype(np.float64) * grain)
    return found
