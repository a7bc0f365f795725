"""Piece marks: short names such as F12 that identical pieces share and that stay put from build to build."""

from __future__ import annotations

import re
from collections.abc import Mapping


def mark_number(mark: str, prefix: str) -> int | None:
    """The number of `mark` when it is `prefix` and a whole number from 1, else None."""
    found = re.fullmatch(re.escape(prefix) + r"([1-9][0-9]*)", mark)
    return int(found[1]) if found else None


def assign_marks(
    signatures: Mapping[str, str],
    prefix: str,
    previous: Mapping[str, tuple[str, str]] | None = None,
) -> dict[str, str]:
    """A mark for each named piece: equal signatures share one, different ones never do.

    On a fresh build the marks run 1, 2, 3 ... in the order of `signatures`. With `previous` a piece that
    has not changed keeps its mark, a changed or new piece takes the mark of an equal piece or else a number
    above every number that `previous` knows, so that no mark ever means two different pieces.

    Args:
        signatures: for each piece's name the text that tells it from other pieces.
        prefix: the letter before the number, such as "F".
        previous: for each name of earlier builds its (mark, signature); names that are gone may stay in it.

    Example:
        >>> assign_marks({"beam.1": "x", "beam.2": "x", "post.1": "y"}, "F")
        {'beam.1': 'F1', 'beam.2': 'F1', 'post.1': 'F2'}
    """
    before = previous or {}
    owners = _marks_in_use(signatures, prefix, before)
    numbers = [mark_number(mark, prefix) or 0 for mark, _ in before.values()]
    last = max(numbers, default=0)
    found = {}
    for name, signature in signatures.items():
        if signature not in owners:
            last += 1
            owners[signature] = f"{prefix}{last}"
        found[name] = owners[signature]
    return found


def _marks_in_use(
    signatures: Mapping[str, str], prefix: str, before: Mapping[str, tuple[str, str]]
) -> dict[str, str]:
    """For each signature of an earlier build its mark; of two marks for one, that of a piece still there."""
    found: dict[str, str] = {}
    told: dict[str, str] = {}
    # Unchanged pieces speak first: sorted() is stable and False comes before True.
    for name in sorted(before, key=lambda name: before[name][1] != signatures.get(name)):
        mark, signature = before[name]
        if mark_number(mark, prefix) is None or told.get(mark, signature) != signature:
            continue
        told[mark] = signature
        found.setdefault(signature, mark)
    return found
