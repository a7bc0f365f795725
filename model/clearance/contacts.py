"""Which pieces belong together, so that they may touch: told by the boat's own records."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from model.clearance.bodies import Body
from model.clearance.kinds import FIXED, ON_HULL, ROOM

if TYPE_CHECKING:
    from model.boat import Boat
    from model.layout.records import FixturePlan, Layout

SET_OVER = 25.0
"""A seat whose middle is this near to a pedestal's, mm, is set on it."""

MOVED_WHOLE = ("locker", "console", "seat", "fixture", "bulkhead")
"""Kinds of things that the boat file places as one: their pieces are moved together."""


def group_of(name: str) -> str:
    """The thing of the boat file a piece belongs to: `deck.front` of `deck.front/rim.aft.1/post.2`."""
    return name.partition("/")[0]


def things_of(one: Body, other: Body) -> frozenset[str]:
    """What a pair of pieces is about, so that one cause is told once.

    Of a fitting or a lid against a deck that is the whole deck; of metal against metal or the hull it is the
    run of pieces alike: all ledgers of a deck against all ribs.
    """
    metal = all(body.kind in (*FIXED, *ON_HULL) for body in (one, other))
    return frozenset(thing_of(body, metal) for body in (one, other))


def thing_of(body: Body, metal: bool) -> str:
    """What one piece of a pair stands for; `metal` where both are welded metal or the hull's own."""
    name = body.name.removesuffix(f"/{ROOM}")
    if metal:
        return run_of(unit_of(name))
    return name if "/lid" in name else group_of(name)


def run_of(name: str) -> str:
    """The name without numbers and hands: `deck.sole/ledger` of `deck.sole/ledger.port.2`."""
    steps = [step.split(".") for step in name.split("/")]
    return "/".join(
        ".".join(word for word in step if not word.isdigit() and word not in ("port", "starboard"))
        for step in steps
    )


def unit_of(name: str) -> str:
    """What is moved as one: the whole locker, console or seat box; of a deck the single piece."""
    group = group_of(name)
    return group if group.partition(".")[0] in MOVED_WHOLE else name


class Contacts:
    """The contacts that a boat's records declare or imply."""

    def __init__(self, boat: Boat) -> None:
        """Reads joints, lids over lockers, and what stands on what."""
        self.joined = {
            frozenset((joint.member, joint.other)) for joint in boat.joints if joint.other is not None
        }
        self._told: dict[tuple[str, str], bool] = {}
        self.sheet_of = {f"{name}/sheet" for name in boat.layout.decks}
        self.under_lid = _lockers_by_lid(boat.layout)
        self.pedestals = {f.name: f.frame.origin[:2] for f in boat.fixtures if f.kind == "pedestal"}
        self.seats = {f.name: f.frame.origin[:2] for f in boat.fixtures if f.kind == "seat"}
        self.stands_on = {plan.name: _stood_on(plan, boat.layout) for plan in boat.layout.fixtures}

    @property
    def count(self) -> int:
        """How many of the pairs asked for belong together."""
        return sum(self._told.values())

    def __call__(self, one: Body, other: Body) -> bool:
        """`joined_together`, remembered."""
        key = (one.name, other.name)
        if key not in self._told:
            self._told[key] = self.joined_together(one, other)
        return self._told[key]

    def joined_together(self, one: Body, other: Body) -> bool:
        """Whether the two may touch by what the records say.

        That holds for members joined to each other or to the hull, for metal of one deck, locker or console,
        for a lid on its deck and over its locker, for a fitting on what it stands on, for a seat on its
        pedestal, and for the room of a fitting with the fitting itself and with what that stands on.
        """
        return self._declared(one.name, other.name) or self._built(one, other) or self._built(other, one)

    def _declared(self, one: str, other: str) -> bool:
        names = (self._joint_name(one), self._joint_name(other))
        return frozenset((one, names[1])) in self.joined or frozenset((names[0], other)) in self.joined

    def _joint_name(self, name: str) -> str:
        """A joint on a deck's sheet names the sheet, in however many pieces it is cut."""
        whole, _, number = name.rpartition(".")
        return whole if number.isdigit() and whole in self.sheet_of else name

    def _built(self, one: Body, other: Body) -> bool:
        if one.kind in FIXED and other.kind in FIXED:
            return group_of(one.name) == group_of(other.name)
        if one.kind == "lid":
            return group_of(other.name) in (group_of(one.name), self.under_lid.get(one.name))
        if one.kind == ROOM:
            return self._in_room(one.name.removesuffix(f"/{ROOM}"), other)
        return self._stands(one.name, other) or self._sits_on(one.name, other.name)

    def _sits_on(self, seat: str, pedestal: str) -> bool:
        """Whether a seat is set over a pedestal."""
        if seat not in self.seats or pedestal not in self.pedestals:
            return False
        return bool(np.abs(self.seats[seat] - self.pedestals[pedestal]).max() < SET_OVER)

    def _in_room(self, fitting: str, other: Body) -> bool:
        """Whether `other` is the fitting itself, or what it stands on or hangs in."""
        own = other.name == fitting or self._stands(fitting, other)
        return own or (fitting.endswith("/lid") and group_of(other.name) == group_of(fitting))

    def _stands(self, fitting: str, other: Body) -> bool:
        on = self.stands_on.get(fitting)
        if on is None:
            return False
        return other.kind in ON_HULL if on == "hull" else group_of(other.name) == on


def _lockers_by_lid(layout: Layout) -> dict[str, str]:
    """The locker that hangs in or under the opening of each lid."""
    return {f"{locker.opening}/lid": name for name, locker in layout.lockers.items() if locker.opening}


def _stood_on(plan: FixturePlan, layout: Layout) -> str | None:
    """The group of what a fitting stands on: a deck (or a lid of it), a locker, or `hull`."""
    if plan.on == "hull":
        return "hull"
    hand = plan.name.rpartition(".")[2]
    for key, opening in ((k, o) for k, d in layout.decks.items() for o in (None, *d.openings)):
        deck = layout.decks[key]
        short = [key.partition(".")[2], deck.base]
        if opening is not None:
            own = [opening.name.rpartition("/")[2], opening.base]
            short = [f"{d}.{o}" for d in short for o in own]
        on_hand = {deck.hand, opening.hand if opening else None} - {None}
        if plan.on == short[0] or (plan.on in short and on_hand <= {hand}):
            return key
    for wanted in (f"locker.{plan.on}", f"locker.{plan.on}.{hand}"):
        if wanted in layout.lockers:
            return wanted if layout.lockers[wanted].floor is not None else "hull"
    return None
