"""What the framing of one deck is built up on: its rules, the bars so far, and what could not be framed."""

from __future__ import annotations

from dataclasses import dataclass, field

from shapely import Polygon

from model.geometry import Array
from model.layout.records import DeckPlan, Opening
from model.skeleton.plan_bar import Bar, Faces
from model.skeleton.records import Refusal
from model.skeleton.strips import swap_bar, swap_polygon
from parts.section import Section

SAME_BAND = 0.01
LEAST_PIECE = 12.0
"""Gaps shorter than this, mm, between two members are left empty: no saw cuts such a stub safely.

(Common practice.)
"""


@dataclass
class DeckFrame:
    """The bars of a deck and what could not be framed.

    Attributes:
        bars: in the deck's plane, by name.
        lines: stations (or buttocks) of the beam lines, for seams.
        notes: (bar or opening name, what is wrong, what would cure it).
        refusals: what the file asks that cannot be.
        known: names by which the file may speak of members, within the deck; left out ones among them.
    """

    deck: DeckPlan
    bars: dict[str, Bar] = field(default_factory=dict)
    lines: list[float] = field(default_factory=list)
    notes: list[tuple[str, str, str]] = field(default_factory=list)
    refusals: list[Refusal] = field(default_factory=list)
    known: list[str] = field(default_factory=list)

    def short(self, name: str) -> str:
        """A member's name within the deck."""
        return name.removeprefix(self.deck.name + "/")


class Bench:
    """The frame of a deck as it grows, in (s, r) coordinates: r along the beams, s across them.

    Attributes:
        inner: the area inside the ring.
        faces: of all bars so far, on which a new one ends.
        footprints: of what stands inside the ring.
        clears: what openings must leave clear.
        headers: s, least and greatest r of each header by name.
    """

    def __init__(self, deck: DeckPlan) -> None:
        """An empty frame for `deck`."""
        self.deck = deck
        self.rules = deck.rules
        self.section: Section = deck.rules.section
        self.width = self.section.width
        self.athwart = deck.rules.direction == "athwart"
        self.faces = Faces()
        self.found = DeckFrame(deck)
        self.inner = Polygon()
        self.footprints: list[Array] = []
        self.clears = [swap_polygon(opening.clear, self.athwart) for opening in deck.openings]
        self.headers: dict[str, tuple[float, float, float]] = {}
        self._added_paths = {f"{deck.name}/{added.name}": added.path for added in deck.rules.add}

    def keep(self, bar: Bar) -> None:
        """Takes a bar in (s, r)."""
        self.found.known.append(self.found.short(bar.name))
        if bar.shortest() <= 0:
            path = self._added_paths.get(bar.name, self.deck.path)
            what = f"the member {bar.name} is shorter than its own cuts"
            self.found.refusals.append(
                Refusal(path, what, "give its edge a longer run, or set its ends apart")
            )
            return
        self.faces.add_bar(bar)
        if bar.role not in ("rim", "ledger"):
            self.footprints.append(bar.corners())
        self.found.bars[bar.name] = swap_bar(bar, self.athwart)

    def leave_out(self) -> None:
        """Takes out what the file leaves out, last of all: so it moves and renames no other member."""
        bars = self.found.bars
        self.found.bars = {
            name: bar
            for name, bar in bars.items()
            if not {self.found.short(name), self._whole(bar)} & self.rules.leave_out
        }

    def _whole(self, bar: Bar) -> str:
        """A bar's name within the deck; of a piece of a beam that of the whole beam."""
        short = self.found.short(bar.name)
        return short.rstrip("abcdefghijklmnopqrstuvwxyz") if bar.role == "beam" else short

    def turned(self, bar: Bar, keep_right: bool | None = None) -> Bar:
        """The bar rolled as the file asks, as by `Bar.turned`; a beam's name tells all its pieces."""
        roll = self.rules.turn.get(self.found.short(bar.name), self.rules.turn.get(self._whole(bar)))
        return bar if roll is None else bar.turned(roll, keep_right)

    def no_room(self, opening: Opening, what: str) -> None:
        """Notes an opening that cannot be framed all round."""
        cure = f"leave at least {self.width:.1f} mm between it and the deck's own frame"
        if (opening.name, f"the opening {what}", cure) not in self.found.notes:
            self.found.notes.append((opening.name, f"the opening {what}", cure))
