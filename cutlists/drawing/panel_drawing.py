"""A sheet piece with what it is laid out by: running dimensions of corners and holes, ordinates of curves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cutlists.drawing.drawing import CENTRE, FAINT, HIDDEN, OUTLINE, PALE, Anchor, Drawing, letters_wide
from cutlists.drawing.edges import CurvedEdge, Measured, measured
from cutlists.drawing.end_view import HIGH, draw_end_views, end_views
from cutlists.drawing.onto import Onto
from cutlists.drawing.running import Place, merged, run_below, run_beside
from cutlists.outline_dxf import inner_circle, lines_to_bend
from model.geometry import Array
from model.panel import Panel
from model.strip import Strip
from parts.lengths import format_length

if TYPE_CHECKING:
    from collections.abc import Sequence

    from model.bends.bend_line import BendLine

BELOW, BESIDE, ABOVE, LEFT = 24.0, 24.0, 15.0, 6.0
STEP = {"in": 152.4, "mm": 150.0}
"""Ordinates stand 6 in or 150 mm apart."""
TABLE = 42.0
"""Room for a column of ordinates, mm of paper."""
LEGIBLE = 1.6
"""Lettering is no smaller than this, mm of paper."""
ANGLES = 10.0
"""What the angles of mitres take up at the ends of a bend, mm of paper."""
LEAD = 2.9
"""From one line of ordinates to the next, mm of paper."""


@dataclass(frozen=True, eq=False)
class Curve:
    """A curved edge with its letter, its ordinates `(k, 2)` from the corner, and how far it strays."""

    letter: str
    edge: CurvedEdge
    ordinates: Array
    strays: float


def panel_svg(
    piece: Panel | Strip,
    mark: str,
    count: int,
    size: tuple[float, float],
    units: str = "in",
    denominator: int = 16,
) -> str:
    """The piece seen on its face as SVG, `size` mm of paper; every length from its lower left corner.

    Args:
        piece: a panel, or a strip laid flat.
        mark: its piece mark.
        count: how many are cut.
        size: of the drawing.
        units: of the figures.
        denominator: part of an inch that the shop marks to.
    """
    drawing = Drawing(*size, title=f"{mark}: {piece.name}")
    low_x, low_y, high_x, high_y = piece.cut_outline.bounds
    base = np.array([low_x, low_y])
    shapes = [measured(loop) for loop in (piece.cut_outline, *piece.cut_holes)]
    curves = curves_of(shapes, base, STEP["in" if units in ("in", "ft") else "mm"])
    columns = _columns(curves, size[1])
    views = end_views(piece)
    above = ABOVE + (HIGH if views else 0.0)
    room = (LEFT, above, size[0] - LEFT - BESIDE - TABLE * columns, size[1] - above - BELOW)
    onto = Onto.fit(base, (high_x, high_y), room)
    words = Words(units, denominator)
    _head(drawing, piece, mark, count, onto)
    draw_end_views(drawing, views, LEFT, ABOVE, words)
    draw_figures(drawing, shapes, onto, high_x, words, base, piece.bend_lines)
    for curve in curves:
        _stations(drawing, curve, onto, base)
    shown = [onto.loop(loop) for loop in (piece.cut_outline, *piece.cut_holes)]
    drawing.loops(shown, OUTLINE, PALE, piece.name)
    told = "bent along" if piece.bend_lines else "rolled along"
    drawing.lines([onto.points(line) for line in lines_to_bend(piece)], HIDDEN, told)
    _write_bends(drawing, piece, onto, words)
    _write_mitres(drawing, piece, onto)
    draw_rounds(drawing, shapes, onto, words)
    for curve in curves:
        x, y = onto.points(curve.edge.points[len(curve.edge.points) // 2]).tolist()
        drawing.dot((x, y), 1.9)
        drawing.text(x, y + 0.9, curve.letter, 2.5, "middle", bold=True)
    _write_mark(drawing, piece, mark, onto)
    _table(drawing, curves, (size[0] - TABLE * columns, size[1]), words)
    return drawing.svg()


@dataclass(frozen=True, slots=True)
class Words:
    """Lengths in a boat's units, inches to 1/`denominator`."""

    units: str
    denominator: int

    def __call__(self, mm: float) -> str:
        """The length as the shop reads it."""
        return format_length(mm, self.units, self.denominator)


def curves_of(shapes: Sequence[Measured], base: Array, step: float) -> list[Curve]:
    """The curved edges of a piece lettered A, B ..., with ordinates every `step` mm from `base`."""
    found: list[Curve] = []
    for edge in (edge for shape in shapes for edge in shape.curves):
        ordinates = edge.ordinates(step, base)
        letter = chr(ord("A") + len(found) % 26)
        found.append(Curve(letter, edge, ordinates, edge.strays(ordinates, base)))
    return found


