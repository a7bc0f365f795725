"""Ways out and reach in words: what keeps a thing in or a hand out, and what would cure it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.access.arm import Reach
from model.access.settings import AccessSettings
from model.access.ways_out import WayOut
from model.findings import Finding, Shown
from model.geometry import Array, Frame
from model.prism import Prism
from parts.lengths import format_length
from parts.outline import Loop

if TYPE_CHECKING:
    from model.boat import Boat

TRAPPED = "trapped"
"""Kind of finding: a removable thing that cannot leave."""

BURIED = "buried"
"""Kind of finding: a point that no hand gets at."""

DOT = 16.0
"""Side of the cube that shows a point, mm."""

MOST_NAMES = 4
"""More names than these are only counted."""


def way_finding(out: WayOut, boat: Boat) -> Finding:
    """That a thing cannot leave."""
    sizes = " x ".join(format_length(float(side), boat.units) for side in out.sides)
    what = f"cannot leave the boat ({sizes}): {_why(out)}"
    over = out.over[:1]
    return Finding(
        TRAPPED, (out.name, *over), what, _cure(out, boat), _middle(out, boat), boat.place(out.name)
    )


def _why(out: WayOut) -> str:
    reasons = "; ".join(f"by {opening}: {why}" if opening else why for opening, why in out.why)
    if not out.proven:
        return reasons or "no way out was found"
    if not reasons:
        return "no opening leads out of where it stands"
    return f"{reasons}; nothing else leads out"


def _cure(out: WayOut, boat: Boat) -> str:
    """The opening that would do, and what stands in its place."""
    length, width, x, y = (format_length(v, boat.units) for v in (*out.needs, *out.middle))
    cure = (
        f"an opening of {length} x {width} (fore and aft x athwart) over it, its middle at {x}, {y}, would do"
    )
    if not out.over:
        return cure
    names = ", ".join(out.over[:MOST_NAMES])
    more = f" and {len(out.over) - MOST_NAMES} more" if len(out.over) > MOST_NAMES else ""
    return f"{cure}; there stand {names}{more}"


def _middle(out: WayOut, boat: Boat) -> Array:
    fixture = next(f for f in boat.fixtures if f.name == out.name)
    return fixture.centre


def reach_finding(reach: Reach, boat: Boat, settings: AccessSettings) -> Finding:
    """That no hand gets at a point."""
    asked = format_length(settings.reach, boat.units)
    hand = format_length(settings.hand, boat.units)
    own = "" if reach.point.name == reach.point.piece else f"its {reach.point.name.rpartition('/')[2]} "
    what = f"{own}cannot be reached within {asked}: {_what(reach, boat, settings)}"
    cure = f"give it an opening of at least {hand} round nearby"
    if reach.narrow is not None:
        cure = f"widen {reach.narrow[0]} to at least {hand}, or {cure}"
    pieces = (reach.point.piece,)
    short = None
    if reach.nearest is not None and reach.nearest[1] > settings.reach:
        short = reach.nearest[1] - settings.reach
    place = boat.place(reach.point.piece)
    return Finding(BURIED, pieces, what, cure, reach.point.at, place, short, shown=(_dot(reach),))


def _dot(reach: Reach) -> Shown:
    """A small cube at a point, for the picture."""
    low = Frame.level(
        float(reach.point.at[2]) - DOT / 2.0, float(reach.point.at[0]), float(reach.point.at[1])
    )
    return Shown(reach.point.name, Prism(low, Loop.rectangle(DOT, DOT), (), 0.0, DOT).mesh())


def _what(reach: Reach, boat: Boat, settings: AccessSettings) -> str:
    if reach.nearest is None:
        return "no opening takes a hand"
    name, straight = reach.nearest
    far = format_length(straight, boat.units)
    if straight > settings.reach:
        return f"the nearest opening that takes a hand, {name}, is {far} away"
    return f"no way for an arm was found round what stands between it and {name}, {far} away"
