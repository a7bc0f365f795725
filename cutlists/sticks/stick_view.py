"""A stick drawn true to scale in rows: the face seen from above and, where it tells more, the near side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from itertools import pairwise

import numpy as np

from cutlists.drawing.drawing import letters_wide
from cutlists.sticks.cut_words import Marking
from cutlists.sticks.end_classes import slope
from cutlists.sticks.records import Cut, Placed, Stick, StockPlan
from cutlists.sticks.saw_setting import ALMOST
from model.geometry import Array
from parts.lengths import UNITS

SCALE = 10
"""The stick is drawn 1 : this."""
LONG = 252.0
"""A row of it is at most this long, mm of paper."""
_PITCH = 3.1
"""Least distance of labels, mm of paper."""
_LEADER = 7.0
_LABEL = 21.0
_TAPE = 2.6
"""Lettering of the places of cuts, mm; that of `tape` in the page's style."""


@dataclass(frozen=True, eq=False)
class Face:
    """A face as drawn: its name, and section points of its two edges, `(2, 2)`, the upper one first."""

    name: str
    edges: Array

    @property
    def wide(self) -> float:
        """Between the edges, mm of paper."""
        return float(np.linalg.norm(self.edges[1] - self.edges[0])) / SCALE


@dataclass(frozen=True, eq=False)
class StickView:
    """Draws one stick into the page.

    Attributes:
        stock: its stock.
        stick: itself.
        marking: how lengths are told.
        left: x of the row's left end on the page, mm.
    """

    stock: StockPlan
    stick: Stick
    marking: Marking
    left: float

    @property
    def rows(self) -> tuple[tuple[float, float], ...]:
        """From where to where each row shows the stick, x in mm; equally long, a bare rest left out."""
        number = int(np.ceil(self.stick.length / (LONG * SCALE)))
        ends = np.linspace(0.0, self.stick.length, number + 1).tolist()
        return tuple((a, b) for a, b in pairwise(ends) if a <= self.stick.placed[-1].end)

    @property
    def faces(self) -> tuple[Face, ...]:
        """From above with the far edge up, and the near side under it, top up, where a cut slants there."""
        section = self.stock.pieces.section
        y, z = section.width / 2.0, section.height / 2.0
        # Of round tube the outermost fibres are drawn.
        up, near = (0.0, 0.0) if section.is_round else (z, -y)
        above = Face("above", np.array([(y, up), (-y, up)]))
        side = Face("near side", np.array([(near, z), (near, -z)]))
        slants = any(abs(cut.slope[1]) > np.tan(ALMOST) for cut in self.stick.cuts)
        return (above, side) if slants else (above,)

    @property
    def row_height(self) -> float:
        """On the page, mm."""
        return 5.0 + sum(face.wide + 1.5 for face in self.faces) + _LEADER + _LABEL

    def draw(self, top: float) -> Iterator[str]:
        """All rows, the first from `top` down the page."""
        for number, row in enumerate(self.rows):
            yield from self._row(number, row, top + number * self.row_height)

    def _row(self, number: int, row: tuple[float, float], top: float) -> Iterator[str]:
        y = top + 5.0
        wide = (row[1] - row[0]) / SCALE
        yield from self._rule(row, y - 0.8)
        for face in self.faces:
            name = f"row{number}-{face.name.replace(' ', '-')}"
            box = f'x="{self.left:.2f}" y="{y:.2f}" width="{wide:.2f}" height="{face.wide:.2f}"'
            yield f'<clipPath id="{name}"><rect {box}/></clipPath><g clip-path="url(#{name})">'
            yield f'<rect class="rest" {box}/>'
            yield from (self._piece(placed, face, row, y) for placed in self.stick.placed)
            yield "</g>"
            yield f'<rect class="tube" {box}/>'
            place = f'x="{self.left - 1.5:.2f}" y="{y + face.wide / 2 + 0.8:.2f}"'
            yield f'<text class="face" {place}>{face.name}</text>'
            if face.name == "above":
                yield from self._marks(row, face, y)
            y += face.wide + 1.5
        if number == len(self.rows) - 1 and row[1] < self.stick.length - 1e-6:
            x, middle = self.left + wide + 2.0, top + 5.0 + self.faces[0].wide / 2.0 + 0.9
            said = escape(f"to {self.marking.tape(self.stick.length)}")
            yield f'<text class="more" x="{x:.2f}" y="{middle:.2f}">{said}</text>'
        yield from self._labels(row, y - 1.5)

    def _page(self, x: float, row: tuple[float, float]) -> float:
        return self.left + (x - row[0]) / SCALE

    def _rule(self, row: tuple[float, float], y: float) -> Iterator[str]:
        """Ticks every foot or 250 mm along the upper edge, those that are whole numbers of two named."""
        step = UNITS["ft"] if self.marking.in_inches else 250.0
        for k in range(int(np.ceil(row[0] / step - 1e-9)), int(row[1] / step + 1e-9) + 1):
            x = self._page(k * step, row)
            yield f'<path class="rule" d="M{x:.2f} {y:.2f}v-1.6"/>'
            name = f"{12 * k}" if self.marking.in_inches else f"{250 * k}"
            yield f'<text class="tick" x="{x:.2f}" y="{y - 2.1:.2f}">{name}</text>'

    def _piece(self, placed: Placed, face: Face, row: tuple[float, float], y: float) -> str:
        left, right = _ends(placed, self.stock, face.edges)
        corners = [(left[0], 0.0), (right[0], 0.0), (right[1], face.wide), (left[1], face.wide)]
        points = " ".join(f"{self._page(x, row):.3f},{y + down:.3f}" for x, down in corners)
        return f'<polygon class="metal" points="{points}"/>'

    def _marks(self, row: tuple[float, float], face: Face, y: float) -> Iterator[str]:
        """The mark of each piece in the middle of what the row shows of it, and what is left."""
        size, base = min(3.4, 0.8 * face.wide), y + face.wide / 2
        for placed in self.stick.placed:
            mark, long = placed.piece.mark, placed.piece.length
            low, high = max(placed.start, row[0]), min(placed.end, row[1])
            if high - low < long - 1e-6 and (high - low) / SCALE < 0.7 * size * len(mark) + face.wide:
                continue
            fit = min(size, 1.25 * long / SCALE / len(mark))
            yield _text("mark", self._page((low + high) / 2.0, row), base, mark, fit)
        start = max(self.stick.placed[-1].end + self.stock.tube.kerf, row[0])
        said = f"{self.marking.length(self.stick.offcut)} to keep"
        if self.stick.kept and (row[1] - start) / SCALE > 0.65 * size * len(said):
            yield _text("left", self._page((start + row[1]) / 2.0, row), base, said, size)

    def _labels(self, row: tuple[float, float], y: float) -> Iterator[str]:
        """Number and place of each cut under the row, spread so that none covers another."""
        last = row[1] >= self.stick.length - 1e-6
        cuts = sorted(
            (
                (cut.at, number, cut)
                for number, cut in enumerate(self.stick.cuts, start=1)
                if row[0] <= cut.at < row[1] or (last and cut.at >= row[1])
            ),
            key=lambda told: (told[0], told[2].blade, told[1]),
        )
        wanted = np.array([self._page(at, row) for at, _, _ in cuts])
        for (at, number, cut), x in zip(cuts, spread(wanted, _PITCH), strict=True):
            from_x = self._page(at, row)
            yield f'<path class="leader" d="M{from_x:.2f} {y:.2f}v1L{x:.2f} {y + _LEADER - 1:.2f}v1"/>'
            yield self._label(x, y + _LEADER + 0.8, number, cut)

    def _label(self, x: float, y: float, number: int, cut: Cut) -> str:
        """The place of a cut, read upward to its line, and its number before that."""
        said, turned = self.marking.tape(cut.at), f'transform="translate({x + 0.9:.2f} {y:.2f}) rotate(-90)"'
        kind = "tape" if cut.setting.is_square else "tape slant"
        before = letters_wide(said, _TAPE) + 0.6 * _TAPE
        return (
            f'<text class="{kind}" {turned}>{escape(said)}</text>'
            f'<text class="{kind} no" x="{-before:.2f}" {turned}>{number}</text>'
        )


