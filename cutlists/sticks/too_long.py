"""Faults of pieces that no stick holds, with the splice that would do."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from cutlists.sticks.pieces import Piece, StockPieces
from cutlists.sticks.settings import StickSettings, Tube
from parts.faults import Fault, Place
from parts.lengths import format_length

FAR = 1e-6


def none_holds(
    jobs: Sequence[StockPieces], settings: StickSettings, places: Mapping[str, Place], units: str
) -> Iterator[tuple[str, Fault]]:
    """The members that are longer than every stick they could be cut from, by name with the fault."""
    for job in jobs:
        for piece in job.pieces:
            yield from _too_long(piece, job.stock, settings.of(job.stock), places, units)


def _too_long(
    piece: Piece, stock: str, tube: Tube, places: Mapping[str, Place], units: str
) -> Iterator[tuple[str, Fault]]:
    """A fault for each place of a piece that is longer than every stick there is."""
    bought = max(one.length for one in tube.lengths) - 2.0 * tube.end_trim
    longest = max([bought, *(one.length for one in tube.offcuts)])
    if piece.length <= longest + FAR:
        return
    parts = math.ceil((piece.length + tube.kerf) / (longest + FAR))
    told, most, over = (
        format_length(value, units) for value in (piece.length, longest, piece.length - longest)
    )
    each = format_length(piece.length / parts, units)
    for name in piece.names:
        wrong = (
            f"{name} ({piece.mark}) is {told} long, {over} longer than any stick of {stock} ({most} usable)"
        )
        right = (
            f"splice it from {parts} lengths of about {each}, the joint over a post or beam and sleeved or "
            f"backed, or list a longer stick in the shop file"
        )
        yield name, Fault(places.get(name, tube.place), wrong, right)


def crowded_out(stock: str, tube: Tube) -> Fault:
    """The fault of a job whose long pieces outnumber the long sticks on hand."""
    wrong = f"pieces of {stock} that only lengths on hand can hold outnumber those lengths"
    return Fault(tube.place, wrong, "list a length to buy that is long enough")
