"""One drawing as SVG: lines, areas and lettering at their true size on paper, y down, in black and greys.

What is written here is plain enough for every reader of SVG, and for the packet, which sets it into PDF:
no style sheets, no filters, one font.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

import numpy as np
import numpy.typing as npt

from cutlists.svg_paper import loop_path
from model.geometry import Array
from parts.outline import Loop

Anchor = Literal["start", "middle", "end"]

FONT = "DejaVu Sans"
INK = "#000000"
GREY = "#6a6a6a"
PALE = "#ececec"
WHITE = "#ffffff"
LETTER = 0.60
"""Mean width of a letter of the font as a share of its size; a bold one is a tenth wider."""


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn: width in mm of paper, ink, dashes in mm."""

    width: float
    ink: str = INK
    dashes: tuple[float, ...] = ()

    @property
    def attributes(self) -> str:
        """The SVG attributes of a stroke of it."""
        dashed = f' stroke-dasharray="{" ".join(f"{d:g}" for d in self.dashes)}"' if self.dashes else ""
        return f'stroke="{self.ink}" stroke-width="{self.width:g}"{dashed}'


OUTLINE = Pen(0.35)
EDGE = Pen(0.2)
HIDDEN = Pen(0.18, GREY, (1.6, 0.8))
CENTRE = Pen(0.15, GREY, (5.0, 1.0, 1.0, 1.0))
FAINT = Pen(0.15, "#9a9a9a")
DIMENSION = Pen(0.13)


@dataclass
class Drawing:
    """A drawing `width` by `height` mm of paper, to which lines and lettering are added."""

    width: float
    height: float
    title: str = ""
    parts: list[str] = field(default_factory=list)

    def lines(self, lines: Iterable[npt.ArrayLike], pen: Pen = EDGE, name: str = "") -> None:
        """Polylines `(n, 2)`; `name` tells readers of the SVG what they are."""
        told = "".join(_run(np.asarray(line, dtype=np.float64)) for line in lines)
        if told:
            called = f"<title>{escape(name)}</title>" if name else ""
            ends = 'stroke-linecap="round" stroke-linejoin="round"'
            self.parts.append(
                f'<g fill="none" {pen.attributes} {ends}>{called}<path d="{told}"/></g>'
                if called
                else f'<path fill="none" {pen.attributes} {ends} d="{told}"/>'
            )

    def area(
        self, rings: Iterable[npt.ArrayLike], pen: Pen | None = OUTLINE, fill: str = "none", name: str = ""
    ) -> None:
        """A closed area of rings `(n, 2)`, those inside others being holes."""
        told = "".join(f"{_run(np.asarray(ring, dtype=np.float64))}Z" for ring in rings)
        self._area(told, pen, fill, name)

    def loops(
        self, loops: Sequence[Loop], pen: Pen | None = OUTLINE, fill: str = "none", name: str = ""
    ) -> None:
        """A closed area of loops in mm of paper, y down; arcs stay true."""
        self._area(
            "".join(loop_path(loop.points, loop.apexes, loop.bulges) for loop in loops), pen, fill, name
        )

    def _area(self, told: str, pen: Pen | None, fill: str, name: str) -> None:
        if told:
            stroke = f'{pen.attributes} stroke-linejoin="round"' if pen else 'stroke="none"'
            called = f" data-name={quoteattr(name)}" if name else ""
            self.parts.append(f'<path{called} fill="{fill}" fill-rule="evenodd" {stroke} d="{told}"/>')

    def dot(self, at: npt.ArrayLike, radius: float, pen: Pen | None = EDGE, fill: str = WHITE) -> None:
        """A circle."""
        x, y = np.asarray(at, dtype=np.float64).tolist()
        stroke = pen.attributes if pen else 'stroke="none"'
        self.parts.append(f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{radius:g}" fill="{fill}" {stroke}/>')

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float = 2.8,
        anchor: Anchor = "start",
        turn: float = 0.0,
        bold: bool = False,
        ink: str = INK,
    ) -> None:
        """A line of lettering: its baseline starts, is centred or ends at x, y.

        Args:
            x: mm of paper, rightward.
            y: mm of paper, downward.
            words: what it says.
            size: of the letters, mm.
            anchor: what of it lies at x, y.
            turn: degrees clockwise; -90 reads upward.
            bold: whether it is heavy.
            ink: its colour.
        """
        weight = ' font-weight="bold"' if bold else ""
        turned = f' transform="rotate({turn:g} {x:.3f} {y:.3f})"' if turn else ""
        self.parts.append(
            f'<text x="{x:.3f}" y="{y:.3f}" font-family="{FONT}" font-size="{size:g}"{weight} '
            f'text-anchor="{anchor}" fill="{ink}"{turned}>{escape(words)}</text>'
        )

    def svg(self) -> str:
        """The whole document."""
        size = f'width="{self.width:.3f}mm" height="{self.height:.3f}mm"'
        box = f'viewBox="0 0 {self.width:.3f} {self.height:.3f}"'
        head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box}>'
        return "\n".join((head, f"<title>{escape(self.title)}</title>", *self.parts, "</svg>", ""))


def letters_wide(words: str, size: float, bold: bool = False) -> float:
    """About how wide a line of lettering is, mm; errs on the wide side."""
    return len(words) * size * LETTER * (1.1 if bold else 1.0)


def _run(points: Array) -> str:
    return "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in points.tolist())
