"""What a template is asked of: a sheet piece, a piece of mat, the bevel of a sheet's edge along the hull."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from cutlists.bevel_cards import BevelCard, bevel_cards
from cutlists.mats.mat_dxf import piece_dxf
from cutlists.outline_dxf import Units, outline_drawing
from cutlists.packet.bevel_template import bevel_dxf, bevel_template
from cutlists.packet.templates import Template, mat_template, sheet_template
from model.mat.build import mat_of

if TYPE_CHECKING:
    from model.boat import Boat
    from model.mat.settings import MatSettings
    from model.panel import Panel
    from model.strip import Strip


@dataclass(frozen=True, eq=False)
class Chosen:
    """What is traced: its template, and the same as a DXF of a unit."""

    template: Template
    dxf: Callable[[Units], bytes]


class UnknownPieceError(KeyError):
    """The boat has no such piece; `known` are the marks and names there are."""

    def __init__(self, asked: str, known: Sequence[str]) -> None:
        super().__init__(asked)
        self.known = known


def chosen(
    boat: Boat, mat: MatSettings | None, asked: str, previous: Mapping[str, tuple[str, str]] | None = None
) -> Chosen:
    """The piece of a mark or a name; `S4/a` is the bevel of edge a of S4, as the bevel cards letter it.

    Args:
        boat: the finished boat.
        mat: how it is matted, on the shop's sheets; None where it is not.
        asked: mark, name, or either with an edge behind it.
        previous: marks of earlier builds, so that paper and pieces agree.

    Raises:
        UnknownPieceError: there is none.
    """
    known: list[str] = []
    for found in (_of_sheet(boat, asked, known), _of_bevel(boat, asked, known)):
        if found is not None:
            return found
    if mat is not None:
        found = _of_mat(boat, mat, asked, previous, known)
        if found is not None:
            return found
    raise UnknownPieceError(asked, sorted(set(known)))


def _of_sheet(boat: Boat, asked: str, known: list[str]) -> Chosen | None:
    sheet: list[Panel | Strip] = [*boat.panels, *boat.strips]
    known += [name for piece in sheet for name in (boat.marks[piece.name], piece.name)]
    for piece in sheet:
        mark = boat.marks[piece.name]
        if asked in (piece.name, mark):
            count = sum(boat.marks[other.name] == mark for other in sheet)
            return Chosen(sheet_template(piece, mark, count, boat.units), partial(_sheet_dxf, piece, mark))
    return None


def _sheet_dxf(piece: Panel | Strip, mark: str, units: Units) -> bytes:
    stream = io.StringIO()
    outline_drawing(piece, mark, units).write(stream)
    return stream.getvalue().encode("utf-8")


def _of_bevel(boat: Boat, asked: str, known: list[str]) -> Chosen | None:
    base, _, edge = asked.rpartition("/")
    cards: list[BevelCard] = bevel_cards(boat)
    known += [f"{card.mark}/{card.letter}" for card in cards]
    for card in cards:
        if card.letter == edge and base in (card.mark, card.run.name):
            return Chosen(bevel_template(card, boat.units), partial(bevel_dxf, card, boat.units))
    return None


def _of_mat(
    boat: Boat,
    settings: MatSettings,
    asked: str,
    previous: Mapping[str, tuple[str, str]] | None,
    known: list[str],
) -> Chosen | None:
    matting = mat_of(boat, settings, previous)
    known += [*matting.marks.values(), *matting.marks]
    for piece in matting.pieces:
        mark = matting.marks[piece.name]
        if asked in (piece.name, mark):
            count = sum(own == mark for own in matting.marks.values())
            return Chosen(mat_template(piece, mark, count), partial(piece_dxf, piece, mark))
    return None
