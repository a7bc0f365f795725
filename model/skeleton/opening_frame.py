"""Headers and carlings round the openings of a deck that lie square to the boat."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from shapely import Point, Polygon, box

from model.geometry import Array
from model.layout.edges import holds
from model.layout.records import Opening
from model.skeleton.bench import LEAST_PIECE, SAME_BAND, Bench
from model.skeleton.plan_bar import GRAZE, Bar
from model.skeleton.strips import chords, ends, overlap, reach, straight, swap_polygon

ALIGN = 0.6
"""Headers (or carlings) out of line by less than this share of their width are set in one line.

The one nearer its opening moves away from it.
"""


Extent: TypeAlias = tuple[float, float]


@dataclass(frozen=True)
class _Block:
    """The framing square round one opening, in (s, r): s across the beams, r along them."""

    opening: Opening
    s0: float
    s1: float
    r0: float
    r1: float


class OpeningFramer:
    """Frames the square openings of one deck."""

    def __init__(self, bench: Bench) -> None:
        """Takes the deck's frame as it is so far: its ring."""
        self.bench = bench
        self.blocks: list[_Block] = []

    def run(self) -> None:
        """Adds the headers and carlings of all openings."""
        for opening in self.bench.deck.openings:
            if opening.is_square_to_boat:
                u0, v0, u1, v1 = opening.clear.bounds
                block = (u0, u1, v0, v1) if self.bench.athwart else (v0, v1, u0, u1)
                self.blocks.append(_Block(opening, *block))
        self.blocks = self._off_corners(_aligned(self.blocks, ALIGN * self.bench.width))
        self.blocks = _shared_between(self.blocks, self.bench.width)
        sides = [self._frame_of(block) for block in self.blocks]
        carlings = self._shared([bar for c, _ in sides for bar in c])
        headers = self._joined_headers([bar for _, h in sides for bar in h])
        carlings = [self.bench.turned(bar, bar.name.endswith((".port", ".forward"))) for bar in carlings]
        headers = [self.bench.turned(bar, bar.name.endswith((".aft", ".starboard"))) for bar in headers]
        for bar in carlings + headers:
            self.bench.faces.add_bar(bar)
        for header in headers:
            grown = self._run_out(header, *ends(header))
            self.bench.headers[grown.name] = (float(grown.p[0]), *reach(grown))
            self.bench.keep(grown)
        for carling in carlings:
            middle = (carling.p + carling.q) / 2
            self.bench.keep(self._run_out(carling, middle, middle))

    def _off_corners(self, blocks: list[_Block]) -> list[_Block]:
        """The blocks with headers that would end across a corner of the ring moved off it, outward."""
        w = self.bench.width
        found = blocks
        for side, way in (("s0", -1.0), ("s1", 1.0)):
            for at in sorted({getattr(b, side) for b in found}):
                own = [b for b in found if getattr(b, side) == at]
                shifts = (at + way * w * k / 4 for k in range(9))
                clear = (s for s in shifts if all(self._lands_whole(b, s + way * w / 2) for b in own))
                moved = next((s for s in clear if not self._taken(own, at, s + way * w)), at)
                found = [replace(b, **{side: moved}) if b in own else b for b in found]
        return found

    def _lands_whole(self, block: _Block, s: float) -> bool:
        """Whether a header on this line beside an opening would lie whole on one face at both ends."""
        middle = np.array([s, (block.r0 + block.r1) / 2])
        for way in (-1.0, 1.0):
            stopped = self.bench.faces.stop(middle, np.array([0.0, way]), self.bench.width / 2)
            if stopped is not None and not stopped[1]:
                return False
        return True

    def _taken(self, own: list[_Block], at: float, far: float) -> bool:
        """Whether the strip from an opening to its header's far face is another's, or outside the ring."""
        low, high = min(at, far), max(at, far)
        strips = [box(low, b.r0, high, b.r1) for b in own]
        others = [
            box(b.s0, b.r0, b.s1, b.r1) for b in self.blocks if all(b.opening is not o.opening for o in own)
        ]
        if any(self._within((low, high), (b.r0, b.r1), True) is None for b in own):
            return True
        return any(strip.intersects(other) for strip in strips for other in others)

    def _run_out(self, bar: Bar, low: Array, high: Array) -> Bar:
        """The bar run on from `low` and `high` to the first things that stop it."""
        d = bar.direction
        down = self.bench.faces.stop(low, -d, bar.half, bar.name)
        up = self.bench.faces.stop(high, d, bar.half, bar.name)
        return replace(bar, cut_p=down[0] if down else bar.cut_p, cut_q=up[0] if up else bar.cut_q)

    def _frame_of(self, b: _Block) -> tuple[list[Bar], list[Bar]]:
        """Carlings and headers just long enough to frame one opening; none where a rim serves."""
        w, names = self.bench.width, self._side_names(b.opening)
        whole = {
            "low_s": (b.s0 - w, b.s0, b.r0 - w, b.r1 + w),
            "high_s": (b.s1, b.s1 + w, b.r0 - w, b.r1 + w),
            "low_r": (b.s0, b.s1, b.r0 - w, b.r0),
            "high_r": (b.s0, b.s1, b.r1, b.r1 + w),
        }
        carlings: list[Bar] = []
        headers: list[Bar] = []
        if not holds(self.bench.inner, box(b.s0, b.r0, b.s1, b.r1), 0.02):
            self.bench.no_room(b.opening, "reaches over the deck's own frame")
            return carlings, headers
        for side, (s0, s1, r0, r1) in whole.items():
            is_header = side.endswith("_s")
            across, along = ((s0, s1), (r0, r1)) if is_header else ((r0, r1), (s0, s1))
            fitted = self._within(across, along, is_header)
            if fitted is None:
                self._rim_serves(b, side)
                continue
            name, middle = f"{b.opening.name}/{names[side]}", (across[0] + across[1]) / 2
            if is_header:
                ends_at = ((middle, fitted[0]), (middle, fitted[1]))
                headers.append(straight(name, "header", self.bench.section, *ends_at))
            else:
                ends_at = ((fitted[0], middle), (fitted[1], middle))
                carlings.append(straight(name, "carling", self.bench.section, *ends_at))
        return carlings, headers

    def _within(
        self, across: tuple[float, float], along: tuple[float, float], is_header: bool
    ) -> Extent | None:
        """The part of a member's reach along its axis that lies inside the ring; None where it runs over it.

        Args:
            across: of its two faces: s for a header, r for a carling.
            along: least and greatest r (or s) it is to reach.
            is_header: whether it runs along r.
        """
        inner = swap_polygon(self.bench.inner, is_header)
        (a, b), (low, high) = across, along
        middle = (low + high) / 2
        for at in (a + GRAZE, (a + b) / 2, b - GRAZE):
            own = [c for c in chords(inner, at) if c[0] < middle < c[1]]
            if not own:
                return None
            low, high = max(low, own[0][0]), min(high, own[0][1])
        return (low, high) if high - low > self.bench.width else None

    def _rim_serves(self, b: _Block, side: str) -> None:
        """Notes an opening whose framing on one side would run into the ring, unless the ring is there."""
        w = self.bench.width
        edge = {
            "low_s": [(b.s0, b.r0), (b.s0, b.r1)],
            "high_s": [(b.s1, b.r0), (b.s1, b.r1)],
            "low_r": [(b.s0, b.r0), (b.s1, b.r0)],
            "high_r": [(b.s0, b.r1), (b.s1, b.r1)],
        }[side]
        border = self.bench.inner.exterior
        if any(border.distance(Point(p)) >= w for p in edge):
            self.bench.no_room(b.opening, "leaves no room for its framing")

    def _side_names(self, opening: Opening) -> dict[str, str]:
        if self.bench.athwart:
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
            clash = next((k for k in kept if overlap(bar, k)), None)
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
                    current = straight(first.name, "header", self.bench.section, (s, low), (s, high))
                else:
                    if current is not None:
                        kept.append(current)
                    current = bar
            if current is not None:
                kept.append(current)
        kept.sort(key=lambda h: self._file_order(h.name))
        clear: list[Bar] = []
        for bar in kept:
            clash = next((k for k in clear if overlap(bar, k)), None)
            if clash is None:
                clear.append(bar)
            else:
                self._too_close(bar, clash)
        return clear

    def _file_order(self, name: str) -> int:
        opening = name.rpartition("/")[0]
        return [o.name for o in self.bench.deck.openings].index(opening)

    def _too_close(self, bar: Bar, other: Bar) -> None:
        self.bench.found.notes.append(
            (
                bar.name,
                f"lies partly in the place of {other.name}",
                f"set the two openings in one line, or at least {2 * self.bench.width:.1f} mm apart",
            )
        )

    def _open_between(self, a: Bar, b: Bar) -> bool:
        """Whether a header can run from a to b: inside the ring, through no opening's clear outline."""
        s, h = float(a.p[0]), self.bench.width / 2 - 0.02
        r0, r1 = float(a.q[1]), float(b.p[1])
        if r1 <= r0 + SAME_BAND:
            return True
        strip = Polygon([(s - h, r0), (s + h, r0), (s + h, r1), (s - h, r1)])
        if not holds(self.bench.inner, strip, 0.02):
            return False
        return not any(strip.intersects(_block_shape(k, self.bench.width - 0.02)) for k in self.blocks)


