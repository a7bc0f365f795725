"""Templates at full size: an outline to trace, on a roll or tiled over pages that are taped together."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import shapely

from cutlists.drawing.drawing import CENTRE, FAINT, HIDDEN, OUTLINE, Anchor, Drawing, letters_wide
from cutlists.drawing.onto import Onto
from cutlists.outline_dxf import inner_circle, lines_to_bend
from cutlists.packet.leaf import MM, Leaf, fonts_ready
from cutlists.packet.paper import Paper
from model.flat_arcs import polygon_of
from model.geometry import Array
from model.panel import Panel
from model.strip import Strip
from parts.outline import Loop

if TYPE_CHECKING:
    from model.bends.bend_line import BendLine
    from model.mat.piece import MatPiece

Tell = Callable[[str], None]
BORDER = 10.0
"""What a printer may leave bare at an edge of the paper, mm."""
OVERLAP = 12.0
"""By how much a tile shows again what its neighbour shows, mm."""
FOOT = 9.0
"""Band for the scale bars and the tile's name, mm."""
BEND_LETTERS = 4.0
"""Lettering along bends, mm, where they are long enough for it."""
RIM = 3.0
"""Clear all round a template, mm."""
INCH = 25.4


@dataclass(frozen=True, eq=False)
class Word:
    """Lettering on a template: where it starts, or where its middle is, what it says, how large in mm.

    `upright` reads upward.
    """

    at: Array
    text: str
    size: float
    upright: bool = False
    centred: bool = False


