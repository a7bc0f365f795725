"""The members of one part of the skeleton under every load: the worst place of each, found by trying all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from model.geometry import Array
from model.layout.records import DeckPlan
from model.strength.loads import Loads
from model.strength.network import Ids, Network
from model.strength.records import ONE, SLAM, TWO, Force, MemberUse, Sag
from model.strength.settings import GRAVITY, StrengthSettings
from model.strength.solve import Part
from model.strength.stiffness import Elements
from model.strength.ties import Tie
from model.strength.uses import Limits, uses

SPARSE = 2
"""Two people are tried in every so many-th place of one, each way."""

NOBODY = np.zeros((0, 3))


@dataclass(frozen=True, eq=False)
class _Worst:
    """The worst of one case on a member: which piece and end of the part, what it feels, who stands where."""

    use: float
    case: str
    element: int
    end: int
    resultants: Array
    people: tuple[int, ...] = ()


class PartUse:
    """One part under all loads.

    Attributes:
        people: movements for a person in each place, `(6 m, p)`.
        still: movements under the boat's own weight and gear, `(6 m, 1)`.
    """

    def __init__(
        self,
        net: Network,
        part: Part,
        elements: Elements,
        loads: Loads,
        decks: dict[str, DeckPlan],
        settings: StrengthSettings,
    ) -> None:
        """Solves for everything that loads the part."""
        self.net, self.part, self.elements, self.settings = net, part, elements, settings
        self.place = np.full(len(net.points), -1, dtype=np.int64)
        self.place[part.nodes] = np.arange(len(part.nodes))
        self.rows = np.flatnonzero(self.place[elements.ends[:, 0]] >= 0)
        self.still = part.moved((loads.own + loads.gear)[:, None])
        own = [p for p in loads.places if p.loads[:, part.nodes].sum() > 0.5 * p.loads.shape[0]]
        self.deck = np.repeat(np.arange(len(own)), [len(p.centres) for p in own])
        self.flat = np.concatenate([np.zeros((0, 2)), *(p.centres for p in own)])
        spots = [decks[p.deck].frame.to_boat(p.centres) for p in own]
        self.spots = np.concatenate([np.zeros((0, 3)), *spots])
        shares = sparse.vstack([sparse.csr_matrix((0, len(net.points))), *(p.loads for p in own)])
        self.people = part.moved(shares.T.toarray() * settings.person * GRAVITY)

    def forces(self, moved: Array) -> Array:
        """What elements feel at their ends, `(e, 2, 6, p)`: N (a pull above 0), Vy, Vz, T, My, Mz."""
        ends = self.place[self.elements.ends[self.rows]]
        dofs = (6 * ends[:, :, None] + np.arange(6)).reshape(len(self.rows), 12)
        found: Array = (self.elements.recover[self.rows] @ moved[dofs]).reshape(len(self.rows), 2, 6, -1)
        found[:, 0] *= -1.0  # what acts on the cut face that looks along the member
        return found

    def pressed(self, tie: Tie) -> float:
        """The greatest downward force through a tie of this part under any load, N."""
        own = self.place[np.concatenate([[tie.node], tie.below])]
        parts = np.concatenate([[1.0], -tie.shares]) * tie.stiff
        still = -float(parts @ self.still[6 * own + 2, 0])
        people = -(parts @ self.people[6 * own + 2])
        most = self.settings.jump * float(people.max()) if len(people) else 0.0
        return max(still + max(most, 0.0), self.settings.slam * still, 0.0)

    def members(self, everywhere: Limits) -> list[MemberUse]:
        """The uses of the part's members, in the order of the network."""
        own = everywhere.chosen(self.rows)
        still, people = self.forces(self.still), self.forces(self.people)
        one = uses(still + self.settings.jump * people, own)
        slam = uses(self.settings.slam * still, own)
        belongs = self.elements.member[self.rows]
        found = []
        for k in np.unique(belongs).tolist():
            mine = np.flatnonzero(belongs == k)
            cases = [self._slammed(mine, still, slam)]
            if people.shape[-1]:
                cases.append(self._alone(mine, still, people, one))
                if self.settings.jump < 2:  # else one who jumps asks as much of every place as any two
                    cases.append(self._two(mine, own, still, people))
            worst = max(cases, key=lambda c: c.use)
            found.append(MemberUse(self.net.members[k].name, self._force(worst, own), self._sag(k)))
        return found

    def _slammed(self, mine: Ids, still: Array, slam: Array) -> _Worst:
        e, end, _ = _greatest(slam[mine])
        n = int(mine[e])
        return _Worst(float(slam[n, end, 0]), SLAM, n, end, self.settings.slam * still[n, end, :, 0])

    def _alone(self, mine: Ids, still: Array, people: Array, one: Array) -> _Worst:
        e, end, p = _greatest(one[mine])
        n = int(mine[e])
        felt = still[n, end, :, 0] + self.settings.jump * people[n, end, :, p]
        return _Worst(float(one[n, end, p]), ONE, n, end, felt, (p,))

    def _two(self, mine: Ids, own: Limits, still: Array, people: Array) -> _Worst:
        """Two people side by side or apart on one deck, who stand still.

        Tried where twice one person would ask most: since use is convex, no pair asks more of any place than
        the worse of its two, doubled.
        """
        doubled = uses(still[mine] + 2 * people[mine], own.chosen(mine))
        e, end, _ = _greatest(doubled)
        n = int(mine[e])
        first, second = self._pairs(doubled[e, end])
        felt = still[n, end, :, :1] + people[n, end][:, first] + people[n, end][:, second]
        one_row = Limits(
            own.allowed[[n], end : end + 1],
            own.post[[n], end : end + 1],
            own.soft[[n], end : end + 1],
            own.moduli[[n]],
        )
        found = uses(felt[None, None], one_row)[0, 0]
        p = int(found.argmax())
        return _Worst(float(found[p]), TWO, n, end, felt[:, p], (int(first[p]), int(second[p])))

    def _pairs(self, doubled: Array) -> tuple[Ids, Ids]:
        """Places of two people, no nearer than their squares allow; the first where one alone asks most."""
        order = np.argsort(-doubled)[: max(len(doubled) // SPARSE**2, 1)]
        first, second = np.repeat(order, len(doubled)), np.tile(np.arange(len(doubled)), len(order))
        apart = np.abs(self.flat[first] - self.flat[second]).max(axis=1) >= self.settings.foot - 1.0
        fits = apart & (self.deck[first] == self.deck[second])
        if not fits.any():  # no deck is large enough for two
            return order[:1], order[:1]
        return first[fits], second[fits]

    def _force(self, worst: _Worst, own: Limits) -> Force:
        n = int(self.rows[worst.element])
        k, step = int(self.elements.member[n]), int(self.elements.step[n]) + worst.end
        spot = worst.element, worst.end
        return Force(
            use=worst.use,
            case=worst.case,
            where=self.net.points[self.net.lines[k].nodes[step]],
            at=float(self.net.lines[k].at[step]),
            resultants=worst.resultants,
            soft=bool(own.soft[spot]),
            allowed=float(own.allowed[spot]),
            post=float(own.post[spot]),
            stands=self.spots[list(worst.people)] if worst.people else NOBODY,
        )

    def _sag(self, k: int) -> Sag | None:
        """The sag of a lying member against the chord between what holds it, and past it at a free end."""
        line, axis = self.net.lines[k], self.net.members[k].axis
        if abs(float(axis[2])) > 0.5 or not self.people.shape[1]:
            return None
        down = -self.people[6 * self.place[line.nodes] + 2]
        held = np.flatnonzero(line.held)
        best: Sag | None = None
        for i, j in zip(held[:-1].tolist(), held[1:].tolist(), strict=True):
            span = float(line.at[j] - line.at[i])
            part = ((line.at[i : j + 1] - line.at[i]) / span)[:, None]
            off = np.abs(down[i : j + 1] - (1 - part) * down[i] - part * down[j]).max()
            best = self._more(best, float(off), span)
        for free, end, root in ((line.free[0], 0, 0), (line.free[1], -1, -1)):
            if free and len(held):
                off = np.abs(down[end] - down[held[root]]).max()
                # An overhang counts as half of a span twice as long (IBC table 1604.3, note i).
                best = self._more(best, float(off), 2 * float(abs(line.at[end] - line.at[held[root]])))
        return best

    def _more(self, best: Sag | None, off: float, span: float) -> Sag | None:
        if span < 1.0:
            return best
        own = Sag(off * self.settings.member_limit / span, off, span)
        return own if best is None or own.use > best.use else best


def _greatest(field: Array) -> tuple[int, int, int]:
    """The place of the greatest value of a `(e, 2, p)` field."""
    e, end, p = np.unravel_index(int(field.argmax()), field.shape)
    return int(e), int(end), int(p)
