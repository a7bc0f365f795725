"""Which findings come first, and which tell of the same thing twice."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from model.findings import Finding

HARM: tuple[tuple[str, ...], ...] = (
    ("float", "capacity", "foam", "strength", "fuse", "wire", "skin"),  # people; fire; flooding
    (
        "frame",
        "posts",
        "sheet",
        "seam",
        "bend",
        "overlap",
        "circuit",
        "way",
        "passage",
        "stock",
    ),  # cannot be built so
    ("lid", "strut", "trapped", "run", "work"),  # cannot be used
    # used with trouble
    ("rods", "reach", "buried", "water", "drain", "hose", "pump", "well", "power", "charge", "ice"),
    ("gap", "room", "fit", "height"),  # closer than asked
)
"""Kinds of findings, the most harmful first; those of one row weigh alike, one not here as the last row."""

TOUCHING = frozenset({"overlap", "gap", "room", "lid", "fit"})
"""Kinds that tell of two pieces in each other's way: of the same two, one is told."""


def rank(kind: str) -> int:
    """Place of a kind by harm, 0 the worst."""
    rows = (row for row, kinds in enumerate(HARM) if kind in kinds)
    return next(rows, len(HARM) - 1)


def by_harm(findings: Iterable[Finding]) -> list[Finding]:
    """The findings, the most harmful first; within one kind in the order given, which is worst first."""
    return sorted(findings, key=lambda finding: rank(finding.kind))


def told_once(findings: Sequence[Finding]) -> list[Finding]:
    """The findings without those that tell again of the same pieces: the most harmful is kept."""
    kept: dict[object, Finding] = {}
    for finding in by_harm(findings):
        kept.setdefault(_subject(finding), finding)
    return list(kept.values())


def _subject(finding: Finding) -> object:
    """What a finding is about: two pieces in each other's way, or its kind and pieces."""
    pieces = frozenset(finding.pieces)
    if not pieces:
        return finding.kind, finding.what
    about = "touching" if finding.kind in TOUCHING and len(pieces) > 1 else finding.kind
    return about, pieces
