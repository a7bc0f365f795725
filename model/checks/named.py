"""The named dimensions and angles of a boat file that can be moved, and boats with one of them moved."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from parts.expressions import ExpressionError, evaluate
from parts.faults import BadInput
from parts.lengths import format_length
from parts.yamlfile import Document

if TYPE_CHECKING:
    from model.boat import Boat
    from model.hull import Hull

Rebuild = Callable[[Document, "Hull | None"], "Boat"]
"""Builds the boat of a document, on a known hull or on its own; raises BadInput where that cannot be."""

SIXTEENTH, MILLIMETRE, DEGREE = 25.4 / 16.0, 1.0, 1.0


@dataclass(frozen=True)
class Named:
    """A named value of the boat file.

    Attributes:
        group: `dimensions` or `angles`.
        name: as in the file.
        value: mm, or degrees.
        grain: what it is told to: a sixteenth of an inch, a millimetre, a degree.
        tried: by how much it is moved to see what that does.
        most: no further is it moved.
    """

    group: str
    name: str
    value: float
    grain: float
    tried: float
    most: float

    def beyond(self, move: float) -> float:
        """The value moved at least so far, to the grain."""
        count = (self.value + move) / self.grain
        return self.grain * (math.ceil(count - 1e-6) if move > 0 else math.floor(count + 1e-6))

    def told(self, value: float, units: str) -> str:
        """A value in words."""
        return f"{value:g} degrees" if self.group == "angles" else format_length(value, units)


def named_values(boat: Boat) -> Iterator[Named]:
    """Dimensions and angles whose values are told by themselves and not by others."""
    grain = SIXTEENTH if boat.units in ("in", "ft") else MILLIMETRE
    for name, entry in _entries(boat.document, "dimensions"):
        try:
            yield Named("dimensions", name, evaluate(_text(entry), {}, boat.units), grain, 1.0, 300.0)
        except ExpressionError:
            continue
    for name, entry in _entries(boat.document, "angles"):
        yield Named("angles", name, float(_text(entry)), DEGREE, 0.25, 30.0)


def with_value(boat: Boat, named: Named, value: float, rebuild: Rebuild) -> Boat | None:
    """The boat with one value moved; None where it cannot be built so."""
    document = boat.document
    given: dict[str, Any] = dict(document.data[named.group])
    text: str | float = value if named.group == "angles" else f"{value:.6f} mm"
    old = given[named.name]
    given[named.name] = {**old, "value": text} if isinstance(old, Mapping) else text
    changed = replace(document, data={**document.data, named.group: given})
    # a hull that is told without the name is the same hull
    hull = None if named.name in json.dumps(document.data.get("hull", {}), default=str) else boat.hull
    try:
        return rebuild(changed, hull)
    except BadInput:
        return None


def _entries(document: Document, group: str) -> Iterator[tuple[str, Any]]:
    yield from (document.data.get(group) or {}).items()


def _text(entry: Any) -> str | int | float:
    found: str | int | float = entry["value"] if isinstance(entry, Mapping) else entry
    return found
