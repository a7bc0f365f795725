"""The `finish:` entry of a boat file; names are held against the boat once it is built."""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.boatfile.finish_schema import FinishEntry
from model.boatfile.numbers import Numbers
from model.coverings.names import known_surfaces, unknown_surfaces
from model.coverings.settings import Finish, Paint
from parts.faults import FaultList, did_you_mean

if TYPE_CHECKING:
    from model.boat import Boat


def read_finish(entry: FinishEntry, mat: bool, numbers: Numbers) -> Finish:
    """The settings of a file's `finish:`; faults are noted in `numbers`.

    Args:
        entry: as written.
        mat: whether the boat has mat.
        numbers: knows places.
    """
    if entry.adhesive and not mat:
        numbers.fault(("finish", "adhesive"), "there is no mat to glue", "add `mat: {}`, or leave it out")
    paints = []
    for name, own in entry.paint.items():
        path = ("finish", "paint", name)
        if not own.paint and not own.primer:
            numbers.fault(path, "it is painted with nothing", "name a `paint` or a `primer`")
        paints.append(
            Paint(
                name, tuple(own.on), tuple(own.leave_out), own.faces, own.paint, own.coats, own.primer,
                own.primer_coats, numbers.document.place(path),
            )
        )  # fmt: skip
    return Finish(tuple(paints), entry.adhesive, numbers.document.place(("finish",)))


def check_finish(boat: Boat) -> None:
    """Refuses names under `finish:` that nothing in the boat has.

    Raises:
        BadInput: there are such names.
    """
    faults = FaultList()
    for paint, key, k, name in unknown_surfaces(boat):
        place = boat.document.place(("finish", "paint", paint, key, k))
        faults.add(place, f"there is no surface '{name}'", did_you_mean(name, known_surfaces(boat)))
    faults.raise_if_any()
