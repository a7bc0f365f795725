"""The frame of one deck in its plane: ring, headers and carlings round openings, beams at the span."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field, replace

import numpy as np
from shapely import LineString, Polygon
from shapely.geometry.polygon import orient

from model.geometry import Array
from model.layout.records import DeckPlan, Opening
from model.skeleton.plan_bar import Bar, Cut, Faces
from model.skeleton.ring import NoTurn, Run, inner_area, ring_bars, ring_runs
from parts.section import Section

SAME_BAND = 0.01
LEAST_PIECE = 12.0
"""Gaps shorter than this, mm, between two members are left empty: no saw cuts such a stub safely (common practice)."""

STUB = 0.5
"""A beam piece shorter than this share of the beam span is left out: the sheet there spans the short way."""

ALIGN = 6.0
"""Headers (or carlings) that differ by less than this, mm, are set in one line, away from their openings."""

BESIDE = 12.0
"""A beam nearer than this to a header's face, mm, is moved into the header's own line."""


BESIDE_TURN = 8.0
"""A ledger turns no nearer than this to the end of a header, mm."""


@dataclass
class DeckFrame:
    """The bars of a deck and what could not be framed.

    Attributes:
        bars: in the deck's plane, by name.
        lines: stations (or buttocks) of the beam lines, for seams.
        notes: (bar or opening name, what is wrong, what would cure it).
    """

    deck: DeckPlan
    bars: dict[str, Bar] = field(default_factory=dict)
    lines: list[float] = field(default_factory=list)
    notes: list[tuple[str, str, str]] = field(default_factory=list)


def frame_deck(deck: DeckPlan) -> DeckFrame:
    """Frames a deck by its rules."""
    return _Framer(deck).run()


@dataclass(frozen=True)
class _Block:
    """The framing square round one opening, in (s, r): s across the beams, r along them."""

    opening: Opening
    s0: float
    s1: float
    r0: float
    r1: float


class _Framer:
    """Works in (s, r) coordinates: r along the beams, s across them."""

    def __init__(self, deck: DeckPlan) -> None:
        self.deck = deck
        self.rules = deck.rules
        self.section: Section = deck.rules.section
        self.width = self.section.width
        self.athwart = deck.rules.direction == "athwart"
        self.faces = Faces()
        self.found = DeckFrame(deck)
        self.inner = Polygon()
        self.blocks: list[_Block] = []
        self.footprints: list[Array] = []  # of what stands inside the ring
        self.clears = [_swap_polygon(opening.clear, self.athwart) for opening in deck.openings]
        self.headers: dict[str, tuple[float, float, float]] = {}  # name: s, r from, r to

    def run(self) -> DeckFrame:
        runs = ring_runs(
            self.deck.frame_area, self.deck.frame_edges, self.deck.ledger_gap, self._header_bands()
        )
        self._ring(ring_bars(runs, self.section, self.deck.name))
        self.inner = _swap_polygon(inner_area(runs, self.width), self.athwart)
        for opening in self.deck.openings:
            if not opening.is_square_to_boat:
                self._odd_opening(opening)
        self._square_openings()
        self._added()
        self._beams()
        return self.found

    def _header_bands(self) -> NoTurn:
        """Where headers will end on the ring, so that no ledger turns under the end of one."""
        w, bands = self.width, []
        for opening in self.deck.openings:
            if opening.is_square_to_boat:
                low, high = opening.clear.bounds[0 if self.athwart else 1 :: 2]
                for start in (low - w, high):
                    bands.append((start - BESIDE_TURN, start + w + BESIDE_TURN))
        return NoTurn(0 if self.athwart else 1, w, tuple(bands))

    # --- bars

    def _keep(self, bar: Bar) -> None:
        """Takes a bar in (s, r) unless the file leaves it out, turned as the file asks."""
        if not self._wanted(bar.name):
            return
        short = bar.name.removeprefix(self.deck.name + "/")
        if short in self.rules.turn:
            bar = replace(bar, roll=self.rules.turn[short])
        if bar.shortest() <= 0:
            self.found.notes.append(
                (bar.name, "the member is shorter than its own cuts", "give its edge a longer run")
            )
            return
        self.faces.add_bar(bar)
        if bar.role not in ("rim", "ledger"):
            self.footprints.append(bar.corners())
        self.found.bars[bar.name] = _swap_bar(bar, self.athwart)

    def _ring(self, bars: list[Bar]) -> None:
        for bar in bars:
            self._keep(_swap_bar(bar, self.athwart))

    def _odd_opening(self, opening: Opening) -> None:
        """Frames an opening of any other shape by a ring of its own, mitred at the corners."""
        bars = [
            _swap_bar(bar, self.athwart)
            for bar in ring_bars(_hole_runs(opening.clear), self.section, opening.name)
        ]
        room = self.inner.buffer(0.02)
        for bar in bars:
            if room.covers(Polygon(bar.corners())):
                self._keep(bar)
            else:
                self._no_room(opening, "leaves no room for its framing")

    def _no_room(self, opening: Opening, what: str) -> None:
        cure = f"leave at least {self.width:.1f} mm between it and the deck's own frame"
        if (opening.name, f"the opening {what}", cure) not in self.found.notes:
            self.found.notes.append((opening.name, f"the opening {what}", cure))

    # --- openings along and across the deck

    def _square_openings(self) -> None:
        for opening in self.deck.openings:
            if opening.is_square_to_boat:
                u0, v0, u1, v1 = opening.clear.bounds
                block = (u0, u1, v0, v1) if self.athwart else (v0, v1, u0, u1)
                self.blocks.append(_Block(opening, *block))
        self.blocks = _aligned(self.blocks)
        sides = [self._frame_of(block) for block in self.blocks]
        carlings = self._shared([bar for c, _ in sides for bar in c])
        headers = self._joined_headers([bar for _, h in sides for bar in h])
        for bar in carlings + headers:
            self.faces.add_bar(bar)
        for header in headers:
            grown = self._run_out(header, *_ends(header))
            self.headers[grown.name] = (float(grown.p[0]), *_reach(grown))
            self._keep(grown)
        for carling in carlings:
            middle = (carling.p + carling.q) / 2
            self._keep(self._run_out(carling, middle, middle))

    def _run_out(self, bar: Bar, low: Array, high: Array) -> Bar:
        """The bar run on from `low` and `high` to the first things that stop it."""
        d = bar.direction
        down = self.faces.stop(low, -d, bar.half, bar.name)
        up = self.faces.stop(high, d, bar.half, bar.name)
        return replace(bar, cut_p=down[0] if down else bar.cut_p, cut_q=up[0] if up else bar.cut_q)

    def _wanted(self, name: str) -> bool:
        """Whether the file does not leave the member out."""
        return name.removeprefix(self.deck.name + "/") not in self.rules.leave_out

    def _frame_of(self, b: _Block) -> tuple[list[Bar], list[Bar]]:
        """Carlings and headers just long enough to frame one opening; sides on which a rim serves are left out."""
        w, names = self.width, self._side_names(b.opening)
        whole = {
            "low_s": (b.s0 - w, b.s0, b.r0 - w, b.r1 + w),
            "high_s": (b.s1, b.s1 + w, b.r0 - w, b.r1 + w),
            "low_r": (b.s0, b.s1, b.r0 - w, b.r0),
            "high_r": (b.s0, b.s1, b.r1, b.r1 + w),
        }
        carlings, headers = [], []
        for side, (s0, s1, r0, r1) in whole.items():
            body = Polygon([(s0, r0), (s1, r0), (s1, r1), (s0, r1)])
            if not self.inner.buffer(0.02).covers(body):
                fitted = self._within(side, s0, s1, r0, r1)
                if fitted is None:
                    self._rim_serves(b, side)
                    continue
                r0, r1 = fitted
            name = f"{b.opening.name}/{names[side]}"
            if not self._wanted(name):
                continue
            if side.endswith("_s"):
                s = (s0 + s1) / 2
                headers.append(_straight(name, "header", self.section, (s, r0), (s, r1)))
            else:
                r = (r0 + r1) / 2
                carlings.append(_straight(name, "carling", self.section, (s0, r), (s1, r)))
        return carlings, headers

    def _within(self, side: str, s0: float, s1: float, r0: float, r1: float) -> tuple[float, float] | None:
        """The part of a header's reach that lies inside the ring, if it still spans the opening itself."""
        if not side.endswith("_s"):
            return None
        w = self.width
        core = Polygon([(s0, r0 + w), (s1, r0 + w), (s1, r1 - w), (s0, r1 - w)])
        if not self.inner.buffer(0.02).covers(core):
            return None
        low = Polygon([(s0, r0), (s1, r0), (s1, r0 + w), (s0, r0 + w)])
        high = Polygon([(s0, r1 - w), (s1, r1 - w), (s1, r1), (s0, r1)])
        covers = self.inner.buffer(0.02).covers
        return (r0 if covers(low) else r0 + w, r1 if covers(high) else r1 - w)

    def _rim_serves(self, b: _Block, side: str) -> None:
        """Notes an opening whose framing on one side would run into the ring, unless the ring itself is there."""
        w = self.width
        edge = {
            "low_s": [(b.s0, b.r0), (b.s0, b.r1)],
            "high_s": [(b.s1, b.r0), (b.s1, b.r1)],
            "low_r": [(b.s0, b.r0), (b.s1, b.r0)],
            "high_r": [(b.s0, b.r1), (b.s1, b.r1)],
        }[side]
        line = LineString(edge)
        border = self.inner.exterior
        inside = self.inner.buffer(0.02).covers(line)
        if inside and all(border.distance(LineString([p, p])) < w for p in edge):
            return
        self._no_room(
            b.opening, "leaves no room for its framing" if inside else "reaches over the deck's own frame"
        )

    def _side_names(self, opening: Opening) -> dict[str, str]:
        if self.athwart:
            return {
                "low_s": "header.aft",
                "high_s": "header.forward",
                "low_r": "carling.starboard",
                "high_r": "carling.port",
            }
        return {
            "low_s": "carling.starboard",
            "high_s": "carling.port",
            "low_r": "header.aft",
            "high_r": "header.forward",
        }

    def _shared(self, carlings: list[Bar]) -> list[Bar]:
        """Leaves out a carling that another opening already has in the same place."""
        kept: list[Bar] = []
        for bar in carlings:
            twin = any(
                abs(bar.p[1] - k.p[1]) < SAME_BAND
                and min(bar.p[0], bar.q[0]) >= min(k.p[0], k.q[0]) - SAME_BAND
                and max(bar.p[0], bar.q[0]) <= max(k.p[0], k.q[0]) + SAME_BAND
                for k in kept
            )
            if twin:
                continue
            clash = next((k for k in kept if _overlap(bar, k)), None)
            if clash is not None:
                self._too_close(bar, clash)
                continue
            kept.append(bar)
        return kept

    def _joined_headers(self, headers: list[Bar]) -> list[Bar]:
        """Headers in one line with nothing between them become one member."""
        kept: list[Bar] = []
        order = sorted(headers, key=lambda h: (round(float(h.p[0]), 2), float(h.p[1])))
        for _, band in itertools.groupby(order, key=lambda h: round(float(h.p[0]), 2)):
            current: Bar | None = None
            for bar in band:
                if current is not None and self._open_between(current, bar):
                    low, high = min(current.p[1], bar.p[1]), max(current.q[1], bar.q[1])
                    s = float(current.p[0])
                    first = min((current, bar), key=lambda h: self._file_order(h.name))
                    current = _straight(first.name, "header", self.section, (s, low), (s, high))
                else:
                    if current is not None:
                        kept.append(current)
                    current = bar
            if current is not None:
                kept.append(current)
        kept.sort(key=lambda h: self._file_order(h.name))
        clear: list[Bar] = []
        for bar in kept:
            clash = next((k for k in clear if _overlap(bar, k)), None)
            if clash is None:
                clear.append(bar)
            else:
                self._too_close(bar, clash)
        return clear

    def _file_order(self, name: str) -> int:
        opening = name.rpartition("/")[0]
        return [o.name for o in self.deck.openings].index(opening)

    def _too_close(self, bar: Bar, other: Bar) -> None:
        self.found.notes.append(
            (
                bar.name,
                f"lies partly in the place of {other.name}",
                f"set the two openings in one line, or at least {2 * self.width:.1f} mm apart",
            )
        )

    def _open_between(self, a: Bar, b: Bar) -> bool:
        """Whether a header can run from a to b: inside the ring, through no opening's clear outline."""
        s, h = float(a.p[0]), self.width / 2 - 0.02
        r0, r1 = float(a.q[1]), float(b.p[1])
        if r1 <= r0 + SAME_BAND:
            return True
        strip = Polygon([(s - h, r0), (s + h, r0), (s + h, r1), (s - h, r1)])
        if not self.inner.buffer(0.02).covers(strip):
            return False
        return not any(strip.intersects(_block_shape(k, self.width - 0.02)) for k in self.blocks)

    # --- added members

    def _added(self) -> None:
        for added in self.rules.add:
            start, end = _swap(added.start, self.athwart), _swap(added.end, self.athwart)
            span = end - start
            length = float(np.hypot(*span))
            d = span / length
            bar = _straight(f"{self.deck.name}/{added.name}", "added", added.section, start, end)
            middle = (start + end) / 2
            for name, way, point in (("cut_p", -d, start), ("cut_q", d, end)):
                stopped = self.faces.stop(middle, way, bar.half)
                reach = float((point - middle) @ way)
                if stopped and stopped[0].along(middle, way) <= reach + LEAST_PIECE:
                    bar = replace(bar, **{name: stopped[0]})
            self._keep(bar)

    # --- beams

    def _beams(self) -> None:
        number = 0
        moved = self.rules.move
        for s in self._beam_lines():
            number += 1
            name = f"beam.{number}"
            s += moved.get(name, 0.0)
            self.found.lines.append(s)
            if name in self.rules.leave_out:
                continue
            pieces = self._pieces(s)
            for k, (cut_p, cut_q, seed) in enumerate(pieces):
                suffix = "abcdefghijklmnopqrstuvwxyz"[k % 26] if len(pieces) > 1 else ""
                p = np.array([s, seed - abs(cut_p.along(np.array([s, seed]), np.array([0.0, -1.0])))])
                q = np.array([s, seed + abs(cut_q.along(np.array([s, seed]), np.array([0.0, 1.0])))])
                bar = Bar(f"{self.deck.name}/{name}{suffix}", "beam", self.section, p, q, cut_p, cut_q)
                if bar.shortest() >= LEAST_PIECE:
                    self._keep(bar)
        self.found.lines.extend(s for s, _, _ in self.headers.values() if self._spans(s))
        self.found.lines = sorted(set(self.found.lines))

    def _beam_lines(self) -> list[float]:
        """Stations of the beams: the file's seams, and as many more as the span asks."""
        low, _, high, _ = self.inner.bounds
        half = self.width / 2
        fixed = {round(s, 3) for s, _, _ in self.headers.values() if self._spans(s)}
        seams = [s for s in self.rules.seams if low < s < high and round(s, 3) not in fixed]
        anchors = sorted({low - half, high + half, *fixed, *seams})
        lines = list(seams)
        for a, b in itertools.pairwise(anchors):
            count = math.ceil((b - a) / self.rules.beam_span - 1e-9) - 1
            for k in range(1, count + 1):
                lines.append(self._settled(a + (b - a) * k / (count + 1), a, b, count + 1))
        return sorted(lines)

    def _settled(self, s: float, a: float, b: float, parts: int) -> float:
        """The line moved off headers it would half overlap, and off corners its ends would straddle."""
        for hs, _, _ in self.headers.values():
            if 1e-6 < abs(hs - s) < self.width + BESIDE:
                return hs
        slack = max(self.rules.beam_span - (b - a) / parts, 0.0)
        best, best_miss = s, self._straddles(s)
        step = self.width / 4
        reach = max(slack, self.width * 1.5)
        k = 1
        while best_miss and k * step <= reach:
            for tried in (s - k * step, s + k * step):
                if any(abs(hs - tried) < self.width + BESIDE for hs, _, _ in self.headers.values()):
                    continue
                miss = self._straddles(tried)
                if miss < best_miss:
                    best, best_miss = tried, miss
            k += 1
        return best

    def _straddles(self, s: float) -> int:
        """How many ends of a beam on this line would not lie whole on one face."""
        return sum(
            not whole
            for seed in self._free(s)
            for stopped in (self._stop(s, seed, -1.0), self._stop(s, seed, 1.0))
            if stopped
            for whole in (stopped[1],)
        )

    def _stop(self, s: float, seed: float, way: float) -> tuple[Cut, bool] | None:
        return self.faces.stop(np.array([s, seed]), np.array([0.0, way]), self.width / 2)

    def _free(self, s: float) -> list[float]:
        """A point in each free stretch of the line: inside the ring, off openings and bars."""
        return [(lo + hi) / 2 for lo, hi in self._free_stretches(s)]

    def _free_stretches(self, s: float) -> list[tuple[float, float]]:
        free = _chords(self.inner, _line_at(s))
        h = self.width / 2 - 0.02
        for shape in self.clears:
            s0, _, s1, _ = shape.bounds
            if s0 < s + h and s1 > s - h:
                free = _less(free, _chords(shape, _line_at(float(np.clip(s, s0 + 0.01, s1 - 0.01)))))
        for footprint in self.footprints:
            taken = _band_extent(footprint, s - h, s + h)
            if taken is not None:
                free = _less(free, [taken])
        return [(lo, hi) for lo, hi in free if hi - lo >= LEAST_PIECE]

    def _pieces(self, s: float) -> list[tuple[Cut, Cut, float]]:
        """The cuts of each piece of a beam on this line, with a point of it.

        A piece with no member at one end (an opening that a rim frames) is not made, nor a stub across a
        strip of sheet so narrow that the members on its two sides carry it; but short pieces that tie the
        ring round an odd opening to the deck's frame are.
        """
        found = []
        for lo, hi in self._free_stretches(s):
            seed = (lo + hi) / 2
            low, high = self._stop(s, seed, -1.0), self._stop(s, seed, 1.0)
            if not (low and high):
                continue
            at = np.array([s, seed])
            r0 = seed - low[0].along(at, np.array([0.0, -1.0]))
            r1 = seed + high[0].along(at, np.array([0.0, 1.0]))
            holds_hole = any(self._is_hole_frame(cut.meets) for cut in (low[0], high[0]))
            least = LEAST_PIECE if holds_hole else self._stub(s)
            if r0 > lo - self.width and r1 < hi + self.width and r1 - r0 > least:
                found.append((low[0], high[0], seed))
        return found

    def _is_hole_frame(self, name: str | None) -> bool:
        bar = self.found.bars.get(name or "")
        return bar is not None and bar.role == "frame"

    def _stub(self, s: float) -> float:
        """Pieces this short are left out, save on a seam the file asks for."""
        if any(abs(s - seam) < SAME_BAND for seam in self.rules.seams):
            return LEAST_PIECE
        return max(LEAST_PIECE, self.rules.beam_span * STUB)

    def _spans(self, s: float) -> bool:
        """Whether a header reaches across the whole deck, openings apart."""
        chords = _chords(self.inner, _line_at(s))
        whole = sum(r1 - r0 for r0, r1 in chords)
        covered = sum(
            max(0.0, min(r1, b) - max(r0, a))
            for hs, a, b in self.headers.values()
            if abs(hs - s) < SAME_BAND
            for r0, r1 in chords
        )
        return covered >= 0.97 * whole


