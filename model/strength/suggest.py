"""The lightest frame of a deck under the limits: sections of the catalogue, beam spacing, every try rebuilt.

First every candidate is built and weighed. Then they are checked from the lightest up, and the first that
carries is the lightest there is among them: whatever comes after is heavier.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING, Any

from model.strength.check import check_strength
from model.strength.settings import StrengthSettings
from model.strength.workers import crew
from parts.catalogue import Catalogue
from parts.faults import BadInput
from parts.lengths import format_length
from parts.yamlfile import Document

if TYPE_CHECKING:
    from model.boat import Boat

Tell = Callable[[str], None]

INCHES = tuple(8.0 + 2.0 * n for n in range(9))
MILLIMETRES = tuple(200.0 + 50.0 * n for n in range(9))
"""Spacings of beams that are tried: what a tape shows at a glance."""


@dataclass(frozen=True)
class Choice:
    """How a deck is framed: its section and the greatest distance between its beams, mm."""

    section: str
    beam_span: float


@dataclass(frozen=True)
class Tried:
    """A choice as built.

    Attributes:
        choice: what was tried.
        mass: of all members of the boat, kg; infinite where it cannot be built.
        greatest: greatest use of the deck; None where it was not checked.
        why: what is wrong with it, in a few words.
    """

    choice: Choice
    mass: float
    greatest: float | None = None
    why: str = ""


@dataclass(frozen=True)
class Suggestion:
    """What the search came to.

    Attributes:
        deck: the deck.
        now: as the boat is.
        best: the lightest that carries; None where none does.
        built: how many choices were built.
        checked: those that were checked, lightest first, the best last.
        left: choices that were not drawn, since there were too many.
    """

    deck: str
    now: Tried
    best: Tried | None
    built: int
    checked: tuple[Tried, ...]
    left: int


@dataclass(frozen=True, eq=False)
class _Bench:
    """What the workers need to build and check a choice."""

    boat: Boat
    deck: str
    folder: Path
    catalogue: Catalogue
    settings: StrengthSettings
    base: int


def suggest_frame(
    boat: Boat,
    deck: str,
    folder: Path,
    catalogue: Catalogue,
    *,
    sections: Sequence[str] | None = None,
    spans: Sequence[float] | None = None,
    most: int = 400,
    seed: int = 1,
    jobs: int | None = None,
    cluster: str | None = None,
    tell: Tell = lambda _: None,
) -> Suggestion:
    """The lightest section and beam spacing of one deck with every use at one or below.

    Args:
        boat: as it is.
        deck: as the file names it.
        folder: of the boat file.
        catalogue: whose rectangular tubes of the deck's alloy are tried.
        sections: names of sections to try instead.
        spans: spacings to try, mm.
        most: of more choices than this so many are drawn.
        seed: of the draw.
        jobs: how many at a time; all cores unless given.
        cluster: address of a Dask cluster to work on; this machine unless given.
        tell: hears how far it is.

    Raises:
        KeyError: the boat has no such deck.
    """
    plan = boat.layout.decks[f"deck.{deck}"]
    spans = spans or _usual_spans(boat.units)
    names = sections or sorted(_like(catalogue, plan.rules.section.alloy.name))
    choices = [Choice(name, span) for name, span in product(names, spans)]
    drawn = random.Random(seed).sample(choices, most) if len(choices) > most else choices
    bench = _Bench(boat, deck, folder, catalogue, boat.strength, len(boat.findings))
    now = _now(bench, Choice(plan.rules.section.name, plan.rules.beam_span))
    checked: list[Tried] = []
    with crew(jobs, cluster) as workers:
        built = _told(workers.each(_weighed, bench, drawn), len(drawn), "building choices", tell)
        tries = _lightest_first(list(built))
        for first in range(0, len(tries), workers.count):
            batch = tries[first : first + workers.count]
            tell(f"checking choices from the lightest up: {first + 1} of {len(tries)}")
            for tried in workers.each(_checked, bench, batch):
                checked.append(tried)
                if not tried.why:
                    return Suggestion(deck, now, tried, len(drawn), tuple(checked), len(choices) - len(drawn))
    return Suggestion(deck, now, None, len(drawn), tuple(checked), len(choices) - len(drawn))


def _lightest_first(built: Sequence[Tried]) -> list[Tried]:
    """The choices that could be built, lightest first.

    Spacings that give the same beams, same section and same mass, are one: the least of them.
    """
    order = sorted(built, key=lambda t: (t.mass, t.choice.section, t.choice.beam_span))
    alike = {(t.choice.section, round(t.mass, 6)): t for t in reversed(order) if not t.why}
    return [t for t in order if t in alike.values()]


def _usual_spans(units: str) -> list[float]:
    return [n * 25.4 for n in INCHES] if units in ("in", "ft") else list(MILLIMETRES)


def _like(catalogue: Catalogue, alloy: str) -> Iterator[str]:
    """Rectangular tubes of an alloy; of one that lies two ways, both."""
    for name, section in catalogue.sections.items():
        if section.kind == "rect" and section.alloy.name == alloy:
            yield name


def _told(found: Iterable[Tried], count: int, what: str, tell: Tell) -> Iterator[Tried]:
    for n, tried in enumerate(found, 1):
        tell(f"{what}: {n} of {count}")
        yield tried


def _now(bench: _Bench, choice: Choice) -> Tried:
    mass = sum(m.mass for m in bench.boat.members)
    return _judged(bench.boat, bench, Tried(choice, mass))


def _weighed(bench: _Bench, choice: Choice) -> Tried:
    """The choice built and weighed."""
    try:
        made = _built(bench, choice)
    except BadInput as refused:
        return Tried(choice, float("inf"), why=refused.faults[0].wrong)
    if len(made.findings) > bench.base:
        return Tried(choice, float("inf"), why=made.findings[-1].what)
    return Tried(choice, sum(m.mass for m in made.members))


def _checked(bench: _Bench, tried: Tried) -> Tried:
    return _judged(_built(bench, tried.choice), bench, tried)


def _judged(boat: Boat, bench: _Bench, tried: Tried) -> Tried:
    """The choice with its greatest use; of findings elsewhere only those that the boat had not before."""
    report = check_strength(boat, bench.settings)
    own = f"deck.{bench.deck}/"
    uses = [use for name, use, _ in report.all_uses if name.startswith(own)]
    greatest = max(uses, default=0.0)
    if report.unheld:
        return replace(tried, greatest=float("inf"), why="a part of the frame does not stand")
    if greatest > 1.0:
        name, use, _ = report.worst(own.rstrip("/")) or ("", greatest, None)
        return replace(tried, greatest=greatest, why=f"{name} has a use of {use:.2f}")
    if report.findings:
        return replace(tried, greatest=greatest, why=f"elsewhere: {report.findings[0]}")
    return replace(tried, greatest=greatest)


def _built(bench: _Bench, choice: Choice) -> Boat:
    """The boat with one deck framed by a choice.

    Raises:
        BadInput: it cannot be built so.
    """
    from model.boat import build_boat

    document = with_choice(bench.boat.document, bench.deck, choice)
    return build_boat(document, bench.folder, catalogue=bench.catalogue, hull=bench.boat.hull)


def with_choice(document: Document, deck: str, choice: Choice) -> Document:
    """The boat file with a deck's section and beam spacing changed."""
    data: dict[str, Any] = deepcopy(document.data)
    entry = data["decks"][deck]
    entry["frame"] = {
        **(entry.get("frame") or {}), "section": choice.section, "beam_span": f"{choice.beam_span:.6f} mm"
    }  # fmt: skip
    return replace(document, data=data)


def choice_told(choice: Choice, units: str) -> str:
    """A choice in words."""
    return f"{choice.section}, beams no more than {format_length(choice.beam_span, units)} apart"
