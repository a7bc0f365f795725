"""What may be left out: each post and beam thought away in turn and the whole boat checked again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.strength.check import StrengthReport, check_strength
from model.strength.settings import StrengthSettings
from model.strength.workers import crew

if TYPE_CHECKING:
    from model.boat import Boat

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Spare:
    """Members that may be left out together: what they weigh, kg, and the greatest use of what is left."""

    names: tuple[str, ...]
    mass: float
    greatest: float


@dataclass(frozen=True)
class SpareReport:
    """What may be left out.

    Attributes:
        tried: how many posts and beams were thought away.
        single: each that the boat can do without, the heaviest first.
        together: as many of these as it can do without at once; None if there is none.
    """

    tried: int
    single: tuple[Spare, ...]
    together: Spare | None


def spare_members(
    boat: Boat,
    settings: StrengthSettings | None = None,
    jobs: int | None = None,
    tell: Tell = lambda _: None,
    names: Sequence[str] | None = None,
    cluster: str | None = None,
) -> SpareReport:
    """Which posts and beams a boat can do without, every use staying at one or below.

    Honest but slow: the strength of the boat is worked out again for each.

    Args:
        boat: the boat.
        settings: loads and limits; those of the boat unless given.
        jobs: how many at a time; all cores unless given.
        tell: hears how far it is.
        names: only these are tried; all posts and beams unless given.
        cluster: address of a Dask cluster to work on; this machine unless given.
    """
    wanted = settings or boat.strength
    mass = {m.name: m.mass for m in boat.members}
    groups = [g for g in _groups(boat) if names is None or g[0] in names]
    single: list[Spare] = []
    with crew(jobs, cluster) as workers:
        found = zip(groups, workers.each(_greatest, (boat, wanted), groups), strict=True)
        for n, (group, greatest) in enumerate(found, 1):
            tell(f"thinking members away: {n} of {len(groups)}")
            if greatest <= 1.0:
                single.append(Spare(group, sum(mass[name] for name in group), greatest))
    single.sort(key=lambda s: (-s.mass, s.names))
    return SpareReport(len(groups), tuple(single), _together(boat, wanted, single, tell))


def _groups(boat: Boat) -> list[tuple[str, ...]]:
    """Each post, and each beam that nothing else ends on, with its own posts."""
    carries: dict[str, list[str]] = {}
    for joint in boat.joints:
        if joint.other is not None:
            carries.setdefault(joint.other, []).append(joint.member)
    found: list[tuple[str, ...]] = []
    for member in boat.members:
        own = member.name.rpartition("/")[2]
        if own.startswith("post."):
            found.append((member.name,))
        elif own.startswith("beam."):
            posts = [name for name in carries.get(member.name, []) if name.startswith(f"{member.name}/post.")]
            if len(posts) == len(carries.get(member.name, [])):
                found.append((member.name, *posts))
    return found


def _greatest(state: tuple[Boat, StrengthSettings], names: tuple[str, ...]) -> float:
    boat, settings = state
    return check_strength(boat, settings, names).greatest


def _together(boat: Boat, settings: StrengthSettings, single: Sequence[Spare], tell: Tell) -> Spare | None:
    """The heaviest first, each kept out if the boat still carries without it and those before it."""
    gone: tuple[str, ...] = ()
    mass, greatest = 0.0, 0.0
    for n, spare in enumerate(single, 1):
        tell(f"leaving members out together: {n} of {len(single)}")
        more = tuple(name for name in spare.names if name not in gone)
        report: StrengthReport = check_strength(boat, settings, (*gone, *more))
        if report.greatest <= 1.0:
            gone, greatest = (*gone, *more), report.greatest
            mass = sum(m.mass for m in boat.members if m.name in gone)
    return Spare(gone, mass, greatest) if gone else None
