"""Parts by name, each made when it is first asked for: a boat uses few of all a catalogue has."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Generic, TypeVar

T = TypeVar("T")


class _Once(Generic[T]):
    """A part and how to make it; made once, so that all who ask share the same one."""

    def __init__(self, make: Callable[[], T]) -> None:
        self._make = make
        self._made: list[T] = []

    def get(self) -> T:
        if not self._made:
            self._made.append(self._make())
        return self._made[0]


class Shelf(Mapping[str, T]):
    """A read-only mapping of names to parts; listing or asking for names makes none.

    Example:
        shelf = Shelf.of({"a": part}).and_made_later({"b": lambda: other})
    """

    def __init__(self, parts: Mapping[str, _Once[T]] | None = None) -> None:
        self._parts: dict[str, _Once[T]] = dict(parts or {})

    @classmethod
    def of(cls, parts: Mapping[str, T]) -> Shelf[T]:
        """A shelf of parts that are made already; a shelf stays as it is."""
        if isinstance(parts, Shelf):
            return parts

        def given(part: T) -> Callable[[], T]:
            return lambda: part

        return cls().and_made_later({name: given(part) for name, part in parts.items()})

    def and_made_later(self, makers: Mapping[str, Callable[[], T]]) -> Shelf[T]:
        """This shelf with more parts, told by how to make them; a name that is known is replaced."""
        return Shelf({**self._parts, **{name: _Once(make) for name, make in makers.items()}})

    def beside(self, other: Shelf[T]) -> Shelf[T]:
        """This shelf and another as one; of two parts of a name, the other's."""
        return Shelf({**self._parts, **other._parts})

    def __getitem__(self, name: str) -> T:
        return self._parts[name].get()

    def __contains__(self, name: object) -> bool:
        return name in self._parts

    def __iter__(self) -> Iterator[str]:
        return iter(self._parts)

    def __len__(self) -> int:
        return len(self._parts)
