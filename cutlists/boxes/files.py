"""Writes what a build tells of boxes, foam, paint and glue."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from cutlists.boxes.amounts import coating_amounts
from cutlists.boxes.as_json import boxes_json
from cutlists.boxes.boards import BoardPlan, board_plan, piece_dxf
from cutlists.boxes.coverage import Coating
from cutlists.boxes.covering_words import face_rows
from cutlists.boxes.foam_picture import layer_pictures
from cutlists.boxes.foam_scene import foam_scene
from cutlists.boxes.foam_words import block_rows
from cutlists.boxes.ice_words import ice_text, piece_rows
from cutlists.mesh_files import glb_bytes
from cutlists.nests.nest_files import plan_files
from cutlists.nests.settings import NestSettings
from model.foam.check import check_foam
from model.foam.plan import foam_plan
from model.insulation.plan import box_plans

if TYPE_CHECKING:
    from model.boat import Boat

Tell = Callable[[str], None]
PIECE_HEAD = ("mark", "foam of", "length", "height", "thickness", "cut from", "note")
BOARDS = ("nests.csv", "nests.txt")
"""Lists of the nests that go along with the boards' drawings."""


def write_boxes(
    boat: Boat,
    coatings: Mapping[str, Coating],
    folder: Path,
    tell: Tell = lambda _: None,
    units: Literal["mm", "in"] = "mm",
    denominator: int = 16,
) -> None:
    """`ice.txt`, `foam/`, `coverings.csv` and `boxes.json`, each where the boat file asks for it.

    Args:
        boat: the finished boat.
        coatings: paints and glues that the shop knows.
        folder: an existing folder.
        tell: hears what is being written.
        units: drawing unit of the DXF files.
        denominator: lengths are marked to 1 / this inch.

    Raises:
        BadInput: foam is larger than its boards, or the shop knows no such paint.
        OSError: a file cannot be written.
    """
    boxes, plan = box_plans(boat), foam_plan(boat)
    if boxes:
        tell("writing what ice keeps")
        text = "".join(f"{line}\n" for line in ice_text(boat))
        (folder / "ice.txt").write_text(text, encoding="utf-8")
    if boxes or plan is not None:
        tell("laying foam on boards")
        (folder / "foam").mkdir()
        _foam(boat, board_plan(boat), folder / "foam", units, denominator)
    if boat.finish is not None:
        tell("measuring what is painted")
        _rows(folder / "coverings.csv", face_rows(boat, coating_amounts(boat, coatings)))
    if boxes or plan is not None or boat.finish is not None:
        told = boxes_json(boxes, check_foam(boat), coating_amounts(boat, coatings))
        (folder / "boxes.json").write_text(told, encoding="utf-8")


def _foam(boat: Boat, boards: BoardPlan, folder: Path, units: Literal["mm", "in"], denominator: int) -> None:
    """Boards with what is cut from them, the list of blocks, where each goes, the foam of boxes."""
    if boards.nests is not None:
        for name, data in plan_files(boards.nests, NestSettings(), boat.units, units, denominator):
            if name in BOARDS or name.endswith((".dxf", ".svg")):
                (folder / name).write_bytes(data)
    plan = foam_plan(boat)
    if plan is not None:
        (folder / "foam.glb").write_bytes(glb_bytes(foam_scene(boat, plan)))
        _rows(folder / "foam-blocks.csv", block_rows(boat, plan))
        for picture in layer_pictures(boat, plan):
            (folder / f"{picture.name}.svg").write_text(picture.svg(), encoding="utf-8")
    for cut in boards.box_cuts:
        (folder / f"{cut.mark}.dxf").write_bytes(piece_dxf(cut, units))
    rows = [row for b in box_plans(boat) for row in piece_rows(b, boards.box_cuts, boat.units, denominator)]
    if rows:
        _rows(folder / "box-foam.csv", [PIECE_HEAD, *rows])


def _rows(path: Path, rows: Sequence[Sequence[str | float]]) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(rows)
