"""Faults in what was written by hand: where, what is wrong, what would be right."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

LONGEST_LINE = 400
"""A fault is one line of a terminal; text quoted from a hostile file must not flood it."""


@dataclass(frozen=True)
class Place:
    """A spot in a file: `file` as the user gave it, `line` from 1 (None if unknown), `key` as a dotted path.

    Example: `Place("lake16.yaml", 41, "decks.front.height")`.
    """

    file: str
    line: int | None
    key: str

    def __str__(self) -> str:
        """`lake16.yaml:41 decks.front.height`, without the parts that are unknown."""
        spot = self.file if self.line is None else f"{self.file}:{self.line}"
        return f"{spot} {self.key}" if self.key else spot


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong at one place, and what would be right there."""

    place: Place
    wrong: str
    right: str

    def __str__(self) -> str:
        """One line: `lake16.yaml:41 decks.front.hieght: unknown key; did you mean 'height'?`."""
        said = f"{self.wrong}; {self.right}" if self.right else self.wrong
        return one_line(f"{self.place}: {said}")


def one_line(text: str) -> str:
    """`text` on one printable line of at most `LONGEST_LINE` characters."""
    shown = "".join(c if c.isprintable() else " " for c in text)
    flat = " ".join(shown.split())
    return flat if len(flat) <= LONGEST_LINE else flat[: LONGEST_LINE - 3] + "..."


class BadInput(ValueError):  # noqa: N818  (it names what was handed in, not the act of failing)
    """Input that is refused, with all its faults at once in `faults`."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    @classmethod
    def at(cls, place: Place, wrong: str, right: str = "") -> BadInput:
        """Bad input with a single fault."""
        return cls((Fault(place, wrong, right),))


@dataclass
class FaultList:
    """Faults gathered while reading on, so that the user sees them all in one run."""

    faults: list[Fault] = field(default_factory=list)

    def add(self, place: Place, wrong: str, right: str = "") -> None:
        """Note one fault."""
        self.faults.append(Fault(place, wrong, right))

    def extend(self, faults: Iterable[Fault]) -> None:
        """Note faults that something else found."""
        self.faults.extend(faults)

    def __len__(self) -> int:
        """How many faults were noted; an empty list is false."""
        return len(self.faults)

    def __iter__(self) -> Iterator[Fault]:
        """The faults in the order they were noted."""
        return iter(self.faults)

    def raise_if_any(self) -> None:
        """Refuse the input if a fault was noted, each fault once, in order of file and line.

        Raises:
            BadInput: at least one fault was added.
        """
        if self.faults:
            once = dict.fromkeys(self.faults)
            raise BadInput(sorted(once, key=lambda f: (f.place.file, f.place.line or 0)))


def nearest(word: str, known: Iterable[str], n: int = 3) -> list[str]:
    """The up to `n` known words most like `word`, best first; letter case does not count."""
    by_folded: dict[str, str] = {}
    for name in known:
        by_folded.setdefault(name.casefold(), name)
    found = difflib.get_close_matches(word[:80].casefold(), by_folded, n=n, cutoff=0.6)
    return [by_folded[name] for name in found]


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """What would be right for an unknown `word`: its near matches, else the words that are known."""
    names = list(known)
    close = nearest(word, names)
    if close:
        return "did you mean " + " or ".join(f"'{name}'" for name in close) + "?"
    if not names:
        return "none is known here"
    listed = ", ".join(sorted(names)[:12])
    return f"known: {listed}" + (", ..." if len(names) > 12 else "")
