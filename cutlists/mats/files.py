"""Everything the shop needs to cut and glue the mat, as named files."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING

from cutlists.mats.deck_picture import deck_picture
from cutlists.mats.mat_dxf import piece_dxf, sheet_dxf
from cutlists.mats.mat_list import by_mark, mat_csv, mat_notes, mat_rows, places_csv
from cutlists.mats.nest import MatNest, nest_mats
from cutlists.mats.sheet_picture import piece_picture, sheet_picture
from cutlists.outline_dxf import Units
from model.mat.build import Matting, mat_of
from model.mat.settings import MatSettings

if TYPE_CHECKING:
    from model.boat import Boat

Tell = Callable[[str], None]


def mat_files(
    boat: Boat,
    settings: MatSettings,
    tell: Tell = lambda _: None,
    previous: Mapping[str, tuple[str, str]] | None = None,
    units: Units = "mm",
) -> Iterator[tuple[str, bytes]]:
    """The mat's files by name, folders not included.

    Args:
        boat: the finished boat.
        settings: of the mat.
        tell: hears what is being worked on.
        previous: mark and signature by name of an earlier build, whose marks are kept.
        units: what a drawing unit of the DXF files is.
    """
    matting = mat_of(boat, settings, previous, tell)
    if matting.pieces:
        yield from files_of(boat, matting, nest_mats(matting, tell), tell, units)


def files_of(
    boat: Boat, matting: Matting, nest: MatNest, tell: Tell = lambda _: None, units: Units = "mm"
) -> Iterator[tuple[str, bytes]]:
    """As `mat_files`, of mat that is laid out already."""
    yield "mat-deck.svg", deck_picture(boat, matting).encode()
    yield "mat-list.csv", mat_csv(mat_rows(matting)).encode()
    yield "mat-sheets.csv", places_csv(nest).encode()
    yield "mat-notes.txt", mat_notes(matting, nest).encode()
    for mark, pieces in by_mark(matting).items():
        tell(f"drawing mat {mark}")
        width = matting.settings.groove_width
        yield f"{mark}.svg", piece_picture(pieces[0], mark, len(pieces), width).encode()
        yield f"{mark}.dxf", piece_dxf(pieces[0], mark, units)
    for number, one in enumerate(nest.sheets, start=1):
        tell(f"drawing mat sheet {number}")
        yield f"mat-sheet-{number}.svg", sheet_picture(one, number, len(nest.sheets), matting).encode()
        yield f"mat-sheet-{number}.dxf", sheet_dxf(one, matting.settings.pitch, units)
