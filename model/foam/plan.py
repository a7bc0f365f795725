"""All blocks of foam of a boat, with what they lift, against what the flotation rule asks for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

import numpy as np
from shapely import affinity

from model.foam.block import FoamBlock, shape_key
from model.foam.cutting import SPECK, Cut, cuts_of, swept
from model.foam.room import DeckRoom, Slab, deck_rooms
from model.foam.settings import FoamBoard, FoamSettings

if TYPE_CHECKING:
    from model.boat import Boat

PREFIX = "K"
CUBIC_FOOT = 304.8**3
FRESH_WATER = 999.0
"""kg/m3 at 15 degrees."""


@dataclass(frozen=True, eq=False)
class FoamPlan:
    """The blocks of a boat.

    Attributes:
        blocks: deck by deck, in the order of laying.
        settings: how they are cut.
        near_fuel: names of fuel tanks that blocks lie near.
    """

    blocks: tuple[FoamBlock, ...]
    settings: FoamSettings
    near_fuel: tuple[str, ...] = ()

    @property
    def volume(self) -> float:
        """Of all blocks, mm3."""
        return sum(block.volume for block in self.blocks)

    @property
    def mass(self) -> float:
        """Of all blocks, kg."""
        return self.volume * 1e-9 * self.settings.density

    @property
    def lift(self) -> float:
        """What they lift in fresh water besides themselves, kg."""
        return self.volume * 1e-9 * (FRESH_WATER - self.settings.density)

    @property
    def centre(self) -> tuple[float, float, float]:
        """Centre of their volume, mm; zeros where there is none."""
        if not self.blocks:
            return 0.0, 0.0, 0.0
        at = sum((block.volume * block.centre for block in self.blocks), np.zeros(3)) / self.volume
        return float(at[0]), float(at[1]), float(at[2])

    def under(self, deck: str) -> tuple[FoamBlock, ...]:
        """The blocks under one deck."""
        return tuple(block for block in self.blocks if block.deck == deck)

    @property
    def decks(self) -> tuple[str, ...]:
        """Decks under which blocks lie."""
        return tuple(dict.fromkeys(block.deck for block in self.blocks))

    def board(self, name: str) -> FoamBoard:
        """The board of a name."""
        return next(board for board in self.settings.boards if board.name == name)


_MADE: WeakKeyDictionary[Boat, FoamPlan] = WeakKeyDictionary()
"""Plans of the boats that are still in use: check, lists and packet ask for the same."""


def foam_plan(boat: Boat) -> FoamPlan | None:
    """The blocks of a boat; None where its file asks for none."""
    if boat.foam is None:
        return None
    if boat not in _MADE:
        _MADE[boat] = lay_blocks(boat, boat.foam)
    return _MADE[boat]


def lay_blocks(boat: Boat, settings: FoamSettings) -> FoamPlan:
    """Blocks under every deck that may have some."""
    found: list[FoamBlock] = []
    near: list[str] = []
    for room in deck_rooms(boat, settings):
        own = list(_under(room, settings))
        found += own
        near += room.fuel if own else ()
    marks: dict[object, str] = {}
    for block in found:
        marks.setdefault(shape_key(block), f"{PREFIX}{len(marks) + 1}")
    marked = tuple(replace(block, mark=marks[shape_key(block)]) for block in found)
    return FoamPlan(marked, settings, tuple(dict.fromkeys(near)))


def _under(room: DeckRoom, settings: FoamSettings) -> Iterator[FoamBlock]:
    """The blocks under one deck, the lowest layer first."""
    own = room.deck.name.removeprefix("deck.")
    number = layer = 0
    for slab in reversed(room.slabs()):
        cuts = cuts_of(slab, settings)
        if not cuts:
            continue
        layer += 1
        board = min(settings.boards, key=lambda b: abs(b.thickness - (slab.high - slab.low)))
        for cut in cuts:
            number += 1
            yield FoamBlock(
                f"foam.{own}.{number}", "", room.deck.name, layer, board.name, cut.outline, slab.low,
                slab.high, cut.slide, _through(cut, slab),
            )  # fmt: skip


def _through(cut: Cut, slab: Slab) -> str:
    """An opening that the block goes down through in the middle, and from under which it can be slid home."""
    for name, clear in slab.lids.items():
        if clear.is_empty:
            continue
        middle, own = clear.centroid, cut.outline.centroid
        step = np.array([middle.x - own.x, middle.y - own.y])
        if affinity.translate(cut.outline, *step).difference(clear).area >= SPECK:
            continue
        if swept(cut.outline, -step).difference(slab.under).area < SPECK:
            return name
    return ""
