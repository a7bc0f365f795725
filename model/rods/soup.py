"""What stands in a rod's way as triangles with names, and how near a tapered bar comes to them.

The nearest feature of a triangle to the bar's middle line is a corner, an edge or, at the bar's ends, its
face. For each of these the least of distance less radius along the bar is a closed form.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from model.geometry import Array

Ints = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

TINY = 1e-12

FLAT = 1.0 - 1e-10
"""Faces whose normals have at least this cosine between them are one."""


@dataclass(frozen=True, eq=False)
class Soup:
    """Triangles of all that is in the way.

    Attributes:
        triangles: `(m, 3, 3) float`, mm.
        owner: which name each belongs to, `(m,)`.
        names: of the pieces.
        closed: whether each triangle belongs to a closed solid and looks out of it, `(m,)`.
    """

    triangles: Array
    owner: Ints
    names: tuple[str, ...]
    closed: Flags

    @classmethod
    def of(cls, parts: Sequence[tuple[str, Array, bool]]) -> Soup:
        """The soup of named triangles `(k, 3, 3)`, each with whether they are a closed solid's.

        Triangles without area are left out.
        """
        names = tuple(dict.fromkeys(name for name, _, _ in parts))
        place = {name: k for k, name in enumerate(names)}
        kept, owner, closed = [np.zeros((0, 3, 3))], [np.zeros(0, np.int64)], [np.zeros(0, np.bool_)]
        for name, triangles, is_closed in parts:
            own = triangles[_areas(triangles) > 1e-9]
            kept.append(own)
            owner.append(np.full(len(own), place[name], dtype=np.int64))
            closed.append(np.full(len(own), is_closed))
        return cls(np.concatenate(kept), np.concatenate(owner), names, np.concatenate(closed))

    def near(self, box: Array, reach: float) -> Soup:
        """The triangles whose own box comes within `reach` of a box `(2, 3)`."""
        low, high = self.boxes
        kept = ((low <= box[1] + reach) & (high >= box[0] - reach)).all(axis=1)
        return Soup(self.triangles[kept], self.owner[kept], self.names, self.closed[kept])

    @cached_property
    def rays(self) -> Rays:
        """What lines are held against."""
        t = self.triangles
        middle = t.reshape(-1, 3).mean(axis=0) if len(t) else np.zeros(3)
        t = t - middle
        after = t[:, [1, 2, 0]]
        edges = np.concatenate([crossed(t, after), after - t], axis=2)
        normals = crossed(t[:, 1] - t[:, 0], t[:, 2] - t[:, 0])
        one, two, three = (np.ascontiguousarray(edges[:, k].T) for k in range(3))
        return Rays(
            middle, (one, two, three), np.ascontiguousarray(normals.T), (t[:, 0] * normals).sum(axis=1)
        )

    @cached_property
    def boxes(self) -> tuple[Array, Array]:
        """Least and greatest corner of each triangle, `(m, 3)` each."""
        return self.triangles.min(axis=1), self.triangles.max(axis=1)

    @cached_property
    def balls(self) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
        """Middles `(n, 3)` and radii `(n,)` of balls round corners and edges."""
        corners, edges = self.corners[0], self.edges[0]
        middles = edges.mean(axis=1)
        of_edges = np.sqrt(((edges[:, 0] - middles) ** 2).sum(axis=1))
        return (corners, np.zeros(len(corners))), (middles, of_edges)

    @cached_property
    def faces(self) -> Faces:
        """The planes of the triangles, and those square to them along their edges."""
        t = self.triangles
        normals = crossed(t[:, 1] - t[:, 0], t[:, 2] - t[:, 0])
        normals /= np.sqrt((normals**2).sum(axis=1))[:, None]
        inward = np.stack([crossed(normals, t[:, (k + 1) % 3] - t[:, k]) for k in range(3)])
        bounds = np.einsum("knj,knj->kn", inward, np.moveaxis(t, 1, 0))
        return Faces(normals, np.einsum("nj,nj->n", normals, t[:, 0]), inward, bounds)

    @cached_property
    def corners(self) -> tuple[Array, Ints]:
        """Corners, each once for each piece, `(v, 3)`, and whose they are."""
        points = np.round(self.triangles.reshape(-1, 3), 7) + 0.0
        keyed = np.column_stack([np.repeat(self.owner, 3).astype(float), points])
        _, first = np.unique(keyed, axis=0, return_index=True)
        return self.triangles.reshape(-1, 3)[first], np.repeat(self.owner, 3)[first]

    @cached_property
    def edges(self) -> tuple[Array, Ints]:
        """Edges, each once for each piece, `(e, 2, 3)`, and whose they are.

        Those within a flat face are left out: nothing straight comes nearer to them than to others.
        """
        t = self.triangles
        normal = crossed(t[:, 1] - t[:, 0], t[:, 2] - t[:, 0])
        normal /= np.sqrt((normal**2).sum(axis=1))[:, None]
        ends = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
        owner, normal = np.tile(self.owner, 3), np.tile(normal, (3, 1))
        flat = np.round(ends, 7) + 0.0
        swap = _after(flat[:, 0], flat[:, 1])
        flat[swap] = flat[swap][:, ::-1]
        keyed = np.column_stack([owner.astype(float), flat.reshape(-1, 6)])
        _, first, same = np.unique(keyed, axis=0, return_index=True, return_inverse=True)
        same = same.ravel()
        apart = np.ones(len(first))
        np.minimum.at(apart, same, (normal * normal[first[same]]).sum(axis=1))
        kept = (np.bincount(same) != 2) | (apart < FLAT)
        return ends[first[kept]], owner[first[kept]]


@dataclass(frozen=True, eq=False)
class Rays:
    """Triangles about their middle, made ready for lines.

    Attributes:
        middle: of all, `(3,)`.
        edges: moment and way of each one's three edges, `(6, m)` each.
        normals: of any length, `(3, m)`.
        offsets: normal . corner, `(m,)`.
    """

    middle: Array
    edges: tuple[Array, Array, Array]
    normals: Array
    offsets: Array


@dataclass(frozen=True, eq=False)
class Faces:
    """Triangles made ready for points, which lie over one where `inward . point >= bounds` thrice.

    Attributes:
        normals: unit, `(m, 3)`.
        offsets: normal . corner, `(m,)`.
        inward: square to the normal and each edge, towards the third corner, `(3, m, 3)`.
        bounds: inward . corner, `(3, m)`.
    """

    normals: Array
    offsets: Array
    inward: Array
    bounds: Array


@dataclass(frozen=True, eq=False)
class Contacts:
    """How near features come to a bar, one row each.

    Attributes:
        gap: distance less the bar's radius, mm, `(n,)`.
        normal: unit, from the feature to the bar, `(n, 3)`.
        share: where along the bar, 0 at the butt, 1 at the tip, `(n,)`.
        owner: whose feature it is, `(n,)`.
        point: on the feature, `(n, 3)`.
    """

    gap: Array
    normal: Array
    share: Array
    owner: Ints
    point: Array


def contacts(soup: Soup, butt: Array, tip: Array, radii: tuple[float, float], reach: float) -> Contacts:
    """The features within `reach` of a bar between the middles of its end balls; it may touch, not cross."""
    corners, edges = _near_features(soup, butt, tip, reach + max(radii))
    rows = [_corner_contacts(*corners, butt, tip, radii), _edge_contacts(*edges, butt, tip, radii)]
    for end, radius, share in ((butt, radii[0], 0.0), (tip, radii[1], 1.0)):
        rows.append(_end_on_edges(*edges, end, radius, share))
        rows.append(_end_on_faces(soup, end, radius, share, reach))
    point, on_bar, along, size, owner = (np.concatenate(column) for column in zip(*rows, strict=True))
    apart = on_bar - point
    away = np.sqrt(np.einsum("ij,ij->i", apart, apart))
    gap = away - size
    kept = gap < reach
    normal = apart[kept] / np.maximum(away[kept], TINY)[:, None]
    return Contacts(gap[kept], normal, along[kept], owner[kept], point[kept])


_Rows = tuple[Array, Array, Array, Array, Ints]
_Owned = tuple[Array, Ints]


def _near_features(soup: Soup, butt: Array, tip: Array, reach: float) -> tuple[_Owned, _Owned]:
    """Corners and edges within reach of the bar's middle line, and some more: whose ball round them is."""
    (corners, of_corner), (edges, of_edge) = soup.corners, soup.edges
    near, kept = (_within(middle, size, butt, tip, reach) for middle, size in soup.balls)
    return (corners[near], of_corner[near]), (edges[kept], of_edge[kept])


