"""The bars of a deck's frame as members in the boat, with the joints in which they end."""

from __future__ import annotations

from weakref import WeakKeyDictionary

from model.layout.records import DeckPlan
from model.member import Member
from model.skeleton.bar_members import member_of
from model.skeleton.bench import DeckFrame
from model.skeleton.joint_gap import measured
from model.skeleton.records import Joint

Made = tuple[tuple[Member, ...], tuple[Joint, ...]]


def deck_members(frame: DeckFrame) -> Made:
    """Members and joints of a deck's frame; its bars follow from its plan, so they are made once for it."""
    if frame.deck not in _MADE:
        _MADE[frame.deck] = _made(frame)
    return _MADE[frame.deck]


_MADE: WeakKeyDictionary[DeckPlan, Made] = WeakKeyDictionary()


def _made(frame: DeckFrame) -> Made:
    deck = frame.deck
    members: dict[str, Member] = {}
    joints: list[Joint] = []
    for bar in frame.bars.values():
        member = member_of(bar, deck.frame, -deck.sheet.thickness)
        members[bar.name] = member
        axis = member.axis
        for end, cut, plane, start in (
            ("A", bar.cut_p, member.end_a, member.a),
            ("B", bar.cut_q, member.end_b, member.b),
        ):
            travel = float(plane.height(start)) / float(plane.normal @ axis)
            joints.append(Joint(cut.kind, bar.name, end, cut.meets, start - travel * axis, 0.0, 0.0))
    return tuple(members.values()), tuple(measured(joint, members) for joint in joints)
