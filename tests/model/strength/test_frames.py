"""The frame against closed forms of beams, portals and grillages, and against PyNite's own analysis."""

import numpy as np
import pytest

from model.strength.stiffness import COMBO, assemble, frame_model
from parts.catalogue import starter
from tests.model.strength.frames import SETTINGS, TUBE, beam, joint, member, node_at, pressed, solved, traced

E = TUBE.alloy.e
SPAN, FORCE = 1200.0, 800.0


def end_forces(net, stiff, part, moved, name):
    """End forces of every piece of a member, `(pieces, 12)`, in its own axes."""
    k = next(k for k, m in enumerate(net.members) if m.name == name)
    rows = np.flatnonzero(stiff.elements.member == k)
    place = np.full(len(net.points), -1)
    place[part.nodes] = np.arange(len(part.nodes))
    dofs = (6 * place[stiff.elements.ends[rows]][:, :, None] + np.arange(6)).reshape(len(rows), 12)
    return (stiff.elements.recover[rows] @ moved[dofs][..., None])[..., 0]


def test_a_simple_beam_under_a_central_load():
    # P L^3 / 48 E I and P L / 4: engineeringtoolbox.com/beam-stress-deflection-d_1312.html
    net = traced(*beam(SPAN))
    stiff, part = solved(net)
    sag, moved = pressed(net, part, (SPAN / 2, 0, 0), FORCE)
    assert sag == pytest.approx(FORCE * SPAN**3 / (48 * E * TUBE.iy), rel=1e-6)
    moments = end_forces(net, stiff, part, moved, "beam")[:, [4, 10]]
    assert np.abs(moments).max() == pytest.approx(FORCE * SPAN / 4, rel=1e-6)


def test_a_simple_beam_under_a_load_at_a_third():
    # P a^2 b^2 / (3 E I L) and P a b / L: eurocode.us/elasticity, beam diagrams
    net = traced(*beam(SPAN))
    stiff, part = solved(net)
    x = net.points[node_at(net, (SPAN / 3, 0, 0)), 0]
    a, b = x, SPAN - x
    sag, moved = pressed(net, part, (x, 0, 0), FORCE)
    assert sag == pytest.approx(FORCE * a * a * b * b / (3 * E * TUBE.iy * SPAN), rel=1e-6)
    moments = end_forces(net, stiff, part, moved, "beam")[:, [4, 10]]
    assert np.abs(moments).max() == pytest.approx(FORCE * a * b / SPAN, rel=1e-6)


def test_a_tube_rolled_on_its_side_bends_about_its_weak_axis():
    own, joints = beam(SPAN)
    flat = member("beam", (0, 0, 0), (SPAN, 0, 0), up=(0, 1, 0))
    net = traced([flat, own[1]], joints)
    _, part = solved(net)
    sag, _ = pressed(net, part, (SPAN / 2, 0, 0), FORCE)
    assert sag == pytest.approx(FORCE * SPAN**3 / (48 * E * TUBE.iz), rel=1e-6)


def test_an_angle_that_sticks_out_goes_aside_under_a_load():
    # Unsymmetrical bending: uz = F L^3 / 3 E Iz / (Iy Iz - Iyz^2), uy the same with -Iyz for Iz
    # (Timoshenko, Strength of Materials, part 1; from memory).
    angle = next(s for s in starter().sections.values() if s.kind == "angle")
    own, length = member("angle", (0, 0, 0), (80, 0, 0), angle), 80.0
    matrix = assemble(traced([own], [])).matrix.toarray()
    moved = np.linalg.solve(matrix[6:, 6:], [0, 0, 1.0, 0, 0, 0])
    scale = length**3 / (3 * angle.alloy.e * (angle.iy * angle.iz - angle.iyz**2))
    assert moved[2] == pytest.approx(scale * angle.iz, rel=1e-6)
    assert moved[:3] @ own.frame.y == pytest.approx(-scale * angle.iyz, rel=1e-6)


def test_two_equal_spans_on_a_post_that_is_welded_on():
    # Slope deflection: held at B the load's end moment is 3 P L / 16; B turns until the two spans (3 E I / L
    # each) and the post (3 E I / h, its foot a hinge) balance it.
    half, h = 540.0, 300.0
    own, joints = beam(2 * half)
    post = member("post", (half, 0, -h), (half, 0, 0))
    joints += [joint("hull", post, "A"), joint("post", post, "B", "beam")]
    net = traced([*own, post], joints)
    stiff, part = solved(net)
    at = net.points[node_at(net, (half / 2, 0, 0)), 0]
    assert at == pytest.approx(half / 2, abs=1e-6)
    _, moved = pressed(net, part, (at, 0, 0), FORCE)
    forces = end_forces(net, stiff, part, moved, "beam")
    inertia = TUBE.iy if abs(post.frame.z[0]) > 0.9 else TUBE.iz
    fixed, span = 3 * FORCE * half / 16, 3 * E * TUBE.iy / half
    over_post = fixed - span * fixed / (2 * span + 3 * E * inertia / h)
    under_load = FORCE * half / 4 - over_post / 2
    ends = np.stack([net.lines[0].at[:-1], net.lines[0].at[1:]], axis=1)
    left_of_post = np.abs(ends[:, 1] - half) < 0.1
    assert abs(forces[left_of_post, 10][0]) == pytest.approx(over_post, rel=0.015)  # the post shortens
    assert abs(forces[np.abs(ends[:, 1] - at) < 0.1, 10][0]) == pytest.approx(under_load, rel=0.015)