def _aligned(blocks: list[_Block]) -> list[_Block]:
    """The blocks with sides that all but line up moved outward into one line."""
    found = blocks
    for side, outer in (("s0", min), ("s1", max), ("r0", min), ("r1", max)):
        at = [getattr(b, side) for b in found]
        moved = [outer(v for v in at if abs(v - own) < ALIGN) for own in at]
        found = [replace(b, **{side: value}) for b, value in zip(found, moved, strict=True)]
    return found


def _straight(name: str, role: str, section: Section, p: object, q: object) -> Bar:
    """A bar with free square ends."""
    pa, qa = np.array(p, dtype=np.float64), np.array(q, dtype=np.float64)
    d = qa - pa
    return Bar(name, role, section, pa, qa, Cut.through(pa, -d), Cut.through(qa, d))


def _reach(header: Bar) -> tuple[float, float]:
    """Least and greatest r of a bar along r, measured on its axis."""
    up = np.array([0.0, 1.0])
    ends = (
        float(header.p[1]) + header.cut_p.along(header.p, up),
        float(header.p[1]) + header.cut_q.along(header.p, up),
    )
    return min(ends), max(ends)


def _ends(bar: Bar) -> tuple[Array, Array]:
    """The axis points in which a bar's cuts leave it."""
    d = bar.direction
    return bar.p + bar.cut_p.along(bar.p, d) * d, bar.p + bar.cut_q.along(bar.p, d) * d


