"""Filled sticks laid out in full: pieces in their places, cuts in the order to make them, what is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutlists.sticks.arrange import Arranger
from cutlists.sticks.cut_order import Key, ordered
from cutlists.sticks.cuts import CutMaker
from cutlists.sticks.pieces import Piece, StockPieces
from cutlists.sticks.problem import Filled
from cutlists.sticks.records import Stick
from cutlists.sticks.settings import Tube
from model.end_cut import SawLimits


@dataclass(frozen=True, eq=False)
class StickLayer:
    """Lays out the sticks of one stock.

    Attributes:
        job: the pieces.
        tube: how it is bought and cut.
        near: end planes this close are made by one cut, rad.
        limits: what the saw reaches.
    """

    job: StockPieces
    tube: Tube
    near: float
    limits: SawLimits

    def sticks(self, filled: Sequence[Filled]) -> tuple[Stick, ...]:
        """The sticks in detail, those on hand before those that are bought, alike ones together.

        Args:
            filled: by the places of their stocks: lengths on hand, then those to buy.
        """
        names = {piece.mark: list(piece.names) for piece in self.job.pieces}
        found: list[Stick] = []
        setting: Key | None = None
        for number, stick in enumerate(sorted(filled, key=lambda f: (f.stock, f.counts)), start=1):
            pieces = [self.job.pieces[kind] for kind, count in stick.counts for _ in range(count)]
            own = [names[piece.mark].pop(0) for piece in pieces]
            found.append(self._stick(number, stick.stock, pieces, own, setting))
            setting = found[-1].cuts[-1].setting.key if found[-1].cuts else setting
        return tuple(found)

    def _stick(
        self, number: int, stock: int, pieces: Sequence[Piece], names: Sequence[str], setting: Key | None
    ) -> Stick:
        tube = self.tube
        arranger = Arranger(self.job, tube.kerf, self.near, self.limits)
        maker = CutMaker(self.job.section, tube.kerf, self.limits)
        length, label, price, trim = _blank(tube, stock)
        placed, saved = arranger.lay(pieces, names, trim)
        offcut = max(0.0, length - trim - placed[-1].end - tube.kerf)
        kept = offcut >= tube.keep and offcut > 0.0
        cuts = ordered(maker.chains(placed, length, trim, kept), setting)
        return Stick(number, length, label, price, trim, placed, cuts, offcut, kept, saved)


def _blank(tube: Tube, stock: int) -> tuple[float, str, float | None, float]:
    """Length, name on hand, price and end trim of a stock by its place."""
    if stock < len(tube.offcuts):
        held = tube.offcuts[stock]
        return held.length, held.label, None, 0.0
    bought = tube.lengths[stock - len(tube.offcuts)]
    return bought.length, "", bought.price, tube.end_trim