def test_a_two_hinged_portal():
    # H = 3 P L / (8 h (2 k + 3)), k = Ib h / (Ic L), corner moment H h (Kleinlogel; from memory).
    h = 700.0
    left = member("left", (0, 0, 0), (0, 0, h))
    right = member("right", (SPAN, 0, 0), (SPAN, 0, h))
    top = member("top", (0, 0, h), (SPAN, 0, h))
    stays = [member(f"stay{x}", (x, 0, h), (x, 600, h)) for x in (0.0, SPAN)]
    joints = [
        joint("hull", left, "A"), joint("hull", right, "A"),
        joint("corner", left, "B", "top"), joint("corner", right, "B", "top"),
        joint("corner", top, "A", "left"), joint("corner", top, "B", "right"),
        *(joint("tee", stay, "A", "top") for stay in stays), *(joint("hull", stay, "B") for stay in stays),
    ]  # fmt: skip
    net = traced([left, right, top, *stays], joints)
    stiff, part = solved(net)
    _, moved = pressed(net, part, (SPAN / 2, 0, h), FORCE)
    inertia = TUBE.iy if abs(left.frame.z[0]) > 0.9 else TUBE.iz
    k = TUBE.iy * h / (inertia * SPAN)
    thrust = 3 * FORCE * SPAN / (8 * h * (2 * k + 3))
    forces = end_forces(net, stiff, part, moved, "top")
    assert abs(forces[0, 4]) == pytest.approx(thrust * h, rel=0.01)  # shortening of the legs is not in it
    assert abs(forces[0, 0]) == pytest.approx(thrust, rel=0.01)


def test_two_crossed_beams_share_a_load_by_their_stiffness():
    # At the crossing both sag alike: each carries in the ratio of I / L^3 (grillage, beam theory).
    thin = starter().sections["square-0.75x0.75x0.0625"]
    long, short = 1500.0, 1000.0
    first = member("long", (-long / 2, 0, 0), (long / 2, 0, 0), thin)
    w = thin.width / 2
    arms = [
        member("port", (0, w, 0), (0, short / 2, 0), thin),
        member("starboard", (0, -w, 0), (0, -short / 2, 0), thin),
    ]
    joints = [joint("hull", first, "A"), joint("hull", first, "B")]
    for arm in arms:
        joints += [joint("tee", arm, "A", "long"), joint("hull", arm, "B")]
    net = traced([first, *arms], joints)
    _, part = solved(net)
    sag, _ = pressed(net, part, (0, 0, 0), 100.0)
    stiff = sum(48 * E * thin.iy / span**3 for span in (long, short))
    assert sag == pytest.approx(100.0 / stiff, rel=0.06)  # the stub over half the tube's width is rigid


def test_pynite_by_itself_moves_the_same_frame_alike():
    """The factorisation is ours; PyNite's own assembly and solution of the same model are the judge."""
    h = 400.0
    top = member("top", (0, 0, h), (SPAN, 0, h))
    legs = [member(f"leg{x:.0f}", (x, 0, 0), (x, 0, h - 25.4)) for x in (200.0, 1000.0)]
    arm = member("arm", (500, 12.7, h), (500, 600, h))
    joints = [joint("hull", top, "A"), joint("hull", top, "B"), joint("hull", arm, "B")]
    joints += [joint("tee", arm, "A", "top")]
    for leg in legs:
        joints += [joint("hull", leg, "A"), joint("post", leg, "B", "top")]
    net = traced([top, *legs, arm], joints)
    _, part = solved(net)
    sag, _ = pressed(net, part, (600, 0, h), FORCE)
    model = frame_model(net)
    node = node_at(net, (600, 0, h))
    model.add_node_load(f"N{node}", "FZ", -FORCE, "Case 1")
    for piece in model.members.values():
        piece.sub_members = {}
    model.analyze_linear()
    assert -model.nodes[f"N{node}"].DZ[COMBO] == pytest.approx(sag, rel=1e-8)
    held = [model.nodes[f"N{n}"] for n in net.supports]
    assert sum(n.RxnFZ[COMBO] for n in held) == pytest.approx(FORCE, rel=1e-8)


def test_softened_zones_reach_an_inch_from_every_weld():
    post = member("post", (600, 0, -300), (600, 0, -25.4))
    own, joints = beam(SPAN)
    joints += [joint("hull", post, "A"), joint("post", post, "B", "beam")]
    net = traced([*own, post], joints)
    line = net.lines[0]
    reach = TUBE.height / 2 + SETTINGS.zone
    near = (np.abs(line.at - 600) <= reach) | (line.at <= reach) | (line.at >= SPAN - SETTINGS.zone)
    assert (line.soft == near).all()
