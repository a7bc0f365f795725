"""Values as they were moved, one step after another, so that they can be taken back."""

from __future__ import annotations

from collections.abc import Mapping

MOST = 200
"""Steps remembered."""


class History:
    """Steps of moved values; each step holds all values that differ from the file's."""

    def __init__(self) -> None:
        self._steps: list[dict[str, str]] = [{}]
        self._at = 0

    @property
    def now(self) -> dict[str, str]:
        """The values of the present step."""
        return dict(self._steps[self._at])

    @property
    def undos(self) -> int:
        """How many steps can be taken back."""
        return self._at

    @property
    def redos(self) -> int:
        """How many steps can be made again."""
        return len(self._steps) - 1 - self._at

    def put(self, values: Mapping[str, str]) -> None:
        """A new step after the present one; what could be made again is forgotten."""
        if dict(values) == self._steps[self._at]:
            return
        self._steps = [*self._steps[: self._at + 1], dict(values)][-MOST:]
        self._at = len(self._steps) - 1

    def undo(self) -> bool:
        """One step back; whether there was one."""
        if not self._at:
            return False
        self._at -= 1
        return True

    def redo(self) -> bool:
        """One step on again; whether there was one."""
        if self._at + 1 >= len(self._steps):
            return False
        self._at += 1
        return True

    def rebase(self, old: Mapping[str, str], new: Mapping[str, str]) -> None:
        """Tells every step against another file: the boats of the steps stay what they were.

        Args:
            old: the former file's own text for every name that was ever moved.
            new: the present file's, for the same names as far as it has them.
        """
        for number, step in enumerate(self._steps):
            full = {**old, **step}
            self._steps[number] = {n: text for n, text in full.items() if n in new and text != new[n]}

    @property
    def names(self) -> set[str]:
        """Every name that was moved in some step."""
        return {name for step in self._steps for name in step}
