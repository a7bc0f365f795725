"""Fixtures of the catalogue at their places, and members placed in space by hand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import Point, Polygon

from model.boatfile.numbers import Key
from model.boatfile.schema import FixtureEntry
from model.geometry import Array, Frame
from model.layout.context import Context, Copy, copies
from model.layout.edges import holds
from model.layout.records import FixturePlan, ServicePlan, SpaceMember
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
        for copy in copies(ctx, key, entry.both_sides, entry.every, float(at[1]), *path):
            own_turn = -turn if copy.mirrored else turn
            frame = _Stand(ctx, surfaces, entry, part, copy, own_turn, path).frame(copy.placed(at))
            if frame is not None:
                placed = frame.moved(dz=lift).turned(own_turn)
                name = f"fixture.{copy.name}"
                plan = FixturePlan(
                    name, part.kind, part, placed, entry.on, entry.removable, path, entry.serviceable
                )
                found.append(plan)
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


def resolve_service(ctx: Context) -> tuple[ServicePlan, ...]:
    """Points of the file that a hand must get at."""
    found = []
    for key, entry in ctx.entry.service.items():
        path: tuple[Key, ...] = ("service", key)
        at = ctx.numbers.point(entry.at, *path, "at")
        if not np.isfinite(at).all():
            continue
        for copy in copies(ctx, key, entry.both_sides, None, float(at[1]), *path):
            own = at * [1.0, -1.0, 1.0] if copy.mirrored else at
            if _in_hull(ctx, own, (*path, "at")):
                found.append(ServicePlan(f"service.{copy.name}", own, path))
    return tuple(found)


def _in_hull(ctx: Context, at: Array, path: tuple[Key, ...]) -> bool:
    """Whether a point lies over the boat's bottom; a fault is noted where it does not."""
    bottom = float(ctx.hull.bottom(at[:1], at[1:2])[0])
    if bottom <= at[2] + 1.0:
        return True
    wrong = "the point lies outside the hull" if np.isnan(bottom) else "the point lies below the bottom"
    ctx.fault(path, wrong, "x from the transom, y to port, z from the baseline")
    return False


def _part(ctx: Context, name: str, path: tuple[Key, ...]) -> Fitting | None:
    try:
        return ctx.catalogue.fitting(name)
    except UnknownPart as error:
        ctx.fault(path, error.wrong, error.right)
        return None


@dataclass(frozen=True)
class _Stand:
    """What a fixture stands on."""

    ctx: Context
    surfaces: Surfaces
    entry: FixtureEntry
    part: Fitting
    copy: Copy
    turn: float
    path: tuple[Key, ...]

    def frame(self, at: Array) -> Frame | None:
        """The frame of the surface, its origin at the fixture's plan point; None with the fault noted."""
        name, hand = self.entry.on, self.copy.hand
        if name == "hull":
            return self._on_hull(at)
        opening = self.surfaces.opening(name, hand)
        locker = self.surfaces.locker(name, hand)
        deck = self.surfaces.deck_called(name, hand)
        if opening is not None:  # among them the lid of a seat box, which goes by the box's name
            top = opening[1].lid.top if opening[1].lid else 0.0
            return self._on(opening[0].frame, opening[1].polygon, at, top)
        if locker is not None and deck is not None:
            wrong = f"{name!r} is a locker and a deck"
            self.ctx.fault((*self.path, "on"), wrong, "give one of the two another name")
            return None
        if locker is not None:
            if locker.floor is None:
                return self._on_hull(at)
            return self._on(Frame.level(locker.floor), locker.area, at, 0.0)
        if deck is None:
            self.surfaces.unknown(name, (*self.path, "on"))
            return None
        return self._on(deck.frame, deck.area, at, 0.0)

    def _on(self, frame: Frame, area: Polygon, at: Array, top: float) -> Frame | None:
        """A place on a plane; its point must lie on the area, though the part may stand over its edge."""
        u, v = float(at[0] / frame.x[0]), float(at[1])
        if not holds(area, Point(u, v), 1.0):
            u0, v0, u1, v1 = (self.ctx.text(value) for value in area.bounds)
            span = f"it spans {u0} to {u1} forward and {v0} to {v1} to port"
            self.ctx.fault((*self.path, "at"), f"the fixture stands off {self.entry.on!r}", span)
            return None
        return frame.moved(dx=u, dy=v, dz=top)

    def _on_hull(self, at: Array) -> Frame | None:
        """Level on the highest point of the skin under the part."""
        x0, y0, _, x1, y1, _ = self.part.bounds
        foot = Frame.level(0.0, float(at[0]), float(at[1])).turned(self.turn)
        corners = foot.to_boat(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))
        heights = self.ctx.hull.bottom(corners[:, 0], corners[:, 1])
        if not np.isfinite(heights).all():
            self.ctx.fault(
                (*self.path, "at"), f"{self.part.name} does not lie within the hull there", "move it inward"
            )
            return None
        return Frame.level(float(np.max(heights)), float(at[0]), float(at[1]))
