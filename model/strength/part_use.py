"""The members of one part of the skeleton under every load: the worst place of each, found by trying all.

People are tried a batch of places at a time, so that a long boat needs no more memory than a short one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from scipy import sparse

from model.geometry import Array
from model.layout.records import DeckPlan
from model.strength.loads import Loads
from model.strength.network import Ids, Network
from model.strength.records import ONE, SLAM, TWO, Force, MemberUse
from model.strength.sags import Sags
from model.strength.settings import GRAVITY, StrengthSettings
from model.strength.solve import Part
from model.strength.stiffness import Elements
from model.strength.ties import Tie
from model.strength.uses import Limits, uses
from model.strength.worst import Worst, WorstSoFar, greatest

BATCH = 400
"""Places of a person that are reckoned at a time."""

SPARSE = 4
"""Of two people the first is tried in every so many-th place, those where he asks most."""

NOBODY = np.zeros((0, 3))


class PartUse:
    """One part under all loads.

    Attributes:
        place: of each node of the network among those of the part; -1 for others.
        rows: the part's elements.
    """

    def __init__(
        self,
        net: Network,
        part: Part,
        elements: Elements,
        loads: Loads,
        decks: dict[str, DeckPlan],
        everywhere: Limits,
        ties: Sequence[Tie],
        settings: StrengthSettings,
    ) -> None:
        """Solves for everything that loads the part.

        Args:
            net: the skeleton.
            part: what hangs together.
            elements: of the whole skeleton.
            loads: on it.
            decks: by name.
            everywhere: what the elements may bear.
            ties: those whose greatest force is asked for; others than the part's are passed over.
            settings: loads and limits.
        """
        self.net, self.part, self.elements, self.settings = net, part, elements, settings
        self.place = np.full(len(net.points), -1, dtype=np.int64)
        self.place[part.nodes] = np.arange(len(part.nodes))
        self.rows = np.flatnonzero(self.place[elements.ends[:, 0]] >= 0)
        self.own = everywhere.chosen(self.rows)
        self.belongs = elements.member[self.rows]
        self.ties = {tie.node: tie for tie in ties if self.place[tie.node] >= 0}
        spots = [p for p in loads.places if p.loads[:, part.nodes].sum() > 0.5 * p.loads.shape[0]]
        self.deck = np.repeat(np.arange(len(spots)), [len(p.centres) for p in spots])
        self.flat = np.concatenate([np.zeros((0, 2)), *(p.centres for p in spots)])
        seen = [decks[p.deck].frame.to_boat(p.centres) for p in spots]
        self.spots = np.concatenate([NOBODY, *seen])
        self.shares = sparse.vstack([sparse.csr_matrix((0, len(net.points))), *(p.loads for p in spots)])
        moved = part.moved((loads.own + loads.gear)[:, None])
        self.still = self.forces(moved)
        self.pressing = {node: np.array(self._press(tie, moved)) for node, tie in self.ties.items()}
        self.sags = Sags(net, self.place, np.unique(self.belongs), settings)
        self.one, self.twice = self._walk()

    def forces(self, moved: Array, rows: Ids | None = None) -> Array:
        """What elements feel at their ends, `(e, 2, 6, p)`: N (a pull above 0), Vy, Vz, T, My, Mz."""
        wanted = self.rows if rows is None else self.rows[rows]
        ends = self.place[self.elements.ends[wanted]]
        dofs = (6 * ends[:, :, None] + np.arange(6)).reshape(len(wanted), 12)
        found: Array = (self.elements.recover[wanted] @ moved[dofs]).reshape(len(wanted), 2, 6, -1)
        found[:, 0] *= -1.0  # what acts on the cut face that looks along the member
        return found

    def _batches(self) -> Iterator[tuple[int, Array]]:
        """The first place of each batch, and movements for a person in each of its places, `(6 m, p)`."""
        weight = self.settings.person * GRAVITY
        for first in range(0, self.shares.shape[0], BATCH):
            down = self.shares[first : first + BATCH].T.toarray() * weight
            yield first, self.part.moved(down)

    def _walk(self) -> tuple[WorstSoFar, WorstSoFar]:
        """The worst place of one who jumps for every element, and of one who weighs twice as much."""
        jump = self.settings.jump
        one, twice = WorstSoFar(len(self.rows)), WorstSoFar(len(self.rows))
        most = dict.fromkeys(self.ties, 0.0)
        for first, moved in self._batches():
            people = self.forces(moved)
            felt = self.still + jump * people
            one.take(uses(felt, self.own), felt, first)
            if jump < 2:  # else one who jumps asks as much of every place as any two
                felt = self.still + 2 * people
                twice.take(uses(felt, self.own), felt, first)
            self.sags.take(moved)
            for node, tie in self.ties.items():
                most[node] = max(most[node], float(self._press(tie, moved).max()))
        for node, force in most.items():
            self.pressing[node] = self._pressing(float(self.pressing[node][0]), force)
        return one, twice

    def _press(self, tie: Tie, moved: Array) -> Array:
        """Downward force through a tie, N, `(p,)`."""
        own = self.place[np.concatenate([[tie.node], tie.below])]
        parts = np.concatenate([[1.0], -tie.shares]) * tie.stiff
        found: Array = -(parts @ moved[6 * own + 2])
        return found

    def _pressing(self, still: float, most: float) -> Array:
        pressed = max(still + self.settings.jump * most, self.settings.slam * still, 0.0)
        return np.array([pressed])

    def pressed(self, tie: Tie) -> float:
        """The greatest downward force under any load through a tie that was asked for, N."""
        return float(self.pressing[tie.node][0])

    def members(self) -> list[MemberUse]:
        """The uses of the part's members, in the order of the network."""
        slam = uses(self.settings.slam * self.still, self.own)[..., 0]
        two = self._two()
        found = []
        for k in np.unique(self.belongs).tolist():
            mine = np.flatnonzero(self.belongs == k)
            cases = [self._slammed(mine, slam)]
            if len(self.spots):
                cases.append(self.one.worst(mine, ONE))
            cases += [two[k]] if k in two else []
            worst = max(cases, key=lambda c: c.use)
            found.append(MemberUse(self.net.members[k].name, self._force(worst), self.sags.worst(k)))
        return found

    def _slammed(self, mine: Ids, slam: Array) -> Worst:
        e, end = greatest(slam[mine])
        n = int(mine[e])
        return Worst(float(slam[n, end]), SLAM, n, end, self.settings.slam * self.still[n, end, :, 0])

    def _two(self) -> dict[int, Worst]:
        """Two people side by side or apart on one deck, who stand still; by member.

        Tried where one twice as heavy would ask most: since use is convex, no pair asks more of any place
        than the worse of its two, doubled.
        """
        if self.settings.jump >= 2 or not len(self.spots):
            return {}
        own = {k: self.twice.worst(np.flatnonzero(self.belongs == k), TWO) for k in np.unique(self.belongs)}
        rows = np.array([worst.element for worst in own.values()], dtype=np.int64)
        ends = np.array([worst.end for worst in own.values()], dtype=np.int64)
        felt = [self.forces(moved, rows)[np.arange(len(rows)), ends] for _, moved in self._batches()]
        people = np.concatenate(felt, axis=2)
        return {int(k): self._pair(int(rows[i]), int(ends[i]), people[i]) for i, k in enumerate(own)}

    def _pair(self, n: int, end: int, people: Array) -> Worst:
        """The worst pair for one end of an element from what it feels of one in each place, `(6, p)`."""
        limit = self.own.end(n, end)
        still = self.still[n, end]
        alone = uses((still + 2 * people)[None, None], limit)[0, 0]
        first, second = self._pairs(alone)
        felt = still + people[:, first] + people[:, second]
        found = uses(felt[None, None], limit)[0, 0]
        p = int(found.argmax())
        return Worst(float(found[p]), TWO, n, end, felt[:, p], (int(first[p]), int(second[p])))

    def _pairs(self, doubled: Array) -> tuple[Ids, Ids]:
        """Places of two people, no nearer than their squares allow; the first where one alone asks most."""
        order = np.argsort(-doubled)[: max(len(doubled) // SPARSE, 1)]
        first, second = np.repeat(order, len(doubled)), np.tile(np.arange(len(doubled)), len(order))
        apart = np.abs(self.flat[first] - self.flat[second]).max(axis=1) >= self.settings.foot - 1.0
        fits = apart & (self.deck[first] == self.deck[second])
        if not fits.any():  # no deck is large enough for two
            return order[:1], order[:1]
        return first[fits], second[fits]

    def _force(self, worst: Worst) -> Force:
        n = int(self.rows[worst.element])
        k, step = int(self.elements.member[n]), int(self.elements.step[n]) + worst.end
        spot = worst.element, worst.end
        return Force(
            use=worst.use,
            case=worst.case,
            where=self.net.points[self.net.lines[k].nodes[step]],
            at=float(self.net.lines[k].at[step]),
            resultants=worst.resultants,
            soft=bool(self.own.soft[spot]),
            allowed=float(self.own.allowed[spot]),
            post=float(self.own.post[spot]),
            stands=self.spots[list(worst.people)] if worst.people else NOBODY,
        )
