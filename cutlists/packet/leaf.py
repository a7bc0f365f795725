"""One page of a PDF while it is drawn on: lettering, drawings and tables, in mm with y down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from cutlists.packet.paper import Paper

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas
    from reportlab.platypus import Flowable
    from reportlab.platypus import Table as PdfTable

MM = 72.0 / 25.4
PLAIN, BOLD = "Sans", "Sans-Bold"
BODY = 8.5
"""Size of ordinary lettering, pt."""

Side = Literal["left", "right", "centre"]
SIDES: dict[Side, Literal[0, 1, 2]] = {"left": 0, "centre": 1, "right": 2}
"""As the PDF library counts them."""


@cache
def fonts_ready() -> None:
    """Makes the fonts that come with the PDF library known: the same on every machine, and embedded."""
    import reportlab
    from reportlab.pdfbase.pdfmetrics import registerFont, registerFontFamily
    from reportlab.pdfbase.ttfonts import TTFont
    from svglib.fonts import register_font

    folder = Path(reportlab.__file__).parent / "fonts"
    for name, file in ((PLAIN, "Vera.ttf"), (BOLD, "VeraBd.ttf")):
        registerFont(TTFont(name, str(folder / file)))
    registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)
    # The drawings ask for DejaVu Sans, which is these letters under another name.
    for weight, file in (("normal", "Vera.ttf"), ("bold", "VeraBd.ttf")):
        register_font("DejaVu Sans", str(folder / file), weight=weight)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, its width in mm, and to which side it is set."""

    head: str
    width: float
    side: Side = "left"


class Leaf:
    """A page being drawn on."""

    def __init__(self, canvas: Canvas, paper: Paper) -> None:
        """Takes a canvas that is at the start of a page."""
        self.canvas, self.paper = canvas, paper

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float = BODY,
        bold: bool = False,
        side: Side = "left",
        grey: float = 0.0,
    ) -> None:
        """A line of lettering, baseline at y."""
        self.canvas.setFillGray(grey)
        self.canvas.setFont(BOLD if bold else PLAIN, size)
        put = {
            "left": self.canvas.drawString,
            "right": self.canvas.drawRightString,
            "centre": self.canvas.drawCentredString,
        }[side]
        put(x * MM, (self.paper.height - y) * MM, words)
        self.canvas.setFillGray(0.0)

    def lines(self, points: Sequence[tuple[float, float]], width: float = 0.25, grey: float = 0.0) -> None:
        """A polyline; `width` in mm."""
        path = self.canvas.beginPath()
        (x, y), *others = ((x * MM, (self.paper.height - y) * MM) for x, y in points)
        path.moveTo(x, y)
        for x, y in others:
            path.lineTo(x, y)
        self.canvas.setStrokeGray(grey)
        self.canvas.setLineWidth(width * MM)
        self.canvas.drawPath(path)

    def paragraph(
        self, x: float, y: float, width: float, words: str, size: float = BODY, bold: bool = False
    ) -> float:
        """Words wrapped to `width` mm, their upper edge at y; returns the lower edge."""
        from reportlab.lib.styles import ParagraphStyle
        from reportlab.platypus import Paragraph

        style = ParagraphStyle("words", fontName=BOLD if bold else PLAIN, fontSize=size, leading=size * 1.35)
        told = words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
        block = Paragraph(told, style)
        _, high = block.wrap(width * MM, 1e6)
        block.drawOn(self.canvas, x * MM, (self.paper.height - y) * MM - high)
        return y + float(high) / MM

    def drawing(
        self, svg: str, room: tuple[float, float, float, float], true_size: bool = False
    ) -> tuple[float, float]:
        """A drawing in SVG in the middle of a room (left, top, width, height).

        Args:
            svg: the document.
            room: mm.
            true_size: draw its millimetres as millimetres; otherwise it is made to fit.

        Returns:
            its width and height on paper, mm.

        Raises:
            ValueError: it cannot be read, or is larger than the room and must not be made to fit.
        """
        from reportlab.graphics import renderPDF

        found = read_svg(svg)
        left, top, wide, high = room
        width, height = found.width / MM, found.height / MM
        if true_size and (width > wide + 0.01 or height > high + 0.01):
            raise ValueError(
                f"a drawing of {width:.0f} by {height:.0f} mm is too large for its place on paper"
            )
        size = 1.0 if true_size else min(wide / width, high / height)
        x, y = left + (wide - width * size) / 2, top + (high - height * size) / 2
        self.canvas.saveState()
        self.canvas.translate(x * MM, (self.paper.height - y - height * size) * MM)
        self.canvas.scale(size, size)
        renderPDF.draw(found, self.canvas, 0, 0)
        self.canvas.restoreState()
        return width * size, height * size

    def table(self, table: Flowable, x: float, y: float) -> float:
        """A table with its upper left corner at x, y; returns its lower edge."""
        _, high = table.wrapOn(self.canvas, 1e6, 1e6)
        table.drawOn(self.canvas, x * MM, (self.paper.height - y) * MM - high)
        return y + float(high) / MM


def read_svg(svg: str) -> Any:
    """A drawing of the PDF library from an SVG document.

    Raises:
        ValueError: it cannot be read.
    """
    import io

    from svglib.svglib import svg2rlg

    fonts_ready()
    found = svg2rlg(io.BytesIO(svg.encode("utf-8")))
    if found is None:
        raise ValueError("a drawing cannot be read")
    return found


def table_of(columns: Sequence[Column], rows: Sequence[Sequence[str]], size: float = 7.5) -> PdfTable:
    """A table whose long cells are wrapped; its heading comes again where it is split."""
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph, Table

    fonts_ready()
    styles = [
        ParagraphStyle(f"cell{n}", fontName=PLAIN, fontSize=size, leading=size * 1.2, alignment=SIDES[c.side])
        for n, c in enumerate(columns)
    ]

    def cell(text: str, n: int) -> Any:
        if "<" in text or "&" in text:
            text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
        return Paragraph(text.replace("\n", "<br/>"), styles[n]) if text else ""

    heads = [Paragraph(f"<b>{column.head}</b>", styles[n]) for n, column in enumerate(columns)]
    body = [[cell(text, n) for n, text in enumerate(row)] for row in rows]
    found = Table([heads, *body], colWidths=[c.width * MM for c in columns], repeatRows=1)
    found.setStyle(
        [
            ("LINEBELOW", (0, 0), (-1, 0), 0.9, "black"),
            ("LINEBELOW", (0, 1), (-1, -1), 0.25, "#a0a0a0"),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("TOPPADDING", (0, 0), (-1, -1), 1.6),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6),
            ("LEFTPADDING", (0, 0), (-1, -1), 2),
            ("RIGHTPADDING", (0, 0), (-1, -1), 2),
        ]
    )
    return found


def split_table(table: Flowable, height: float, first: float | None = None) -> list[Flowable]:
    """A table as parts no higher than `height` mm, the first no higher than `first` where that is given.

    A single row that is higher stays whole.
    """
    found: list[Flowable] = []
    rest, room = table, height if first is None else first
    while True:
        rest.wrap(1e6, 1e6)
        parts = rest.split(1e6, room * MM)
        if len(parts) < 2:
            return [*found, rest]
        found.append(parts[0])
        rest, room = parts[1], height