def _within(middle: Array, size: Array, butt: Array, tip: Array, reach: float) -> Flags:
    """Whether balls `(n, 3)`, `(n,)` come within reach of a line from butt to tip."""
    along = tip - butt
    off = middle - butt
    share = np.clip(off @ along / float(along @ along), 0.0, 1.0)
    apart = off - share[:, None] * along
    found: Flags = np.einsum("ij,ij->i", apart, apart) < (size + reach) ** 2
    return found


def _corner_contacts(
    points: Array, owner: Ints, butt: Array, tip: Array, radii: tuple[float, float]
) -> _Rows:
    """Corners against the bar: least of |x(s) - c| - r(s)."""
    along = tip - butt
    square = float(along @ along)
    foot = (points - butt) @ along / square
    away = points - butt - foot[:, None] * along
    high = np.sqrt((away**2).sum(axis=1))
    share = np.clip(foot + _lean(high, np.sqrt(square), radii), 0.0, 1.0)
    return points, butt + share[:, None] * along, share, _radius(share, radii), owner


def _edge_contacts(edges: Array, owner: Ints, butt: Array, tip: Array, radii: tuple[float, float]) -> _Rows:
    """Edges against the bar where the nearest points lie within both; ends are corners or faces."""
    start, way = edges[:, 0], edges[:, 1] - edges[:, 0]
    along = tip - butt
    aa, ww, aw = float(along @ along), (way**2).sum(axis=1), way @ along
    slant = aa * ww - aw**2
    sound = slant > 1e-10 * aa * ww
    start, way, owner = start[sound], way[sound], owner[sound]
    ww, aw, slant = ww[sound], aw[sound], slant[sound]
    off = butt - start
    ao, wo = off @ along, (off * way).sum(axis=1)
    share = (aw * wo - ww * ao) / slant
    place = (aa * wo - aw * ao) / slant
    apart = off + share[:, None] * along - place[:, None] * way
    high = np.sqrt((apart**2).sum(axis=1))
    lean = _lean(high, np.sqrt(slant / ww), radii)  # along the bar, as seen square to the edge
    share, place = share + lean, place + lean * aw / ww
    kept = (share >= 0.0) & (share <= 1.0) & (place >= 0.0) & (place <= 1.0)
    share, point = share[kept], start[kept] + place[kept][:, None] * way[kept]
    return point, butt + share[:, None] * along, share, _radius(share, radii), owner[kept]