def _head(drawing: Drawing, piece: Panel | Strip, mark: str, count: int, onto: Onto) -> None:
    drawing.text(LEFT, 6.0, f"{mark}", 4.6, bold=True)
    facts = f"{count} off, {piece.sheet.name}, {piece.mass:.2f} kg, seen on its face, {onto.words}"
    drawing.text(LEFT + letters_wide(mark, 4.6, bold=True) + 2.5, 6.0, facts, 2.6)
    drawing.text(LEFT, 10.5, piece.name, 2.4)


def draw_figures(
    drawing: Drawing,
    shapes: Sequence[Measured],
    onto: Onto,
    high: float,
    words: Words,
    base: Array,
    bends: Sequence[BendLine] = (),
) -> None:
    """Running dimensions of every corner, of the centres of round holes and of bends that run square."""
    at = [(x, y) for shape in shapes for x, y in shape.corners.tolist()]
    at += [(x, y) for shape in shapes if shape.circle for x, y in [shape.circle[0].tolist()]]
    square = [[line.ends.tolist()[0] for line in bends if line.runs_along(1 - axis)] for axis in (0, 1)]
    along = merged([Place(x - base[0], words(x - base[0]), onto.y(y)) for x, y in (*at, *square[0])])
    up = merged([Place(y - base[1], words(y - base[1]), onto.x(x)) for x, y in (*at, *square[1])])
    along, up = ([p for p in places if p.value > 0.4] for places in (along, up))
    foot, side = onto.foot[1] + 3.0, onto.x(high) + 4.0
    if along:
        run_below(drawing, along, np.array([onto.x(base[0] + p.value) for p in along]), foot, onto.foot[0])
    if up:
        run_beside(drawing, up, np.array([onto.y(base[1] + p.value) for p in up]), side, onto.foot[1])


def _stations(drawing: Drawing, curve: Curve, onto: Onto, base: Array) -> None:
    """The ordinates as faint lines."""
    for station, out in curve.ordinates[1:-1]:
        ends = np.array([[station, 0.0], [station, out]])
        drawing.lines([onto.points((ends if curve.edge.along == 0 else ends[:, ::-1]) + base)], FAINT)


def draw_rounds(drawing: Drawing, shapes: Sequence[Measured], onto: Onto, words: Words) -> None:
    """The radius of rounded corners, once for each hole and radius; the diameter of round holes."""
    for number, shape in enumerate(shapes):
        told: set[str] = set()
        # Each outline's radius is told at another of its corners, since outlines lie one in another.
        first = number % max(len(shape.rounds), 1)
        for radius, apex in (*shape.rounds[first:], *shape.rounds[:first]):
            if words(radius) not in told:
                told.add(words(radius))
                x, y = onto.points(apex).tolist()
                inward = np.sign(onto.points(shape.corners.mean(axis=0)) - (x, y))
                anchor: Anchor = "start" if inward[0] > 0 else "end"
                drawing.text(
                    x + 0.8 * inward[0], y + 0.9 + 1.6 * inward[1], f"R {words(radius)}", 2.1, anchor
                )
        if shape.circle is not None:
            centre, radius = shape.circle
            x, y = onto.points(centre).tolist()
            reach = radius / onto.scale + 1.5
            drawing.lines([[(x - reach, y), (x + reach, y)], [(x, y - reach), (x, y + reach)]], CENTRE)
            drawing.text(x + reach, y - 0.8, f"{words(2 * radius)} dia", 2.1)


def _write_bends(drawing: Drawing, piece: Panel | Strip, onto: Onto, words: Words) -> None:
    """How each bend is made: along its line, and all of them beside the name.

    A bend too short for its words on paper is left without where the others so short are made alike.
    """
    told = [bend.words(words.units, max(words.denominator, 32)) for bend in piece.bend_lines]
    if not told:
        return
    counted = ", ".join(f"{told.count(each)} x {each}" for each in dict.fromkeys(told))
    mitred = _mitres_told(piece, words)
    left, said = LEFT + letters_wide(piece.name, 2.4) + 3.0, f"laid flat; bends: {counted}{mitred}"
    if left + letters_wide(said, 2.4) > drawing.width - LEFT:
        said = f"laid flat; {len(told)} bends{mitred}"
    drawing.text(left, 10.5, said, 2.4)
    told = [bend.numbered(words.units, max(words.denominator, 32)) for bend in piece.bend_lines]
    cut = isinstance(piece, Panel) and bool(piece.corner_cuts)
    sizes = [
        min(_letters(bend, each, onto, ANGLES if cut else 0.0), 0.5 * _room(bend, piece, onto))
        for bend, each in zip(piece.bend_lines, told, strict=True)
    ]
    alike = len({each for each, size in zip(told, sizes, strict=True) if size < LEGIBLE}) < 2
    for bend, each, size in zip(piece.bend_lines, told, sizes, strict=True):
        if alike and size < LEGIBLE:
            continue
        size = max(size, LEGIBLE)
        place, turn = bend.beside()
        down = np.array([np.sin(np.radians(turn)), np.cos(np.radians(turn))])
        # the letters' middle stands off the line by their height, whichever way they read
        x, y = (onto.points(place(size * onto.scale)) + 0.36 * size * down).tolist()
        drawing.text(x, y, each, size, "middle", turn=-turn)


