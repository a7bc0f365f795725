"""Fixtures of the catalogue at their places, and members placed in space by hand."""

from __future__ import annotations

import numpy as np

from model.boatfile.numbers import Key
from model.boatfile.schema import FixtureEntry
from model.geometry import Array, Frame
from model.layout.context import Context, hands, with_hand
from model.layout.records import FixturePlan, SpaceMember
from model.layout.surfaces import Surfaces
from parts.catalogue import UnknownPart
from parts.fittings import Fitting


def resolve_fixtures(ctx: Context, surfaces: Surfaces) -> tuple[FixturePlan, ...]:
    """The fixtures of the file, both sides and repeats written out; faults are noted in the context."""
    found: list[FixturePlan] = []
    for key, entry in ctx.entry.fixtures.items():
        path: tuple[Key, ...] = ("fixtures", key)
        part = _part(ctx, entry.part, (*path, "part"))
        at = ctx.numbers.point(entry.at, *path, "at")
        turn = ctx.numbers.angle(entry.turn, *path, "turn")
        lift = ctx.numbers.length(entry.raise_by, *path, "raise_by")
        if part is None or not np.isfinite([*at, turn, lift]).all():
            continue
        count = entry.every.count if entry.every else 1
        step = ctx.numbers.positive(entry.every.step, *path, "every", "step") if entry.every else 0.0
        for k in range(count):
            for hand, mirrored in hands(entry.both_sides, float(at[1])):
                place = (at + np.array([k * step, 0.0])) * [1.0, -1.0 if mirrored else 1.0]
                frame = _stand(ctx, surfaces, entry, part, hand, place, (*path, "on"))
                if frame is None:
                    return tuple(found)
                name = f"fixture.{with_hand(f'{key}.{k + 1}' if count > 1 else key, hand)}"
                turned = frame.moved(dz=lift).turned(-turn if mirrored else turn)
                found.append(FixturePlan(name, part.kind, part, turned, entry.on, entry.removable, path))
    return tuple(found)


def resolve_members(ctx: Context) -> tuple[SpaceMember, ...]:
    """The members that the file places in space."""
    found = []
    for key, entry in ctx.entry.members.items():
        path: tuple[Key, ...] = ("members", key)
        start, end = (ctx.numbers.point(getattr(entry, k), *path, k) for k in ("start", "end"))
        section = ctx.section(entry.section, *path, "section")
        turn = ctx.numbers.angle(entry.turn, *path, "turn")
        if section is None or not np.isfinite([*start, *end, turn]).all():
            continue
        if float(np.linalg.norm(end - start)) < 1.0:
            ctx.fault(path, "the member has no length", "set start and end apart")
            continue
        found.append(
            SpaceMember(f"member.{key}", start, end, section, turn, entry.start_meets, entry.end_meets, path)
        )
    return tuple(found)


def _part(ctx: Context, name: str, path: tuple[Key, ...]) -> Fitting | None:
    try:
        return ctx.catalogue.fitting(name)
    except UnknownPart as error:
        ctx.fault(path, error.wrong, error.right)
        return None


def _stand(
    ctx: Context,
    surfaces: Surfaces,
    entry: FixtureEntry,
    part: Fitting,
    hand: str | None,
    at: Array,
    path: tuple[Key, ...],
) -> Frame | None:
    """The frame of the surface a fixture stands on, its origin at the fixture's place."""
    name = entry.on
    if name == "hull":
        return _on_hull(ctx, part, at, path)
    under = surfaces.opening(name, hand)
    if under is not None and not name.startswith("deck."):
        deck, opening = under
        top = opening.lid.top if opening.lid else 0.0
        return _at(deck.frame, at, top)
    locker = surfaces.locker(name, hand)
    if locker is not None:
        if locker.floor is None:
            return _on_hull(ctx, part, at, path)
        return Frame.level(locker.floor, float(at[0]), float(at[1]))
    deck_plan = surfaces.decks.get(f"deck.{name}") or surfaces.decks.get(f"deck.{name}.{hand}")
    if deck_plan is None:
        surfaces.unknown(name, path)
        return None
    return _at(deck_plan.frame, at, 0.0)


def _at(frame: Frame, at: Array, top: float) -> Frame:
    return frame.moved(dx=float(at[0] / frame.x[0]), dy=float(at[1]), dz=top)


def _on_hull(ctx: Context, part: Fitting, at: Array, path: tuple[Key, ...]) -> Frame | None:
    """Level on the highest point of the skin under the part."""
    x0, y0, _, x1, y1, _ = part.bounds
    corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]) + at
    heights = ctx.hull.bottom(corners[:, 0], corners[:, 1])
    if not np.isfinite(heights).all():
        ctx.fault(path, f"{part.name} does not lie within the hull there", "move it inward")
        return None
    return Frame.level(float(np.max(heights)), float(at[0]), float(at[1]))
