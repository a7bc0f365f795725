"""The `foam:` entry of a boat file to numbers; every fault is noted at its line."""

from __future__ import annotations

from model.boatfile.foam_schema import BlocksEntry
from model.boatfile.numbers import Numbers
from model.foam.settings import USUAL_BOARDS, FoamBoard, FoamSettings
from model.hydrostatics.plan import Foam
from model.layout.records import Layout
from parts.faults import did_you_mean
from parts.lengths import format_length

THINNEST = 6.0
"""Board thinner than this, mm, makes no blocks."""


def read_foam(entry: BlocksEntry, usual: Foam | None, numbers: Numbers, layout: Layout) -> FoamSettings:
    """The settings of a file's `foam:`.

    Args:
        entry: as written.
        usual: what `afloat.foam` says, whose density and decks to leave hold here too.
        numbers: reads lengths; faults are noted in it.
        layout: whose decks can be named.
    """
    own = usual or Foam()
    decks = sorted(
        {name for deck in layout.decks.values() if deck.name.startswith("deck.")
         for name in (deck.base, deck.name.removeprefix("deck."))}
    )  # fmt: skip
    for k, name in enumerate(entry.leave):
        if name not in decks and decks:
            numbers.fault(("foam", "leave", k), f"there is no deck '{name}'", did_you_mean(name, decks))
    lengths = {
        key: numbers.not_negative(getattr(entry, key), "foam", key)
        for key in ("gap", "bilge", "fuel_gap", "arm")
    }
    least, most = (numbers.positive(getattr(entry, key), "foam", key) for key in ("least", "most"))
    if least >= most:
        told = format_length(least, numbers.units)
        numbers.fault(
            ("foam", "most"), "no block is longer than it is narrow at least", f"give more than {told}"
        )
    width, height = (numbers.not_negative(v, "foam", "channel", k) for k, v in enumerate(entry.channel))
    return FoamSettings(
        boards=_boards(entry, numbers),
        density=float(own.density if entry.density is None else entry.density),
        channel=(width, height),
        least=least,
        most=most,
        leave=tuple(dict.fromkeys((*own.leave, *entry.leave))),
        fuel_proof=entry.fuel_proof,
        place=numbers.document.place(("foam",)),
        **lengths,
    )


def _boards(entry: BlocksEntry, numbers: Numbers) -> tuple[FoamBoard, ...]:
    """The boards, the thickest first."""
    found = []
    for name, board in entry.boards.items():
        path = ("foam", "boards", name)
        thickness, width, length = (
            numbers.positive(getattr(board, key), *path, key) for key in ("thickness", "width", "length")
        )
        if thickness < THINNEST:
            least = format_length(THINNEST, numbers.units)
            numbers.fault((*path, "thickness"), f"{board.thickness} is no board", f"give at least {least}")
        if thickness > min(width, length):
            numbers.fault(path, "the board is thicker than it is wide", "exchange thickness and width")
        found.append(FoamBoard(name, thickness, width, length, board.price))
    return tuple(sorted(found, key=lambda board: -board.thickness)) or USUAL_BOARDS