def _room(bend: BendLine, piece: Panel | Strip, onto: Onto) -> float:
    """How far from a bend's line the next bend beside it lies on the side of its words, mm of paper."""
    along = bend.ends[1] - bend.ends[0]
    left = np.array([-along[1], along[0]]) / np.hypot(*along)
    off = [float((other.ends.mean(axis=0) - bend.ends.mean(axis=0)) @ left) for other in piece.bend_lines]
    return min((each for each in off if each > 1e-6), default=np.inf) / onto.scale


def _letters(bend: BendLine, words: str, onto: Onto, off: float) -> float:
    """Height of a bend's words, mm of paper, `off` left free at its two ends."""
    free = max(bend.length / onto.scale - 2.0 * off, 0.0) / max(bend.length / onto.scale, 1e-9)
    return min(2.2, bend.letters(len(words), 2.2 * onto.scale) / onto.scale * (free if off else 1.0))


def _mitres_told(piece: Panel | Strip, words: Words) -> str:
    """The angles to which ends of legs are cut at mitred corners, and the gap left when folded."""
    if isinstance(piece, Strip) or not piece.corner_cuts:
        return ""
    angles = sorted({f"{np.degrees(cut.angle):.3g}" for cut in piece.corner_cuts}, key=float)
    gap = format_length(max(cut.gap for cut in piece.corner_cuts), words.units, max(words.denominator, 32))
    return f"; ends mitred {' and '.join(angles)} deg off square, {gap} apart folded"


def _write_mitres(drawing: Drawing, piece: Panel | Strip, onto: Onto) -> None:
    """The angle at each mitred end, inside it and along its bend, where the leg has room for letters."""
    for cut in () if isinstance(piece, Strip) else piece.corner_cuts:
        told = f"{np.degrees(cut.angle):.3g} deg"
        way = onto.points(cut.at + cut.inward) - onto.points(cut.at)
        turn = float(np.degrees(np.arctan2(way[1], way[0])))
        reads_on = -90.0 - 1e-6 <= turn < 90.0 - 1e-6
        down = np.array([-way[1], way[0]]) * (1.0 if reads_on else -1.0) / np.hypot(*way)
        x, y = (onto.points(cut.at) + 1.2 * way / np.hypot(*way) + 0.36 * LEGIBLE * down).tolist()
        drawing.text(
            x, y, told, LEGIBLE, "start" if reads_on else "end", turn=turn if reads_on else turn - 180.0
        )


def _write_mark(drawing: Drawing, piece: Panel | Strip, mark: str, onto: Onto) -> None:
    """The mark where the piece is widest."""
    middle, radius = inner_circle(piece.cut_polygon)
    size = min(7.0, 1.5 * radius / onto.scale / (0.75 * len(mark) + 0.6))
    x, y = onto.points(middle).tolist()
    drawing.text(x, y + 0.36 * size, mark, size, "middle", bold=True)


def _columns(curves: Sequence[Curve], height: float) -> int:
    """How many columns the ordinates take."""
    lines = sum(len(curve.ordinates) + 4 for curve in curves)
    return int(np.ceil(lines * LEAD / (height - ABOVE - 2.0)))


def _table(drawing: Drawing, curves: Sequence[Curve], corner: tuple[float, float], words: Words) -> None:
    """The ordinates of each curved edge, and how far it strays from straight lines between them."""
    left, bottom = corner
    x, y = left + 3.0, ABOVE
    for curve in curves:
        base = ("lower", "left")[curve.edge.along]
        way = ("left", "lower")[curve.edge.along]
        head = (f"edge {curve.letter}: from the {way} edge,", f"then off the {base} edge")
        lines = [*head, f"(strays {curve.strays:.1f} mm between)", *map(tuple, curve.ordinates.tolist())]
        for line in (*lines, ""):
            if y > bottom - 2.0:
                x, y = x + TABLE, ABOVE
            if isinstance(line, str):
                drawing.text(x, y, line, 2.1, bold=line == lines[0])
            else:
                drawing.text(x + 14.0, y, words(line[0]), 2.2, "end")
                drawing.text(x + 32.0, y, words(line[1]), 2.2, "end")
            y += LEAD
