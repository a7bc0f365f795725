"""Judges a stick plan by geometry of its own: every piece laid as polygons in its stick.

Nothing of the solver or of the arranger is used: the pieces are laid from the members themselves (their end
planes and the outline of their section), turned as the plan says. On every face of the convex hull of the
outline the pieces are polygons in the unrolled face; there they must not meet, and neighbours must be a kerf
apart. Between ends that one cut makes the distance square to the planes must be a kerf as well.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely

from cutlists.sticks.check_cuts import cut_faults
from cutlists.sticks.records import Placed, Stick, StickPlan, StockPlan
from model.geometry import Array

if TYPE_CHECKING:
    from model.member import Member
    from parts.section import Section

FINE = 1e-5
"""Long points are found this true, mm."""
TOUCH = 1e-4
"""Lengths may be off by this, mm."""
LAID = 0.06
"""Pieces of one mark may differ by this in length, mm (`model.sameness`)."""
SAME = 0.0004
"""Normals of ends may differ by this in any part, twice what pieces of one mark may differ in angle."""


def faults_of(plan: StickPlan, members: Sequence[Member]) -> list[str]:
    """What is wrong with a plan, in words; empty when nothing is.

    Args:
        plan: to be judged.
        members: all that should be in it.
    """
    known = {member.name: member for member in members}
    found = list(_counted(plan, known))
    for stock in plan.stocks:
        found += _stock_faults(stock)
        for stick in stock.sticks:
            found += [
                f"{stock.stock} {stick.number}: {wrong}"
                for wrong in _stick_faults(stock, stick, known, plan.same_cut)
            ]
    return found


def _counted(plan: StickPlan, known: dict[str, Member]) -> Iterator[str]:
    """Pieces lost, cut twice, or cut from the wrong tube."""
    laid = Counter(p.name for stock in plan.stocks for stick in stock.sticks for p in stick.placed)
    for name, member in known.items():
        wanted = 0 if member.is_cut_away else 1
        if laid[name] != wanted:
            yield f"{name} is cut {laid[name]} times"
    for name in laid.keys() - known.keys():
        yield f"{name} is no member"
    for stock in plan.stocks:
        for stick in stock.sticks:
            for placed in stick.placed:
                if placed.name in known and known[placed.name].section.stock != stock.stock:
                    yield f"{placed.name} is cut from {stock.stock}"


def _stock_faults(stock: StockPlan) -> Iterator[str]:
    """Sticks that there are not."""
    held = Counter({one.label: one.quantity for one in stock.tube.offcuts})
    for label, number in Counter(stick.label for stick in stock.sticks if not stick.is_bought).items():
        if number > held[label]:
            yield f"{stock.stock}: {number} of '{label}' are cut and {held[label]} are there"
    lengths = {one.length for one in stock.tube.lengths}
    for stick in stock.sticks:
        if stick.is_bought and stick.length not in lengths:
            yield f"{stock.stock}: no stick of {stick.length:g} mm can be bought"


def hull_fibres(section: Section, chord: float = 0.05) -> Array:
    """Corners of the convex hull of an outline, `(n, 2)`, in order; arcs are drawn this true, mm."""
    points = section.outer.polyline(chord)
    return shapely.get_coordinates(shapely.MultiPoint(points).convex_hull)[:-1]


def lay_of(placed: Placed, member: Member, fibres: Array) -> Array | None:
    """The rotation of a member's axes to the stick's that puts its ends where the plan has them, `(3, 3)`.

    A mark's pieces are alike but for a turn of their section, so every turn is tried that lays the outline
    on that of the stick; None when none brings both ends within `SAME`.
    """
    want = np.array([placed.normal("left"), placed.normal("right")])
    own = np.array([end.normal for end in member.local_ends])
    outline = hull_fibres(member.section)
    best, least = None, SAME
    for turn in _turns(own, want, member.section.is_round):
        ends = own @ turn.T
        off = float(np.abs((ends if turn[0, 0] > 0.0 else ends[::-1]) - want).max())
        if off < least and _lands(outline, turn, fibres):
            best, least = turn, off
    return best


def _turns(own: Array, want: Array, is_round: bool) -> Iterator[Array]:
    """Quarter turns about x, as it is and turned end for end; for round tube also those that fit an end."""
    for along in (1.0, -1.0):
        flip = np.diag([along, along, 1.0])
        ends = own @ flip if along > 0.0 else (own @ flip)[::-1]
        angles = [0.0, np.pi / 2.0, np.pi, -np.pi / 2.0]
        if is_round:
            angles += [
                float(np.arctan2(w[2], w[1]) - np.arctan2(e[2], e[1]))
                for w, e in zip(want, ends, strict=True)
            ]
        for angle in angles:
            c, s = np.cos(angle), np.sin(angle)
            yield np.array([(1.0, 0.0, 0.0), (0.0, c, -s), (0.0, s, c)]) @ flip


def _lands(own: Array, turn: Array, fibres: Array) -> bool:
    """Whether an outline, turned, is that of the stick."""
    moved = (np.concatenate([np.zeros((len(own), 1)), own], axis=1) @ turn.T)[:, 1:]
    outline = shapely.Polygon(fibres)
    # Round tube is a polygon here, and rolled by any angle it is the same within the height of its arcs.
    return bool(outline.symmetric_difference(shapely.Polygon(moved)).area < 0.01 * outline.area)


def fibre_spans(turn: Array, member: Member, fibres: Array) -> Array:
    """Where a piece begins and ends on each fibre `(n, 2)` of the stick, mm from its origin, `(n, 2)`."""
    own = np.concatenate([np.zeros((len(fibres), 1)), fibres], axis=1) @ turn
    near, far = ((end.offset - own[:, 1:] @ end.normal[1:]) / end.normal[0] for end in member.local_ends)
    left, right = (near, far) if turn[0, 0] > 0.0 else (-far, -near)
    return np.stack([left, right], axis=1)


def _stick_faults(stock: StockPlan, stick: Stick, known: dict[str, Member], same_cut: float) -> Iterator[str]:
    """What is wrong within one stick; pieces that are no members are told of elsewhere."""
    base = stock.pieces.section
    fibres, fine = hull_fibres(base), hull_fibres(base, FINE)
    low, high = stick.trim - TOUCH, stick.length - stick.trim + TOUCH + LAID
    laid, finely = [], []
    for placed in (placed for placed in stick.placed if placed.name in known):
        member = known[placed.name]
        turn = lay_of(placed, member, fibres)
        if turn is None:
            yield f"{placed.name} cannot lie so in the tube"
            return
        spans = fibre_spans(turn, member, fine)
        shift = placed.start - float(spans[:, 0].min())
        spans += shift
        if spans[:, 0].min() < low or spans[:, 1].max() > high:
            yield f"{placed.name} sticks out of the stick"
        if (spans[:, 1] <= spans[:, 0]).any():
            yield f"{placed.name} has fibres that end before they begin"
        finely.append(spans)
        laid.append(fibre_spans(turn, member, fibres) + shift)
    if len(laid) == len(stick.placed):
        yield from _beside(stick.placed, laid, fibres, stock.tube.kerf)
        yield from _overlaps(stick.placed, laid, fibres)
        yield from cut_faults(stick, finely, fine, stock.tube.kerf, same_cut)


def _beside(placed: Sequence[Placed], laid: Sequence[Array], fibres: Array, kerf: float) -> Iterator[str]:
    """Neighbours that are less than a kerf apart."""
    for (one, spans), (other, after) in pairwise(zip(placed, laid, strict=True)):
        least = kerf - TOUCH - LAID * (_is_loose(one) or _is_loose(other))
        apart = _apart(spans, after, fibres)
        if apart < least:
            yield f"{one.name} and {other.name} are {apart:.4f} mm apart, less than the kerf"
        if other.shares and _across(one, other, spans, after) < least:
            yield f"{one.name} and {other.name} leave no room for the blade in their shared cut"


def _overlaps(placed: Sequence[Placed], laid: Sequence[Array], fibres: Array) -> Iterator[str]:
    """Pieces that are no neighbours and meet all the same."""
    faces = [_faces(spans, fibres) for spans in laid]
    for i, j in combinations(range(len(laid)), 2):
        near = j > i + 1 and float(laid[j][:, 0].min()) < laid[i][:, 1].max()
        if near and any(a.intersects(b) for a, b in zip(faces[i], faces[j], strict=True)):
            yield f"{placed[i].name} and {placed[j].name} overlap"


def _is_loose(placed: Placed) -> bool:
    """Whether the piece is not the one its mark was measured on."""
    return len(placed.piece.names) > 1


def _faces(spans: Array, fibres: Array) -> list[shapely.Polygon]:
    """The piece on each face between neighbouring fibres, the face unrolled: x along, width across."""
    found = []
    for i in range(len(fibres)):
        j = (i + 1) % len(fibres)
        wide = float(np.linalg.norm(fibres[j] - fibres[i]))
        (a, b), (c, d) = spans[i], spans[j]
        found.append(shapely.Polygon([(a, 0.0), (b, 0.0), (d, wide), (c, wide)]))
    return found


def _apart(one: Array, other: Array, fibres: Array) -> float:
    """Least distance of two pieces over all faces, mm; 0 when they meet."""
    pairs = zip(_faces(one, fibres), _faces(other, fibres), strict=True)
    return min(float(a.distance(b)) for a, b in pairs)


def _across(one: Placed, other: Placed, spans: Array, after: Array) -> float:
    """Distance of the facing ends of two pieces square to the steeper of their planes, mm."""
    along = min(abs(float(one.normal("right")[0])), abs(float(other.normal("left")[0])))
    return float((after[:, 0] - spans[:, 1]).min()) * along
