"""What is wrong with passages and runs: holes that miss, full passages, close bends, things in the way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.access.settings import AccessSettings
from model.clearance.lids import hung_lids
from model.clearance.swing import SPARE, opened
from model.clearance.words import length_told
from model.findings import Finding, Shown
from model.ways.bodies import WIRE, bodies
from model.ways.bundles import Bundle, Filled, bundles, fillings, walked
from model.ways.cut import drilling, is_cut
from model.ways.hands import OutOfReach, out_of_reach
from model.ways.passages import Passage
from model.ways.route import Ways, ways_of
from model.ways.run import Run
from model.ways.stowed import run_against_rods
from model.ways.tube import tube
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

PASSAGE, RUN = "passage", "run"
"""Kinds of findings."""

OWN = 80.0
"""A run that ends this near to a thing, mm, belongs to it."""

SOLID = ("sheet", "well", "member", "fixture", "lid", "rib", "stringer")


@dataclass(frozen=True, eq=False)
class WaysReport:
    """The runs of a boat together.

    Attributes:
        runs: all wires and hoses that have a way.
        bundles: stretches that several share.
        filled: how full each passage is that is used.
        passages: all passages of the file.
        unreached: ends that no hand gets at once all is closed.
        findings: what is wrong.
        units: of lengths for people.
    """

    runs: tuple[Run, ...]
    bundles: tuple[Bundle, ...]
    filled: tuple[Filled, ...]
    passages: tuple[Passage, ...]
    unreached: tuple[OutOfReach, ...]
    findings: tuple[Finding, ...]
    units: str

    def summary(self) -> tuple[str, ...]:
        """What was looked at; nothing for a boat without runs and passages."""
        if not self.runs and not self.passages:
            return ()
        length = format_length(sum(run.length for run in self.runs), self.units)
        told = [
            f"{_count(len(self.runs), 'run')} laid, {length} in all; {_count(len(self.bundles), 'bundle')}"
        ]
        if self.passages:
            fullest = max(self.filled, key=lambda f: f.share / f.most, default=None)
            full = "none used"
            if fullest is not None:
                full = f"fullest {fullest.passage.name}, {fullest.share:.0%} of {fullest.most:.0%} allowed"
            told.append(f"{_count(len(self.passages), 'passage')}: {full}")
        told += [own.told(self.units) for own in self.unreached]
        return tuple(told)


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def check_ways(
    boat: Boat, runs: Sequence[Run], access: AccessSettings | None = None, hands: bool = True
) -> WaysReport:
    """The runs of a boat against its passages, its moving parts and each other.

    Args:
        boat: a finished boat.
        runs: all its wires and hoses; those that have no way are told elsewhere.
        access: what an arm needs; the usual unless given.
        hands: whether ends of runs are tried for a hand, which takes longest.
    """
    ways = ways_of(boat)
    filled = fillings(runs, boat.passages)
    found = [f for passage in boat.passages for f in _passage(boat, ways, passage)]
    found += [f for own in filled for f in _too_full(own, boat)]
    found += [f for run in runs for f in _run(run, boat)]
    found += list(_lids(boat, runs))
    unreached = out_of_reach(boat, runs, ways, access or AccessSettings()) if runs and hands else ()
    found += list(run_against_rods(boat, runs))
    found += [f for run in runs for f in _over_removable(run, boat, ways)]
    return WaysReport(tuple(runs), bundles(runs), filled, boat.passages, unreached, tuple(found), boat.units)


def _passage(boat: Boat, ways: Ways, passage: Passage) -> Iterator[Finding]:
    """A passage that misses what it is through, that meets more, or whose hole could not be cut."""
    a, b = passage.points[:-1], passage.points[1:]
    _, slab = ways.blocks.hits(a, b, 0.0)
    met = {ways.blocks.slabs[k].name for k in slab if ways.blocks.slabs[k].kind in SOLID}
    middle, place = passage.points.mean(axis=0), passage.place
    for name in passage.through:
        what, cure = "the first does not go through the second", "move its points to both sides of it"
        if name in met:
            what, cure = "its hole is not cut in the second", "move it off the edge, or make it smaller"
        if not _has_hole(boat, passage, name) or (name not in met and not _is_piece(boat, name)):
            yield Finding(PASSAGE, (passage.name, name), what, cure, middle, place)
    _, near = ways.blocks.hits(a, b, passage.least / 2.0 - 0.5)
    beside = {ways.blocks.slabs[k].name for k in near if ways.blocks.slabs[k].kind in SOLID}
    for name in sorted(beside - set(passage.through)):
        what, cure = "the first meets the second", "move it, or name the piece under `through`"
        yield Finding(PASSAGE, (passage.name, name), what, cure, middle, place)


def _is_piece(boat: Boat, name: str) -> bool:
    """Whether a name is that of flat sheet or a tube, whose holes are cut."""
    return name in {panel.name for panel in boat.panels} | {member.name for member in boat.members}


def _has_hole(boat: Boat, passage: Passage, name: str) -> bool:
    """Whether a piece has the hole of a passage; sheet that follows the hull is cut by hand."""
    panel = next((p for p in boat.panels if p.name == name), None)
    if panel is not None:
        return is_cut(panel, passage)
    member = next((m for m in boat.members if m.name == name), None)
    if member is not None:
        hole = drilling(member, passage)
        return hole is not None and hole in member.holes
    return True


def _too_full(own: Filled, boat: Boat) -> Iterator[Finding]:
    if not own.is_too_full:
        return
    names, passage = ", ".join(own.runs), own.passage
    if own.thick > passage.least + 1e-6:
        what = f"{names} together are {length_told(own.thick, boat.units)} thick"
        short = own.thick - passage.least
        what += f", {length_told(short, boat.units)} more than it lets through"
    else:
        what = f"{names} fill {own.share:.0%} of it; {own.most:.0%} is the most"
        short = passage.least * (np.sqrt(own.share / own.most) - 1.0)
    cure = f"make it {length_told(float(passage.least + short), boat.units)} wide, or lead one another way"
    yield Finding(PASSAGE, (passage.name,), what, cure, passage.points[0], passage.place, float(short))


def _run(run: Run, boat: Boat) -> Iterator[Finding]:
    """What a wire by given points goes through; hoses tell of theirs with their other faults."""
    for hit in run.hits if run.kind == WIRE else ():
        size = format_length(hit.size, boat.units)
        what = "the first goes through the second"
        cure = f"move its points, or tell of a hole of {size} there under `passages:`"
        yield Finding(PASSAGE, (run.name, hit.piece), what, cure, hit.at, run.place, shown=_shown(run))


def _over_removable(run: Run, boat: Boat, ways: Ways) -> Iterator[Finding]:
    """Things that cannot be lifted out from below a run, but for those it ends at, which it leaves with."""
    ends = run.path[[0, -1]]
    points = walked(run.path)[0]
    for name, over in ways.cover.over_removable(points).items():
        box = np.concatenate([p.box for f in boat.fixtures if f.name == name for p in f.prisms])
        near = (ends > box.min(axis=0) - OWN) & (ends < box.max(axis=0) + OWN)
        if not over.any() or near.all(axis=1).any():
            continue
        what = "the first lies over the second, which is to be taken out"
        at = points[over].mean(axis=0)
        yield Finding(RUN, (run.name, name), what, "lead it round, by points or a passage", at, run.place,
                      shown=_shown(run))  # fmt: skip


def _shown(run: Run) -> tuple[Shown, ...]:
    return (Shown(run.name, tube(run.path, run.diameter)),)


def _lids(boat: Boat, runs: Sequence[Run]) -> Iterator[Finding]:
    """Lids that touch a run as they open."""
    still = bodies(runs)
    for lid in hung_lids(boat) if still else ():
        motion = lid.motion()
        if motion is None:
            continue
        touch, names = opened(lid, motion, still)
        if touch is None or touch.at > motion.limit - SPARE:
            continue
        run = next(r for r in runs if r.name == names[touch.solid])
        yield Finding(RUN, (run.name, lid.name), "the second touches the first as it opens",
                      "lead it another way, by points or a passage", touch.where, run.place,
                      shown=_shown(run))  # fmt: skip
