"""The stiffness of the skeleton, assembled by PyNite from the network, and what a member's ends feel.

PyNite makes the members' matrices and puts them together; the factorisation is scipy's, once for all loads,
since a person is tried in a thousand places.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from scipy import sparse

from model.geometry import Array
from model.member import Member
from model.strength.network import Ids, Network
from parts.section import Section

if TYPE_CHECKING:
    from Pynite import FEModel3D

COMBO = "all"
STIFFER = 200.0
"""By how much a stub between two axes is stiffer than the stoutest member: as good as rigid."""


@dataclass(frozen=True, eq=False)
class Elements:
    """The pieces of members between nodes.

    Attributes:
        member: number of the member of each, `(n,)`.
        ends: node numbers, `(n, 2)`.
        step: number of the piece along its member, `(n,)`.
        recover: `(n, 12, 12)`: end forces in the section's principal axes from the movement of the two nodes
            in the boat, N and Nmm; PyNite's order: force x, y, z, moment x, y, z at end i, then at j.
    """

    member: Ids
    ends: Ids
    step: Ids
    recover: Array


@dataclass(frozen=True, eq=False)
class Stiffness:
    """The whole skeleton before it is held anywhere.

    Attributes:
        model: as PyNite holds it.
        matrix: `(6 n, 6 n)`, N and mm and rad, the nodes in the order of the network.
        elements: of the members; stubs are not among them.
    """

    model: FEModel3D
    matrix: sparse.csr_matrix
    elements: Elements


def principal_axes(member: Member) -> tuple[Array, Array, float, float]:
    """Unit vectors y and z of the section's principal axes in the boat, and second moments about them, mm4.

    y is the axis about which the greater moment acts unless the section's own axes are principal already.
    """
    section, frame = member.section, member.frame
    if abs(section.iyz) <= 1e-6 * max(section.iy, section.iz):
        return frame.y, frame.z, section.iy, section.iz
    most, least, (along, up) = section.principal
    y = along * frame.y + up * frame.z
    z = along * frame.z - up * frame.y
    return y, z, most, least


def assemble(net: Network) -> Stiffness:
    """PyNite's model of a network and its stiffness."""
    model = frame_model(net)
    pieces = [(k, i) for k, line in enumerate(net.lines) for i in range(len(line.at) - 1)]
    recover = np.zeros((len(pieces), 12, 12))
    for n, (k, i) in enumerate(pieces):
        piece = model.members[_name(k, i)]
        recover[n] = piece.ke() @ piece.T()
    ends = [net.lines[k].nodes[i : i + 2] for k, i in pieces]
    elements = Elements(
        np.array([k for k, _ in pieces], dtype=np.int64),
        np.array(ends, dtype=np.int64).reshape(-1, 2),
        np.array([i for _, i in pieces], dtype=np.int64),
        recover,
    )
    matrix = model.Ke(COMBO, check_stability=False, sparse=True).tocsr()
    return Stiffness(model, matrix, elements)


def frame_model(net: Network) -> FEModel3D:
    """The network as a PyNite model with its supports, nodes `N0` ... in order, ready to be loaded."""
    from Pynite import FEModel3D

    model = FEModel3D()
    for n, (x, y, z) in enumerate(net.points.tolist()):
        model.add_node(f"N{n}", x, y, z)
        model.nodes[f"N{n}"].ID = n
    for node in net.supports:
        model.def_support(f"N{node}", True, True, True, False, False, False)
    for k, member in enumerate(net.members):
        _add_member(model, k, member, net)
    if len(net.stubs):
        _add_stubs(model, net)
    model.add_load_combo(COMBO, {"Case 1": 1.0})
    for piece in model.members.values():
        # The pieces end at every node there is: PyNite need not look for nodes along them.
        piece.active = {COMBO: True}
        piece.sub_members = {piece.name: piece}
    return model


def _name(member: int, piece: int) -> str:
    return f"M{member}.{piece}"


def _add_member(model: FEModel3D, k: int, member: Member, net: Network) -> None:
    section = _section(model, member.section)
    y, _, _, _ = principal_axes(member)
    line, turn = net.lines[k], None
    for i in range(len(line.at) - 1):
        ends = [f"N{line.nodes[i]}", f"N{line.nodes[i + 1]}"]
        if turn is None:
            turn = _turn(model, _name(k, i), ends, member.section.alloy.name, section, y)
        model.add_member(_name(k, i), *ends, member.section.alloy.name, section, rotation=turn)


def _turn(model: FEModel3D, name: str, ends: list[str], alloy: str, section: str, y: Array) -> float:
    """By how many degrees PyNite's own axes are to be turned about the member for its y to be ours."""
    model.add_member(name, *ends, alloy, section)
    _, own_y, own_z = model.members[name].T()[:3, :3]
    model.delete_member(name)
    return math.degrees(math.atan2(float(y @ own_z), float(y @ own_y)))


def _section(model: FEModel3D, section: Section) -> str:
    """The section and its alloy, known to the model by name; sections of one name are one."""
    alloy = section.alloy
    if alloy.name not in model.materials:
        poisson = alloy.e / (2 * alloy.g) - 1
        model.add_material(alloy.name, alloy.e, alloy.g, poisson, alloy.density * 1e-9)
    name = f"{section.name} {id(section)}"
    if name not in model.sections:
        straight = abs(section.iyz) <= 1e-6 * max(section.iy, section.iz)
        about_y, about_z = (section.iy, section.iz) if straight else section.principal[:2]
        model.add_section(name, section.area, about_y, about_z, section.torsion)
    return name


def _add_stubs(model: FEModel3D, net: Network) -> None:
    stout: Any = max((m.section for m in net.members), key=lambda s: s.iy + s.iz)
    inertia = STIFFER * max(stout.iy, stout.iz)
    model.add_section("stub", STIFFER * stout.area, inertia, inertia, inertia)
    alloy = next(iter(model.materials))
    for n, (i, j) in enumerate(net.stubs.tolist()):
        model.add_member(f"S{n}", f"N{i}", f"N{j}", alloy, "stub")