def _overlap(a: Bar, b: Bar) -> bool:
    return bool(Polygon(a.corners()).buffer(-0.02).intersects(Polygon(b.corners()).buffer(-0.02)))


def _block_shape(block: _Block, margin: float) -> Polygon:
    return Polygon(
        [
            (block.s0, block.r0 - margin),
            (block.s1, block.r0 - margin),
            (block.s1, block.r1 + margin),
            (block.s0, block.r1 + margin),
        ]
    )


def _hole_runs(clear: Polygon) -> list[Run]:
    """Runs round a hole with the metal outside it."""
    ring = np.array(orient(clear, -1.0).exterior.coords)[:-1]
    steps = np.roll(ring, -1, axis=0) - ring
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    return [Run("frame", p, d / n) for p, d, n in zip(ring, steps, lengths, strict=True) if n > 1e-6]


def _swap(points: Array, athwart: bool) -> Array:
    return points if athwart else points[..., ::-1]


def _swap_polygon(shape: Polygon, athwart: bool) -> Polygon:
    return shape if athwart else Polygon(np.array(shape.exterior.coords)[:, ::-1])


def _swap_bar(bar: Bar, athwart: bool) -> Bar:
    if athwart:
        return bar
    cut_p, cut_q = (replace(c, normal=c.normal[::-1].copy()) for c in (bar.cut_p, bar.cut_q))
    return replace(bar, p=bar.p[::-1].copy(), q=bar.q[::-1].copy(), cut_p=cut_p, cut_q=cut_q)


