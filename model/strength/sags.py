"""How far lying members sag between what holds them, kept as batches of loads go by."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from model.geometry import Array
from model.strength.network import Ids, Network
from model.strength.records import Sag
from model.strength.settings import StrengthSettings

LEAST = 1.0
"""Shorter spans, mm, are not asked about."""


@dataclass(frozen=True, eq=False)
class _Span:
    """A run of a member between two holds, or from a hold out to a free end.

    Attributes:
        places: of its points among those of the part, `(n,)`.
        chord: `(n, n)`: dot their heights, how far each lies off the chord.
        length: mm.
    """

    member: int
    places: Ids
    chord: Array
    length: float


class Sags:
    """The greatest sag of every span of some members."""

    def __init__(self, net: Network, place: Ids, members: Ids, settings: StrengthSettings) -> None:
        """Spans of the lying members among `members`."""
        self.settings = settings
        self.spans = [
            span
            for k in members.tolist()
            if abs(float(net.members[k].axis[2])) <= 0.5
            for span in _spans(net, place, k)
        ]
        self.most = np.zeros(len(self.spans))

    def take(self, moved: Array) -> None:
        """Takes a batch of movements `(6 m, p)`."""
        up = moved[2::6]
        for n, span in enumerate(self.spans):
            self.most[n] = max(self.most[n], float(np.abs(span.chord @ up[span.places]).max()))

    def worst(self, member: int) -> Sag | None:
        """The span of a member that sags most for its length; None where nothing was asked."""
        own = [
            Sag(float(most) / self.settings.member_sag(span.length), float(most), span.length)
            for span, most in zip(self.spans, self.most, strict=True)
            if span.member == member
        ]
        return max(own, key=lambda sag: sag.use, default=None)


def _spans(net: Network, place: Ids, k: int) -> list[_Span]:
    line = net.lines[k]
    held, places = np.flatnonzero(line.held).tolist(), place[line.nodes]
    found = []
    for i, j in pairwise(held):
        length = float(line.at[j] - line.at[i])
        part = (line.at[i : j + 1] - line.at[i]) / max(length, 1e-9)
        chord = np.eye(len(part))
        chord[:, 0] -= 1 - part
        chord[:, -1] -= part
        found.append(_Span(k, places[i : j + 1], chord, length))
    for free, end, hold in ((line.free[0], 0, 0), (line.free[1], -1, -1)):
        if free and held:
            # An overhang counts as half of a span twice as long (IBC table 1604.3, note i).
            length = 2 * abs(float(line.at[end] - line.at[held[hold]]))
            found.append(_Span(k, places[[end, held[hold]]], np.array([[1.0, -1.0]]), length))
    return [span for span in found if span.length >= LEAST]