def _text(kind: str, x: float, middle: float, said: str, size: float) -> str:
    place = f'x="{x:.2f}" y="{middle + 0.36 * size:.2f}" style="font-size:{size:.2f}px"'
    return f'<text class="{kind}" {place}>{escape(said)}</text>'


def _ends(placed: Placed, stock: StockPlan, points: Array) -> tuple[Array, Array]:
    """Where the left and the right end of a piece are on some fibres `(k, 2)`, x in mm, `(k,)` each."""
    outer = stock.pieces.section.outer
    left, right = slope(placed.normal("left")), slope(placed.normal("right"))
    start = placed.start + float(outer.support(left[None])[0]) - points @ left
    end = placed.end - float(outer.support(-right[None])[0]) - points @ right
    return start, end


def spread(wanted: Array, pitch: float) -> Array:
    """Places as near to those wanted (rising) as can be with none nearer than `pitch` to the next."""
    # Runs that would collide are pooled and centred on the mean of what they want (pool adjacent violators).
    runs: list[list[float]] = []  # sum of wanted less own offset, count
    for place, x in enumerate(wanted.tolist()):
        runs.append([x - pitch * place, 1.0])
        while len(runs) > 1 and runs[-2][0] / runs[-2][1] > runs[-1][0] / runs[-1][1]:
            total, count = runs.pop()
            runs[-1][0] += total
            runs[-1][1] += count
    base = [total / count for total, count in runs for _ in range(int(count))]
    found: Array = np.array(base) + pitch * np.arange(len(base))
    return found