def _line_at(s: float) -> LineString:
    return LineString([(s, -1e6), (s, 1e6)])


def _chords(shape: Polygon, line: LineString) -> list[tuple[float, float]]:
    """The r intervals in which a line of constant s lies in a polygon."""
    cut = shape.intersection(line)
    parts = getattr(cut, "geoms", [cut])
    return sorted((g.bounds[1], g.bounds[3]) for g in parts if g.geom_type == "LineString" and g.length > 0)


def _less(free: list[tuple[float, float]], taken: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Intervals without the parts that are taken."""
    for a, b in taken:
        free = [
            piece
            for lo, hi in free
            for piece in ((lo, min(hi, a)), (max(lo, b), hi))
            if piece[1] - piece[0] > 1e-9
        ]
    return free


def _band_extent(corners: Array, s0: float, s1: float) -> tuple[float, float] | None:
    """Least and greatest r of a convex footprint `(4, 2)` within the band s0..s1; None where it has no part there."""
    at = corners[:, 0]
    if at.min() >= s1 or at.max() <= s0:
        return None
    found = [corners[(at >= s0) & (at <= s1), 1]]
    ahead, r = np.roll(at, -1) - at, corners[:, 1]
    rise = np.roll(r, -1) - r
    for edge in (s0, s1):
        share = (edge - at) / np.where(ahead == 0.0, np.inf, ahead)
        crossed = (share > 0.0) & (share < 1.0)
        found.append((r + share * rise)[crossed])
    reached = np.concatenate(found)
    return float(reached.min()), float(reached.max())