@dataclass(frozen=True, eq=False)
class Template:
    """What is traced: outlines in mm, lines to mark, and what it is.

    Attributes:
        name: piece mark and name.
        loops: outline and holes.
        lines: rulings to roll along, or grooves, `(2, 2)` each.
        note: sheet, face, how many.
        marked: lines drawn full, `(2, 2)` each.
        words: lettering beside its name.
        is_named: whether its name and note are written where it is widest.
    """

    name: str
    loops: tuple[Loop, ...]
    lines: tuple[Array, ...] = ()
    note: str = ""
    marked: tuple[Array, ...] = ()
    words: tuple[Word, ...] = ()
    is_named: bool = True

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y, with a rim so that no line lies on the edge of a page, mm."""
        low_x, low_y, high_x, high_y = self.loops[0].bounds
        return low_x - RIM, low_y - RIM, high_x + RIM, high_y + RIM

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        low_x, low_y, high_x, high_y = self.box
        return high_x - low_x, high_y - low_y

    def turned(self) -> Template:
        """Laid a quarter round, so that its length runs the other way."""
        quarter = np.array([[0.0, -1.0], [1.0, 0.0]])
        loops = tuple(loop.transformed(quarter) for loop in self.loops)
        lines, marked = (tuple(line @ quarter.T for line in own) for own in (self.lines, self.marked))
        words = tuple(replace(word, at=quarter @ word.at, upright=not word.upright) for word in self.words)
        return Template(self.name, loops, lines, self.note, marked, words, self.is_named)


def sheet_template(piece: Panel | Strip, mark: str, count: int, units: str = "in") -> Template:
    """The template of a sheet piece, seen on its face; of a bent one the flat pattern with its bends."""
    note = f"{count} off, {piece.sheet.name}, face side up"
    told = [bend.words(units) for bend in piece.bend_lines]
    if told:
        note += "; bends " + ", ".join(f"{told.count(each)} x {each}" for each in dict.fromkeys(told))
    loops = (piece.cut_outline, *piece.cut_holes)
    words = tuple(_bend_word(bend, units) for bend in piece.bend_lines)
    return Template(f"{mark}  {piece.name}", loops, tuple(lines_to_bend(piece)), note, words=words)


def _bend_word(bend: BendLine, units: str) -> Word:
    """How a bend is made, along it on the side of the flat part; of a bend that runs askew, level."""
    text, (place, _) = bend.numbered(units), bend.beside()
    size = bend.letters(len(text), BEND_LETTERS)
    return Word(place(1.2 * size), text, size, bend.runs_along(1), centred=True)


def mat_template(piece: MatPiece, mark: str, count: int) -> Template:
    """The template of a piece of mat, seen from above, with the middles of its grooves."""
    note = f"{count} off, mat, seen from above"
    loops = (piece.outline, *piece.holes)
    return Template(f"{mark}  {piece.name}", loops, tuple(piece.grooves()), note)


@dataclass(frozen=True, slots=True)
class Tiling:
    """How a template is laid over pages: so many across and down, each showing `wide` by `high` mm of it."""

    paper: Paper
    across: int
    down: int
    wide: float
    high: float

    @property
    def count(self) -> int:
        """Pages, without the map."""
        return self.across * self.down

    @property
    def steps(self) -> tuple[float, float]:
        """From one tile to the next, mm."""
        return self.wide - OVERLAP, self.high - OVERLAP


def tiling(size: tuple[float, float], paper: Paper) -> Tiling:
    """The fewest tiles of a paper that show all of a template of a size."""
    wide, high = paper.width - 2 * BORDER, paper.height - 2 * BORDER - FOOT
    across = max(1, math.ceil((size[0] - OVERLAP) / (wide - OVERLAP) - 1e-9))
    down = max(1, math.ceil((size[1] - OVERLAP) / (high - OVERLAP) - 1e-9))
    return Tiling(paper, across, down, wide, high)


def write_tiles(path: Path, template: Template, paper: Paper, tell: Tell = lambda _: None) -> Tiling:
    """Write a template over pages of a paper, a map of them first; turned where that takes fewer.

    Raises:
        OSError: the file cannot be written.
    """
    from reportlab.pdfgen.canvas import Canvas

    turned = template.turned()
    if tiling(turned.size, paper).count < tiling(template.size, paper).count:
        template = turned
    tiles = tiling(template.size, paper)
    fonts_ready()
    canvas = Canvas(str(path), pagesize=(paper.width * MM, paper.height * MM), invariant=1)
    canvas.setTitle(f"Template {template.name}")
    if tiles.count > 1:
        _map(Leaf(canvas, paper), template, tiles)
        canvas.showPage()
    for row in range(tiles.down):
        for column in range(tiles.across):
            tell(f"tile {_tile_name(row, column)}")
            _tile(Leaf(canvas, paper), template, tiles, row, column)
            canvas.showPage()
    canvas.save()
    return tiles


def write_roll(path: Path, template: Template, width: float) -> tuple[float, float]:
    """Write a template on a roll of paper `width` mm wide; returns the width and length of what is printed.

    Raises:
        ValueError: the roll is too narrow either way.
        OSError: the file cannot be written.
    """
    from reportlab.pdfgen.canvas import Canvas

    room = width - 2 * BORDER
    wide, high = template.size
    lies_across = max(wide, high) <= room and wide < high
    if lies_across or wide > room:
        template = template.turned()
    wide, high = template.size
    if wide > room + 1e-6:
        raise ValueError(f"it is {min(template.size):.0f} mm across, and the roll has room for {room:.0f} mm")
    paper = Paper("roll", width, high + 2 * BORDER + FOOT)
    fonts_ready()
    canvas = Canvas(str(path), pagesize=(paper.width * MM, paper.height * MM), invariant=1)
    canvas.setTitle(f"Template {template.name}")
    _tile(Leaf(canvas, paper), template, Tiling(paper, 1, 1, room, high), 0, 0)
    canvas.showPage()
    canvas.save()
    return paper.width, paper.height


def template_svg(template: Template) -> str:
    """The template as SVG whose millimetres are millimetres."""
    wide, high = template.size
    drawing = Drawing(wide + 2 * BORDER, high + 2 * BORDER, title=template.name)
    low_x, low_y, _, _ = template.box
    onto = Onto(np.array([low_x, low_y]), np.array([BORDER, BORDER + high]), 1.0)
    _outline(drawing, template, onto)
    return drawing.svg()


def _outline(drawing: Drawing, template: Template, onto: Onto) -> None:
    drawing.loops([onto.loop(loop) for loop in template.loops], OUTLINE, name=template.name)
    middle, radius = inner_circle(polygon_of(template.loops[0], template.loops[1:]))
    x, y = onto.points(middle).tolist()
    size = float(np.clip(2.2 * radius / max(len(template.name), 1), 2.5, 9.0))
    lettering = _lettering(template, x, y, size) if template.is_named else shapely.Polygon()
    for line in template.lines:  # none runs through the name
        shown = shapely.LineString(onto.points(line)).difference(lettering)
        drawing.lines([shapely.get_coordinates(part) for part in shapely.get_parts(shown)], HIDDEN)
    drawing.lines([onto.points(line) for line in template.marked], OUTLINE)
    for word in template.words:
        at_x, at_y = onto.points(word.at).tolist()
        anchor: Anchor = "middle" if word.centred else "start"
        if word.centred:  # from the middle of the letters to their baseline
            at_x, at_y = at_x + 0.36 * word.size * word.upright, at_y + 0.36 * word.size * (not word.upright)
        drawing.text(at_x, at_y, word.text, word.size, anchor, turn=-90.0 if word.upright else 0.0)
    if template.is_named:
        drawing.text(x, y, template.name, size, "middle", bold=True)
        drawing.text(x, y + 1.6 * size, template.note, 0.7 * size, "middle")


def _lettering(template: Template, x: float, y: float, size: float) -> shapely.Polygon:
    """What the name and the note cover, mm of paper."""
    half = (
        max(letters_wide(template.name, size, bold=True), letters_wide(template.note, 0.7 * size)) / 2 + 2.0
    )
    return shapely.box(x - half, y - 1.2 * size, x + half, y + 2.0 * size)


def _tile(leaf: Leaf, template: Template, tiles: Tiling, row: int, column: int) -> None:
    """One page: its part of the outline clipped to it, register marks, scale bars, its name."""
    from reportlab.graphics import renderPDF

    from cutlists.packet.leaf import read_svg

    paper, canvas = tiles.paper, leaf.canvas
    low_x, low_y, _, _ = template.box
    step_x, step_y = tiles.steps
    wide, high = template.size
    drawing = Drawing(wide + 2 * BORDER, high + 2 * BORDER)
    _outline(drawing, template, Onto(np.array([low_x, low_y]), np.array([BORDER, BORDER + high]), 1.0))
    shape = read_svg(drawing.svg())
    canvas.saveState()
    clip = canvas.beginPath()
    bottom = (paper.height - BORDER - tiles.high) * MM
    clip.rect(BORDER * MM, bottom, tiles.wide * MM, tiles.high * MM)
    canvas.clipPath(clip, stroke=0, fill=0)
    # The drawing's upper left corner, less its own border, moved by the tile's place.
    x = BORDER - column * step_x - BORDER
    y = BORDER - row * step_y - BORDER
    canvas.translate(x * MM, (paper.height - y - drawing.height) * MM)
    renderPDF.draw(shape, canvas, 0, 0)
    canvas.restoreState()
    if tiles.count > 1:
        _register(leaf, tiles, row, column)
    _scale_bars(leaf, paper)
    told = f"{template.name}, full size"
    if tiles.count > 1:
        told += f"; tile {_tile_name(row, column)} of {_tile_name(tiles.down - 1, tiles.across - 1)}"
    leaf.text(BORDER, paper.height - 3.0, told, 7.0)


def _register(leaf: Leaf, tiles: Tiling, row: int, column: int) -> None:
    """Crosses in the overlaps, in the same place of the template on both pages, and the neighbours' names."""
    edge = OVERLAP / 2
    xs = [edge] * (column > 0) + [tiles.wide - edge] * (column < tiles.across - 1)
    ys = [edge] * (row > 0) + [tiles.high - edge] * (row < tiles.down - 1)
    for x in xs or [tiles.wide / 4, tiles.wide * 3 / 4]:
        for y in ys or [tiles.high / 4, tiles.high * 3 / 4]:
            _cross(leaf, BORDER + x, BORDER + y)
    frame = [(0.0, 0.0), (tiles.wide, 0.0), (tiles.wide, tiles.high), (0.0, tiles.high), (0.0, 0.0)]
    leaf.lines([(BORDER + x, BORDER + y) for x, y in frame], 0.1, 0.6)
    around = (
        (column > 0, BORDER - 5.0, BORDER + tiles.high / 2, row, column - 1),
        (column < tiles.across - 1, BORDER + tiles.wide + 1.5, BORDER + tiles.high / 2, row, column + 1),
        (row > 0, BORDER + tiles.wide / 2, BORDER - 2.0, row - 1, column),
        (row < tiles.down - 1, BORDER + tiles.wide / 2, BORDER + tiles.high + 3.5, row + 1, column),
    )
    for there, x, y, r, c in around:
        if there:
            leaf.text(x, y, _tile_name(r, c), 7.0, grey=0.4)


