"""Beams of a deck: on which lines they lie, and in which pieces between what stops them."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np

from model.geometry import Array
from model.skeleton.bench import LEAST_PIECE, SAME_BAND, Bench
from model.skeleton.plan_bar import SNUG, Bar, Cut
from model.skeleton.records import Refusal
from model.skeleton.strips import band_extent, chords, less, straight

STUB = 0.5
"""A beam piece shorter than this share of the beam span is left out: the sheet there spans the short way."""

OFF_FACE = 10
"""A beam end whose axis does not reach what stops it counts as so many that merely overhang."""

BESIDE = 12.0
"""A beam nearer than this to a header's face, mm, is moved into the header's own line."""


class BeamFramer:
    """Lays the beams of one deck at its greatest span."""

    def __init__(self, bench: Bench) -> None:
        """Takes the deck's frame as it is so far: ring, headers, carlings, added members."""
        self.bench = bench

    def run(self) -> None:
        """Adds the beams."""
        rules, found = self.bench.rules, self.bench.found
        lines = self._beam_lines()
        if rules.mirrored and not self.bench.athwart:  # numbered as on the other side
            lines.reverse()
        for number, line in enumerate(lines, start=1):
            name = f"beam.{number}"
            s = line + rules.move.get(name, 0.0)
            found.lines.append(s)
            found.known.append(name)
            bars = self._on_line(name, s)
            for bar in bars:
                self.bench.keep(bar)
            if not bars and name in rules.move:
                path = (*self.bench.deck.path, "frame", "move", name)
                what = "moved so far the beam finds no free place in its deck"
                found.refusals.append(Refusal(path, what, "move it less"))
        found.lines.extend(s for s, _, _ in self.bench.headers.values() if self._spans(s))
        found.lines = sorted(set(found.lines))

    def _on_line(self, name: str, s: float) -> list[Bar]:
        """The bars of one beam: one, or a piece between each two things that part it."""
        whole = straight(f"{self.bench.deck.name}/{name}", "beam", self.bench.section, (s, 0.0), (s, 1.0))
        whole = self.bench.turned(whole)
        pieces = self._pieces(name, s, whole.half)
        bars = []
        for k, (cut_p, cut_q, seed) in enumerate(pieces):
            at = np.array([s, seed])
            p = at - np.array([0.0, abs(cut_p.along(at, np.array([0.0, -1.0])))])
            q = at + np.array([0.0, abs(cut_q.along(at, np.array([0.0, 1.0])))])
            suffix = letters(k) if len(pieces) > 1 else ""
            bar = replace(whole, name=whole.name + suffix, p=p, q=q, cut_p=cut_p, cut_q=cut_q)
            bar = self.bench.turned(bar)
            if bar.shortest() >= LEAST_PIECE:
                bars.append(bar)
        return bars

    def _beam_lines(self) -> list[float]:
        """Stations of the beams: the file's seams, and as many more as the span asks."""
        low, _, high, _ = self.bench.inner.bounds
        half = self.bench.width / 2
        fixed = {round(s, 3) for s, _, _ in self.bench.headers.values() if self._spans(s)}
        seams = [s for s in self.bench.rules.seams if low < s < high and round(s, 3) not in fixed]
        anchors = sorted({low - half, high + half, *fixed, *seams})
        lines = list(seams)
        for a, b in itertools.pairwise(anchors):
            lines += self._between(a, b)
        lines.sort()
        return [s for i, s in enumerate(lines) if not i or s - lines[i - 1] > SAME_BAND]

    def _between(self, a: float, b: float) -> list[float]:
        """The fewest lines between two that keep to the span, one more where moving them aside breaks it."""
        span = self.bench.rules.beam_span
        parts = math.ceil((b - a) / span - 1e-9)
        tries = []
        for count in (parts, parts + 1) if parts > 1 else (parts,):
            step = (b - a) / count
            lines = sorted(self._settled(a + step * k, a, b, count) for k in range(1, count))
            widest = max(q - p for p, q in itertools.pairwise((a, *lines, b)))
            if widest <= span + SAME_BAND:
                return lines
            tries.append((widest, lines))
        widest, lines = min(tries, key=lambda tried: tried[0])
        what = f"beams lie up to {widest:.0f} mm apart, over the {span:.0f} mm asked for"
        cure = "move what their ends would straddle, or ask for a span that much greater"
        self.bench.found.notes.append((self.bench.deck.name, what, cure))
        return lines

    def _settled(self, s: float, a: float, b: float, parts: int) -> float:
        """The line moved off headers it would half overlap, and off corners its ends would straddle."""
        for hs, _, _ in self.bench.headers.values():
            if 1e-6 < abs(hs - s) < self.bench.width + BESIDE:
                return hs
        slack = max(self.bench.rules.beam_span - (b - a) / parts, 0.0)
        best, best_miss = s, self._straddles(s)
        step = self.bench.width / 4
        reach = max(slack, self.bench.width * 1.5)
        k = 1
        while best_miss and k * step <= (reach if best_miss < OFF_FACE else max(reach, 3 * self.bench.width)):
            for tried in (s - k * step, s + k * step):
                if any(
                    abs(hs - tried) < self.bench.width + BESIDE for hs, _, _ in self.bench.headers.values()
                ):
                    continue
                miss = self._straddles(tried)
                if miss < best_miss:
                    best, best_miss = tried, miss
            k += 1
        return best

    def _straddles(self, s: float) -> int:
        """How ill a beam on this line would lie: 1 for an end not whole on a face, more for one off it."""
        found = 0
        for seed in self._free(s):
            at = np.array([s, seed])
            for way in (-1.0, 1.0):
                stopped = self._stop(s, seed, way, self.bench.width / 2)
                if stopped is None or stopped[1]:
                    continue
                found += OFF_FACE if self._is_off(stopped[0], at, way) else 1
        return found

    def _is_off(self, cut: Cut, at: Array, way: float) -> bool:
        """Whether an end's axis stops short of what it comes upon."""
        ahead = np.array([0.0, way])
        return self.bench.faces.first_hit(at, ahead)[0] - cut.along(at, ahead) > SNUG

    def _stop(self, s: float, seed: float, way: float, half: float) -> tuple[Cut, bool] | None:
        return self.bench.faces.stop(np.array([s, seed]), np.array([0.0, way]), half)

    def _free(self, s: float) -> list[float]:
        """A point in each free stretch of the line: inside the ring, off openings and bars."""
        return [(lo + hi) / 2 for lo, hi in self._free_stretches(s, self.bench.width / 2)]

    def _free_stretches(self, s: float, half: float) -> list[tuple[float, float]]:
        free = chords(self.bench.inner, s)
        h = half - 0.02
        for shape in self.bench.clears:
            s0, _, s1, _ = shape.bounds
            if s0 < s + h and s1 > s - h:
                free = less(free, chords(shape, min(max(s, s0 + 0.01), s1 - 0.01)))
        for footprint in self.bench.footprints:
            taken = band_extent(footprint, s - h, s + h)
            if taken is not None:
                free = less(free, [taken])
        return [(lo, hi) for lo, hi in free if hi - lo >= LEAST_PIECE]

    def _pieces(self, name: str, s: float, half: float) -> list[tuple[Cut, Cut, float]]:
        """The cuts of each piece of a beam on this line, with a point of it.

        A piece with no member at one end (an opening that a rim frames) is not made, nor a stub across a
        strip of sheet so narrow that the members on its two sides carry it; but short pieces that tie the
        ring round an odd opening to the deck's frame are.
        """
        found = []
        for lo, hi in self._free_stretches(s, half):
            seed = (lo + hi) / 2
            low, high = self._stop(s, seed, -1.0, half), self._stop(s, seed, 1.0, half)
            if not (low and high):
                what = "finds no member to end on"
                self.bench.found.notes.append(
                    (f"{self.bench.deck.name}/{name}", what, "leave it out, or keep what it would end on")
                )
                continue
            at = np.array([s, seed])
            r0 = seed - low[0].along(at, np.array([0.0, -1.0]))
            r1 = seed + high[0].along(at, np.array([0.0, 1.0]))
            holds_hole = any(self._is_hole_frame(cut.meets) for cut in (low[0], high[0]))
            is_off = self._is_off(low[0], at, -1.0) or self._is_off(high[0], at, 1.0)
            least = LEAST_PIECE if holds_hole and not is_off else self._stub(s)
            if r0 > lo - self.bench.width and r1 < hi + self.bench.width and r1 - r0 > least:
                found.append((low[0], high[0], seed))
        return found

    def _is_hole_frame(self, name: str | None) -> bool:
        bar = self.bench.found.bars.get(name or "")
        return bar is not None and bar.role == "frame"

    def _stub(self, s: float) -> float:
        """Pieces this short are left out, save on a seam the file asks for."""
        if any(abs(s - seam) < SAME_BAND for seam in self.bench.rules.seams):
            return LEAST_PIECE
        return max(LEAST_PIECE, self.bench.rules.beam_span * STUB)

    def _spans(self, s: float) -> bool:
        """Whether a header reaches across the whole deck, openings apart."""
        across = chords(self.bench.inner, s)
        whole = sum(r1 - r0 for r0, r1 in across)
        covered = sum(
            max(0.0, min(r1, b) - max(r0, a))
            for hs, a, b in self.bench.headers.values()
            if abs(hs - s) < SAME_BAND
            for r0, r1 in across
        )
        return covered >= 0.97 * whole


def letters(k: int) -> str:
    """The k-th of a, b ... z, aa, ab ..."""
    more, last = divmod(k, 26)
    return (letters(more - 1) if more else "") + chr(ord("a") + last)