def _end_on_edges(edges: Array, owner: Ints, end: Array, radius: float, share: float) -> _Rows:
    """The ball at an end against edges, their own ends left to the corners."""
    start, way = edges[:, 0], edges[:, 1] - edges[:, 0]
    place = np.einsum("ij,ij->i", end - start, way) / np.einsum("ij,ij->i", way, way)
    kept = (place > 0.0) & (place < 1.0)
    points = start[kept] + place[kept][:, None] * way[kept]
    return _of_end(points, owner[kept], end, radius, share)


def _end_on_faces(soup: Soup, end: Array, radius: float, share: float, reach: float) -> _Rows:
    """The ball at an end against faces that it stands over."""
    faces = soup.faces
    height = faces.normals @ end - faces.offsets
    near = np.flatnonzero(np.abs(height) < radius + reach)
    feet = end - height[near][:, None] * faces.normals[near]
    over = (np.einsum("knj,nj->kn", faces.inward[:, near], feet) >= faces.bounds[:, near]).all(axis=0)
    return _of_end(feet[over], soup.owner[near[over]], end, radius, share)


def _of_end(points: Array, owner: Ints, end: Array, radius: float, share: float) -> _Rows:
    count = len(points)
    return points, np.broadcast_to(end, (count, 3)), np.full(count, share), np.full(count, radius), owner


def _lean(high: Array, long: float | Array, radii: tuple[float, float]) -> Array:
    """Where sqrt(h^2 + k^2 s^2) - (r0 + r1 s) is least: at s = r1 h / (k sqrt(k^2 - r1^2))."""
    slope = radii[1] - radii[0]
    # An edge all but along the bar is never steeper to it than the taper in its least place.
    steep = np.maximum(np.asarray(long) ** 2 - slope**2, TINY)
    found: Array = slope * high / (np.maximum(long, TINY) * np.sqrt(steep))
    return found


def _radius(share: Array, radii: tuple[float, float]) -> Array:
    found: Array = radii[0] + share * (radii[1] - radii[0])
    return found


def pierced(soup: Soup, butt: Array, tip: Array) -> Ints:
    """Pieces that the bar's middle line passes through, `(k,)` places in the names."""
    hits = crossings(soup, butt[None], (tip - butt)[None])[0]
    return np.unique(soup.owner[(hits >= 0.0) & (hits <= 1.0)])


def crossings(soup: Soup, starts: Array, ways: Array) -> Array:
    """Where lines `start + t way` `(n, 3)` pass through a soup's triangles: t, `(n, m)`, nan where not.

    A line passes through where it passes all three edges on the same hand, told by Pluecker's product of line
    and edge; edges count as inside.
    """
    middle = soup.rays.middle
    at = starts - middle
    lines = np.concatenate([ways, crossed(at, ways)], axis=1)
    one, two, three = (lines @ edge for edge in soup.rays.edges)
    low, high = np.minimum(np.minimum(one, two), three), np.maximum(np.maximum(one, two), three)
    slope = ways @ soup.rays.normals
    passes = ((low >= 0.0) | (high <= 0.0)) & (np.abs(slope) > TINY)
    rise = soup.rays.offsets - at @ soup.rays.normals
    found: Array = np.divide(rise, slope, out=np.full(slope.shape, np.nan), where=passes)
    return found


def crossed(a: Array, b: Array) -> Array:
    """Cross products of vectors `(..., 3)`; of small arrays several times faster than numpy's."""
    found: Array = a[..., _AHEAD] * b[..., _BACK] - a[..., _BACK] * b[..., _AHEAD]
    return found


_AHEAD, _BACK = np.array([1, 2, 0]), np.array([2, 0, 1])


def _areas(triangles: Array) -> Array:
    a = triangles[:, 0]
    cross = np.cross(triangles[:, 1] - a, triangles[:, 2] - a)
    found: Array = np.sqrt((cross**2).sum(axis=1)) / 2.0
    return found


def _after(first: Array, second: Array) -> Flags:
    """Whether rows `(n, 3)` stand after others, by x, then y, then z."""
    apart = first - second
    lead = np.argmax(np.abs(apart) > 0.0, axis=1)
    found: Flags = np.take_along_axis(apart, lead[:, None], 1)[:, 0] > 0.0
    return found
