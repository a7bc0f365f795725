"""The frame of one deck in its plane: ring, headers and carlings round openings, beams at the span."""

from __future__ import annotations

from dataclasses import replace
from weakref import WeakKeyDictionary

import numpy as np
from shapely import Polygon
from shapely.geometry.polygon import orient

from model.geometry import Array
from model.layout.edges import holds, largest
from model.layout.records import DeckPlan, Opening
from model.skeleton.beam_lines import BeamFramer
from model.skeleton.bench import LEAST_PIECE, Bench, DeckFrame
from model.skeleton.hole_ties import tie_holes
from model.skeleton.opening_frame import OpeningFramer
from model.skeleton.plan_bar import Bar, Cut
from model.skeleton.records import Refusal
from model.skeleton.ring import NoTurn, Run, inner_area, ring_bars, ring_runs
from model.skeleton.strips import straight, swap, swap_bar, swap_polygon
from model.skeleton.verify import verify

BESIDE_TURN = 8.0
"""A ledger turns no nearer than this to the end of a header, mm."""


def frame_deck(deck: DeckPlan) -> DeckFrame:
    """Frames a deck by its rules; one and the same plan is framed once."""
    if deck not in _FRAMED:
        made = _Framer(deck).run()
        _FRAMED[deck] = made.bars, made.lines, made.notes, made.refusals, made.known
    bars, lines, notes, refusals, known = _FRAMED[deck]
    # What the posts add is theirs: each asker has lists of its own.
    return DeckFrame(deck, dict(bars), list(lines), list(notes), list(refusals), list(known))


Framed = tuple[dict[str, Bar], list[float], list[tuple[str, str, str]], list[Refusal], list[str]]
_FRAMED: WeakKeyDictionary[DeckPlan, Framed] = WeakKeyDictionary()
"""Frames of decks that are still in use somewhere."""


class _Framer:
    """Works in (s, r) coordinates: r along the beams, s across them."""

    def __init__(self, deck: DeckPlan) -> None:
        self.bench = Bench(deck)

    def run(self) -> DeckFrame:
        runs = ring_runs(
            self.bench.deck.frame_area,
            self.bench.deck.frame_edges,
            self.bench.deck.ledger_gap,
            self._header_bands(),
        )
        self.bench.inner = swap_polygon(inner_area(runs, self.bench.width), self.bench.athwart)
        self._ring(ring_bars(runs, self.bench.section, self.bench.deck.name))
        if self.bench.inner.is_empty:
            path, what = self.bench.deck.path, "the deck is too narrow for its own frame"
            self.bench.found.refusals.append(Refusal(path, what, "make it wider, or its section less"))
            return self.bench.found
        for opening in self.bench.deck.openings:
            if not opening.is_square_to_boat:
                self._odd_opening(opening)
        OpeningFramer(self.bench).run()
        self._added()
        BeamFramer(self.bench).run()
        tie_holes(self.bench)
        self.bench.leave_out()
        verify(self.bench)
        return self.bench.found

    def _header_bands(self) -> NoTurn:
        """Where headers will end on the ring, so that no ledger turns under the end of one."""
        w, bands = self.bench.width, list[tuple[float, float]]()
        for opening in self.bench.deck.openings:
            if opening.is_square_to_boat:
                low, high = opening.clear.bounds[0 if self.bench.athwart else 1 :: 2]
                bands += [(at - BESIDE_TURN, at + w + BESIDE_TURN) for at in (low - w, high)]
        return NoTurn(0 if self.bench.athwart else 1, w, tuple(bands))

    def _ring(self, bars: list[Bar]) -> None:
        for bar in bars:
            turned = self.bench.turned(bar, keep_right=True)  # the metal lies to the left of a ring
            self.bench.keep(swap_bar(turned, self.bench.athwart))
            if turned.half > bar.half:
                wide = Polygon(swap_bar(turned, self.bench.athwart).corners())
                self.bench.inner = largest(self.bench.inner.difference(wide))

    def _odd_opening(self, opening: Opening) -> None:
        """Frames an opening of any other shape by a ring of its own, mitred at the corners."""
        bars = [
            swap_bar(self.bench.turned(bar, keep_right=True), self.bench.athwart)
            for bar in ring_bars(_hole_runs(opening.clear), self.bench.section, opening.name)
        ]
        for bar in bars:
            if holds(self.bench.inner, Polygon(bar.corners()), 0.02):
                self.bench.keep(bar)
            else:
                self.bench.no_room(opening, "leaves no room for its framing")

    def _added(self) -> None:
        for added in self.bench.rules.add:
            start, end = swap(added.start, self.bench.athwart), swap(added.end, self.bench.athwart)
            span = end - start
            length = float(np.hypot(*span))
            d = span / length
            bar = straight(f"{self.bench.deck.name}/{added.name}", "added", added.section, start, end)
            bar = self.bench.turned(bar)
            middle = (start + end) / 2
            cuts = [
                self._end(bar, cut, middle, way, float((point - middle) @ way))
                for cut, way, point in ((bar.cut_p, -d, start), (bar.cut_q, d, end))
            ]
            self.bench.keep(replace(bar, cut_p=cuts[0], cut_q=cuts[1]))

    def _end(self, bar: Bar, own: Cut, middle: Array, way: Array, reach: float) -> Cut:
        """The cut of an added bar's end: where something stops it on its way, else its own."""
        stopped = self.bench.faces.stop(middle, way, bar.half)
        if stopped and stopped[0].along(middle, way) <= reach + LEAST_PIECE:
            return stopped[0]
        return own


def _hole_runs(clear: Polygon) -> list[Run]:
    """Runs round a hole with the metal outside it."""
    ring = np.array(orient(clear, -1.0).exterior.coords)[:-1]
    steps = np.roll(ring, -1, axis=0) - ring
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    return [Run("frame", p, d / n) for p, d, n in zip(ring, steps, lengths, strict=True) if n > 1e-6]
