"""What was made on a hull and is asked for again: a boat that is built again has most pieces as before."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, Generic, TypeVar
from weakref import WeakKeyDictionary

import numpy as np
from shapely.geometry.base import BaseGeometry

from model.hull import Hull

T = TypeVar("T")

MOST = 300
"""Things kept on one hull, of one kind; a drag asks for some tens of each."""


class Kept(Generic[T]):
    """Things of one kind by what they were made from, for as long as the hull they were made on is in use.

    What is kept is handed out again, so it must be a record that nobody changes.
    """

    def __init__(self, most: int = MOST) -> None:
        """Nothing as yet; with `most` on one hull all of them go."""
        self._most = most
        self._of: WeakKeyDictionary[Hull, dict[Hashable, T]] = WeakKeyDictionary()

    def known(self, hull: Hull, asked: Hashable) -> T | None:
        """What was made from `asked` before; None where nothing was."""
        return self._of.get(hull, {}).get(asked)

    def get(
        self, hull: Hull, asked: Hashable, make: Callable[[], T], keep: Callable[[], bool] = lambda: True
    ) -> T:
        """What was made from `asked`, or what `make` makes of it now.

        Args:
            hull: on which it stands.
            asked: everything else it is made from; see `content`.
            make: makes it; what it raises is not kept.
            keep: asked once it is made; a thing with faults, which are told each time, is made each time.
        """
        kept = self._of.setdefault(hull, {})
        if asked in kept:
            return kept[asked]
        found = make()
        if keep():
            if len(kept) >= self._most:
                kept.clear()
            kept[asked] = found
        return found


def content(value: Any) -> Hashable:
    """A key that is equal for records with equal content, to the last bit.

    Records of a boat, arrays and shapes are looked through; parts of the catalogue count by themselves.
    """
    if isinstance(value, str | float | int | None):
        return value
    if isinstance(value, np.ndarray):
        return value.shape, value.tobytes()
    if isinstance(value, BaseGeometry):
        return value.wkb
    if isinstance(value, frozenset):
        return value
    if isinstance(value, tuple | list):
        return tuple(map(content, value))
    if isinstance(value, Mapping):
        return tuple((name, content(part)) for name, part in value.items())
    kind: Any = type(value)
    names = _fields_of(kind)
    if names is None:
        return _Itself(value)
    return kind, *(content(getattr(value, name)) for name in names)


class _Itself:
    """A thing that is equal to no other, whatever it says of itself; held, its id stays its own."""

    __slots__ = ("_thing",)

    def __init__(self, thing: Any) -> None:
        self._thing = thing

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Itself) and self._thing is other._thing

    def __hash__(self) -> int:
        return id(self._thing)


@cache
def _fields_of(kind: Any) -> tuple[str, ...] | None:
    """The fields of a record that is looked through; None where it counts by itself."""
    looked_through = kind.__module__.startswith("model.") or kind.__module__ == "parts.outline"
    return tuple(f.name for f in fields(kind)) if is_dataclass(kind) and looked_through else None
