"""Which single dimension of the boat file, moved by how much, cures a finding: found by building again.

Each named value is moved a little, which tells how fast each finding mends; what that promises is then tried,
and told only if the finding is gone and no other has come.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from model.checks.asked import Asked
from model.checks.listed import CHECKS, Check, Report
from model.checks.named import Named, Rebuild, named_values, with_value
from model.clearance.bodies import boat_bodies
from model.clearance.contacts import run_of
from model.findings import Finding
from model.geometry import Array
from parts.faults import BadInput

if TYPE_CHECKING:
    from model.boat import Boat
    from model.checks.run import Checked

LEAST_RATE = 0.05
"""A finding that mends by less than this share of a value's move is not that value's doing."""

TRIES = 6
"""So many values of one name are tried for a finding."""

KEPT = 40
"""So many boats with a value moved are kept, since several findings ask for the same."""

HALVINGS = 5
"""So often is what lies between a value that does and one that does not halved."""

GONE = 1e-6

Tell = Callable[[str], None]
Key = tuple[str, frozenset[str]]


@dataclass
class _Search:
    """One search within its time."""

    boat: Boat
    asked: Asked
    rebuild: Rebuild
    checks: Sequence[Check]
    reports: dict[str, Report]
    ends: float
    known: dict[tuple[Named, float], Boat | None] = field(default_factory=dict)

    @property
    def over(self) -> bool:
        """Whether its time is up."""
        return time.monotonic() >= self.ends

    def changed(self, named: Named, value: float) -> Boat | None:
        """The boat with one value moved."""
        if (named, value) not in self.known:
            if len(self.known) >= KEPT:
                self.known.pop(next(iter(self.known)))
            self.known[named, value] = with_value(self.boat, named, value, self.rebuild)
        return self.known[named, value]

    def moves(self, finding: Finding, boat: Boat) -> bool:
        """Whether any piece that is told lies otherwise in another boat, or none can tell."""
        before, after = (_shapes(one, finding) for one in (self.boat, boat))
        if set(before) != set(finding.pieces) or set(after) != set(finding.pieces):
            return True
        return any(
            a.shape != b.shape or not np.array_equal(a, b)
            for a, b in ((before[name], after[name]) for name in finding.pieces)
        )

    def owner(self, finding: Finding) -> Check | None:
        """The check that a finding is of."""
        for check in self.checks:
            if any(_key(f) == _key(finding) for f in self.reports[check.name].findings):
                return check
        return None

    def lacking(self, finding: Finding, check: Check, boat: Boat) -> float:
        """How much of a finding is left in another boat; 0 where it is gone, nan where none can tell."""
        try:
            if check.again is not None:
                return check.again(boat, self.asked, finding, self.reports[check.name])
            left = [f for f in check.run(boat, self.asked).findings if _key(f) == _key(finding)]
        except BadInput:  # something that is asked names a piece that this boat has not
            return math.nan
        return 0.0 if not left else math.nan if left[0].short is None else left[0].short

    def brings_no_other(self, finding: Finding, check: Check, boat: Boat) -> bool:
        """Whether all that another boat is lacking was lacking before, and the finding is gone."""
        first = self.checks[0]
        for one in dict.fromkeys((check, first)):
            before = {_key(f) for f in self.reports[one.name].findings}
            try:
                after = {_key(f) for f in (one.quick or one.run)(boat, self.asked).findings}
            except BadInput:
                return False
            if not after <= before - {_key(finding)}:
                return False
        return True


def with_cures(
    boat: Boat,
    checked: Checked,
    rebuild: Rebuild,
    seconds: float,
    asked: Asked | None = None,
    tell: Tell = lambda _: None,
    checks: Sequence[Check] = CHECKS,
) -> Checked:
    """The findings, each with the one value of the boat file that cures it, where such was found in time.

    Args:
        boat: the boat.
        checked: what its checks came to.
        rebuild: builds a boat from a document.
        seconds: time for the search.
        asked: what the shop asks.
        tell: hears how far the search is.
        checks: those that were run.
    """
    ran = [check for check in checks if check.name in checked.reports]
    search = _Search(boat, asked or Asked(), rebuild, ran, dict(checked.reports), time.monotonic() + seconds)
    owned = [(f, search.owner(f)) for f in checked.findings if f.short and math.isfinite(f.short)]
    wanted = [(finding, check) for finding, check in owned if check is not None]
    if not wanted or seconds <= 0.0:
        return checked
    names = list(named_values(boat))
    cured: dict[Key, tuple[Named, float]] = {}
    # what is soon measured first, so that little time does for it
    for slow in (False, True):
        part = [(f, check) for f, check in wanted if (check.again is None) == slow]
        rates = list(_rates(search, part, names, tell)) if part else []
        cured |= {_key(f): told for f, check in part if (told := _cure(search, f, check, rates, tell))}
    findings = tuple(_told(f, cured.get(_key(f)), boat) for f in checked.findings)
    things = "1 finding" if len(wanted) == 1 else f"{len(wanted)} findings"
    line = f"{things} tried against {len(names)} dimensions: {len(cured)} cured by one"
    line += f"; stopped after {seconds:g} s" if search.over else ""
    return replace(checked, findings=findings, summary=(*checked.summary, line))


@dataclass(frozen=True)
class _Rate:
    """How fast a finding mends as a value grows; below zero where it has to be lessened."""

    key: Key
    named: Named
    rate: float

    def move(self, short: float) -> float:
        """The move that is promised to cure it."""
        return short / self.rate


def _rates(
    search: _Search, wanted: Sequence[tuple[Finding, Check]], names: Sequence[Named], tell: Tell
) -> Iterator[_Rate]:
    """What moves what: each name moved a little, one way or, where that cannot be built, the other."""
    for number, named in enumerate(names, 1):
        if search.over:
            return
        tell(f"seeking cures: {named.name}, {number} of {len(names)}")
        for way in (named.tried, -named.tried):
            boat = search.changed(named, named.value + way)
            if boat is not None:
                for finding, check in wanted:
                    assert finding.short is not None
                    if check.again is not None and not search.moves(finding, boat):
                        continue
                    rate = (finding.short - search.lacking(finding, check, boat)) / way
                    if math.isfinite(rate) and abs(rate) > LEAST_RATE * _scale(finding):
                        yield _Rate(_key(finding), named, rate)
                break


def _scale(finding: Finding) -> float:
    """What counts as a unit of a finding: of an angle, a degree for ten millimetres."""
    return math.radians(1.0) if finding.measure == "rad" else 1.0


def _cure(
    search: _Search, finding: Finding, check: Check, rates: Sequence[_Rate], tell: Tell
) -> tuple[Named, float] | None:
    """The least move of one value that cures a finding and brings no other."""
    assert finding.short is not None
    short = finding.short
    own = sorted(
        (r for r in rates if r.key == _key(finding)), key=lambda r: abs(r.move(short)) / r.named.grain
    )
    for rate in own:
        tell(f"seeking cures: trying {rate.named.name}")
        value = _value_that_does(search, finding, check, rate)
        if search.over:
            return None
        if value is not None:
            boat = search.changed(rate.named, value)
            if boat is not None and search.brings_no_other(finding, check, boat):
                return rate.named, value
    return None


def _value_that_does(search: _Search, finding: Finding, check: Check, rate: _Rate) -> float | None:
    """The least value found at which nothing is left: by what the rate promises, then by what is left.

    Findings do not mend evenly, so a value that does is brought back toward the last that did not.
    """
    assert finding.short is not None
    named, short = rate.named, finding.short
    way, move = math.copysign(1.0, rate.move(short)), abs(rate.move(short))
    fails, bound = 0.0, named.most
    for _ in range(TRIES):
        value = named.beyond(way * min(move, bound - named.grain))
        tried = abs(value - named.value)
        if search.over or tried <= fails:
            return None
        left = _left(search, finding, check, named, value)
        if not math.isfinite(left):  # too far: so it cannot be built
            bound, move = tried, (fails + tried) / 2.0
        elif left <= GONE:
            return _brought_back(search, finding, check, named, (way * fails, way * tried))
        else:
            mended = (short - left) / tried
            more = left / mended if mended > 0.0 else tried
            fails, move = tried, min(tried + max(more, named.grain), (tried + bound) / 2.0)
    return None


def _brought_back(
    search: _Search, finding: Finding, check: Check, named: Named, moves: tuple[float, float]
) -> float:
    """Between a move that does not do and one that does: the least that does, by halving."""
    fails, does = moves
    for _ in range(HALVINGS):
        value = named.beyond((fails + does) / 2.0)
        if abs(value - named.value - does) < named.grain / 2.0 or search.over:
            break
        if _left(search, finding, check, named, value) <= GONE:
            does = value - named.value
        else:
            fails = value - named.value
    return named.beyond(does)


def _left(search: _Search, finding: Finding, check: Check, named: Named, value: float) -> float:
    """How much of a finding is left at a value; nan where the boat cannot be built so."""
    boat = search.changed(named, value)
    return math.nan if boat is None else search.lacking(finding, check, boat)


def _told(finding: Finding, cure: tuple[Named, float] | None, boat: Boat) -> Finding:
    if cure is None:
        return finding
    named, value = cure
    now, then = named.told(named.value, boat.units), named.told(value, boat.units)
    told = f"{finding.cure}, or set `{named.name}` to {then} (it is {now})"
    return replace(finding, cure=told, dimension=(named.name, value))


def _shapes(boat: Boat, finding: Finding) -> dict[str, Array]:
    """Corners of each piece of a finding that is a body, by its name."""
    return {
        body.name: np.concatenate([solid.mesh.vertices for solid in body.solids])
        for body in boat_bodies(boat)
        if body.name in finding.pieces
    }


def _key(finding: Finding) -> Key:
    """What a finding is about; which one of pieces alike it is told of may change from boat to boat."""
    return finding.kind, frozenset(run_of(name) for name in finding.pieces)
