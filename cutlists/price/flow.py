"""Headings, words, tables and pictures laid one below the other over as many pages as they take."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from cutlists.packet.leaf import BODY, MM, Column, Leaf, fonts_ready, split_table, table_of
from cutlists.packet.page import Page, words_height
from cutlists.packet.paper import Paper

if TYPE_CHECKING:
    from reportlab.platypus import Flowable

GAP = 1.4
"""Between blocks, mm."""
LEAST_TABLE = 22.0
"""A table is begun at the foot of a page only where so much of it finds room, mm."""
Svg = Callable[[tuple[float, float]], str]


class Block(Protocol):
    """Something laid on a page."""

    def parts(self, wide: float, room: float, whole: float) -> Iterator[Part]:
        """What of it is drawn where: in the `room` left on this page, then on pages `whole` high."""


@dataclass(frozen=True)
class Part:
    """A part of a block that stays on one page: how high it is, mm, and how it is drawn at its corner."""

    high: float
    draw: Callable[[Leaf, float, float], None]
    keep: float = 0.0
    """What must find room below it, so that no heading stands alone, mm."""


@dataclass(frozen=True)
class Heading:
    """A line in bold that stays with what follows it."""

    words: str

    def parts(self, wide: float, room: float, whole: float) -> Iterator[Part]:
        """One line."""
        yield Part(
            7.6, lambda leaf, x, y: leaf.text(x, y + 5.4, self.words, 10.5, bold=True), keep=LEAST_TABLE
        )


@dataclass(frozen=True)
class Words:
    """A paragraph; with `mark` before it, an item of a list."""

    words: str
    size: float = BODY
    mark: str = ""
    bold: bool = False

    def parts(self, wide: float, room: float, whole: float) -> Iterator[Part]:
        """One part: a paragraph is not split."""
        inset = 4.0 if self.mark else 0.0

        def draw(leaf: Leaf, x: float, y: float) -> None:
            if self.mark:
                leaf.text(x, y + self.size * 0.35 + 0.2, self.mark, self.size)
            leaf.paragraph(x + inset, y, wide - inset, self.words, self.size, self.bold)

        yield Part(words_height(self.words, wide - inset, self.size), draw)


@dataclass(frozen=True)
class Picture:
    """A drawing made for the size it gets: the whole width, and so high, mm."""

    svg: Svg
    high: float

    def parts(self, wide: float, room: float, whole: float) -> Iterator[Part]:
        """One part."""

        def draw(leaf: Leaf, x: float, y: float) -> None:
            leaf.drawing(self.svg((wide, self.high)), (x, y, wide, self.high), true_size=True)

        yield Part(self.high, draw)


@dataclass(frozen=True)
class Tabled:
    """A table; its rows of numbers `bold` are set in heavy letters."""

    columns: Sequence[Column]
    rows: Sequence[Sequence[str]]
    bold: frozenset[int] = frozenset()
    size: float = 8.0

    def parts(self, wide: float, room: float, whole: float) -> Iterator[Part]:
        """As many as the pages ask for, the heading anew on each."""
        fonts_ready()
        for part in split_table(self._table(), whole, room if room > LEAST_TABLE else whole):
            _, high = part.wrap(1e6, 1e6)

            def draw(leaf: Leaf, x: float, y: float, part: Flowable = part) -> None:
                leaf.table(part, x, y)

            yield Part(float(high) / MM, draw)

    def _table(self) -> Flowable:
        # An empty cell would be as high as the library's own letters.
        rows = [[cell or "\u00a0" for cell in row] for row in self.rows]
        table = table_of(self.columns, rows, self.size)
        for row in self.bold:
            table.setStyle([("LINEABOVE", (0, row + 1), (-1, row + 1), 0.9, "black")])
        return table


@dataclass(frozen=True)
class Signatures:
    """A line to sign on for each of `names`, beside each other."""

    names: Sequence[str]

    def parts(self, wide: float, room: float, whole: float) -> Iterator[Part]:
        """One part."""
        each = wide / len(self.names)

        def draw(leaf: Leaf, x: float, y: float) -> None:
            for k, name in enumerate(self.names):
                left = x + k * each
                leaf.lines([(left, y + 12.0), (left + each - 8.0, y + 12.0)], 0.2)
                leaf.text(left, y + 15.5, name, 7.5)

        yield Part(17.0, draw)


def laid_out(section: str, title: str, paper: Paper, blocks: Sequence[Block]) -> list[Page]:
    """Pages with the blocks one below the other."""
    left, top, wide, high = paper.room
    pages: list[list[tuple[Part, float]]] = [[]]
    y = 0.0
    for block in blocks:
        for part in block.parts(wide, high - y, high):
            if y + part.high + part.keep > high and pages[-1]:
                pages.append([])
                y = 0.0
            pages[-1].append((part, y))
            y += part.high + GAP
    return [_page(section, title, paper, own, k, len(pages), left, top) for k, own in enumerate(pages, 1)]


def _page(
    section: str,
    title: str,
    paper: Paper,
    parts: Sequence[tuple[Part, float]],
    number: int,
    count: int,
    left: float,
    top: float,
) -> Page:
    def draw(leaf: Leaf) -> None:
        for part, y in parts:
            part.draw(leaf, left, top + y)

    return Page(section, title if count == 1 else f"{title} ({number} of {count})", paper, draw)