def _aligned(blocks: list[_Block], reach: float) -> list[_Block]:
    """The blocks with sides that differ by less than `reach` moved outward into one line."""
    found = blocks
    for side, outer in (("s0", min), ("s1", max), ("r0", min), ("r1", max)):
        at = [getattr(b, side) for b in found]
        moved = [outer(v for v in at if abs(v - own) < reach) for own in at]
        found = [replace(b, **{side: value}) for b, value in zip(found, moved, strict=True)]
    return found


def _shared_between(blocks: list[_Block], width: float) -> list[_Block]:
    """The blocks with one header for two openings that face each other, where there is no room for two.

    Openings between which one member fits, but not two with a gap that a welder can reach into, share it.
    """
    found = blocks
    for a, b in itertools.product(blocks, blocks):
        gap = b.s0 - a.s1
        if width - SAME_BAND <= gap < 2 * width + LEAST_PIECE:
            middle = (a.s1 + b.s0) / 2
            found = [
                replace(
                    k,
                    s1=middle - width / 2 if k.s1 == a.s1 else k.s1,
                    s0=middle + width / 2 if k.s0 == b.s0 else k.s0,
                )
                for k in found
            ]
    return found


def _block_shape(block: _Block, margin: float) -> Polygon:
    return Polygon(
        [
            (block.s0, block.r0 - margin),
            (block.s1, block.r0 - margin),
            (block.s1, block.r1 + margin),
            (block.s0, block.r1 + margin),
        ]
    )