def _cross(leaf: Leaf, x: float, y: float) -> None:
    leaf.lines([(x - 4.0, y), (x + 4.0, y)], 0.15)
    leaf.lines([(x, y - 4.0), (x, y + 4.0)], 0.15)


def _scale_bars(leaf: Leaf, paper: Paper) -> None:
    """A bar of 100 mm and one of 4 in, to be measured before anything is traced."""
    y = paper.height - 7.5
    for x, length, words in ((BORDER, 100.0, "100 mm"), (BORDER, 4 * INCH, "4 in")):
        leaf.lines([(x, y), (x + length, y)], 0.25)
        for end in (x, x + length):
            leaf.lines([(end, y - 1.2), (end, y + 1.2)], 0.25)
        leaf.text(x + length + 1.5, y + 0.8, words, 6.0)
        y -= 3.4
    leaf.text(
        BORDER + 120.0, paper.height - 8.0, "Measure both bars before tracing; print without fitting.", 6.0
    )


def _map(leaf: Leaf, template: Template, tiles: Tiling) -> None:
    """The first page: the whole template with the tiles over it."""
    paper = tiles.paper
    step_x, step_y = tiles.steps
    wide = step_x * (tiles.across - 1) + tiles.wide
    high = step_y * (tiles.down - 1) + tiles.high
    low_x, _, _, high_y = template.box
    room = (0.0, 0.0, paper.width - 2 * BORDER, paper.height - 2 * BORDER - 24.0)
    drawing = Drawing(room[2], room[3])
    low = np.array([low_x, high_y - high])
    onto = Onto.fit(low, low + np.array([wide, high]), room)
    drawing.loops([onto.loop(loop) for loop in template.loops], OUTLINE)
    for row in range(tiles.down):
        for column in range(tiles.across):
            left, top = low_x + column * step_x, high_y - row * step_y
            corners = [(left, top), (left + tiles.wide, top), (left + tiles.wide, top - tiles.high),
                       (left, top - tiles.high)]  # fmt: skip
            drawing.area([onto.points(corners)], FAINT if (row + column) % 2 else CENTRE)
            x, y = onto.points((left + tiles.wide / 2, top - tiles.high / 2)).tolist()
            drawing.text(x, y, _tile_name(row, column), 3.5, "middle")
    leaf.text(BORDER, BORDER + 4.0, f"{template.name}: map of {tiles.count} tiles", 11.0, bold=True)
    told = f"{template.note}. Tape the pages cross on cross; they overlap {OVERLAP:.0f} mm."
    leaf.paragraph(BORDER, BORDER + 7.0, paper.width - 2 * BORDER, told, 8.0)
    leaf.drawing(drawing.svg(), (BORDER, BORDER + 20.0, room[2], room[3]), true_size=True)


def _tile_name(row: int, column: int) -> str:
    """A1 is the upper left tile; letters go down, numbers across."""
    return f"{chr(ord('A') + row)}{column + 1}" if row < 26 else f"{row + 1}-{column + 1}"
