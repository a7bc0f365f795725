"""Names of the surfaces that a finish may go on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.coverings.settings import WHOLE, named

if TYPE_CHECKING:
    from model.boat import Boat


def known_surfaces(boat: Boat) -> list[str]:
    """What `on` and `leave_out` may name."""
    pieces = [*(p.name for p in boat.panels), *(s.name for s in boat.strips), *(m.name for m in boat.members)]
    lids = [f.name for f in boat.fixtures if f.kind == "lid" and f.part is None]
    parts = {name.partition("/")[0] for name in (*pieces, *lids)}
    return [*WHOLE, *sorted(parts), *pieces, *lids]


def unknown_surfaces(boat: Boat) -> list[tuple[str, str, int, str]]:
    """Names of a paint, key, place in the list, name, that name nothing in the boat."""
    if boat.finish is None:
        return []
    known = known_surfaces(boat)
    return [
        (paint.name, key, k, name)
        for paint in boat.finish.paints
        for key, names in (("on", paint.on), ("leave_out", paint.leave_out))
        for k, name in enumerate(names)
        if not any(named((name,), own) for own in known)
    ]
