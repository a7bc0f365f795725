"""Small frames made by hand, whose answers stand in every handbook: members and joints without a boat."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from model.member import Member
from model.skeleton.records import Joint
from model.strength.network import Network, network
from model.strength.settings import StrengthSettings
from model.strength.solve import Part, parted
from model.strength.stiffness import Stiffness, assemble
from parts.catalogue import starter

SETTINGS = StrengthSettings(sheet_welded=False)
TUBE = starter().sections["rect-1x2x0.125"]


def member(name, a, b, section=TUBE, up=(0, 0, 1)):
    return Member.along(name, section, a, b, up=up if abs(b[2] - a[2]) < 1 else (1, 0, 0))


def joint(kind, own, end, other=None):
    """A joint at an end of a member's axis."""
    point = own.a if end == "A" else own.b
    return Joint(kind, own.name, end, other, np.array(point), 0.0, 0.0)


def traced(members, joints, settings=SETTINGS) -> Network:
    return network(SimpleNamespace(members=tuple(members), joints=tuple(joints)), settings)


def solved(net) -> tuple[Stiffness, Part]:
    """A frame that stands in one piece."""
    stiff = assemble(net)
    parts, unheld = parted(net, stiff.matrix, [])
    assert not unheld
    assert len(parts) == 1
    return stiff, parts[0]


def node_at(net, point) -> int:
    return int(np.argmin(np.linalg.norm(net.points - np.array(point), axis=1)))


def pressed(net, part, point, force):
    """How far a node goes down under a force on it, mm, and the movements of all nodes `(6 n,)`."""
    down = np.zeros((len(net.points), 1))
    down[node_at(net, point)] = force
    moved = part.moved(down)[:, 0]
    place = int(np.flatnonzero(part.nodes == node_at(net, point))[0])
    return -moved[6 * place + 2], moved


def beam(span, section=TUBE):
    """A beam along x on two pins, and an outrigger that only keeps it from rolling over."""
    own = member("beam", (0, 0, 0), (span, 0, 0), section)
    arm = member("rigger", (0, 0, 0), (0, 500, 0), TUBE)
    return [own, arm], [
        joint("hull", own, "A"),
        joint("hull", own, "B"),
        joint("tee", arm, "A", "beam"),
        joint("hull", arm, "B"),
    ]
