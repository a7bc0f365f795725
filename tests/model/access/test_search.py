"""Ways found among plates: against published criteria for slots and corners, and the kernel at many poses."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest

from model.access.aim import Aim, Held, held_axes
from model.access.box import Swept, Triangles
from model.access.path import Way, tightest
from model.access.search import FINE, Fineness, find_way, straight_out
from model.clearance.motion import Slide, Turn
from model.clearance.solid import Solid
from model.geometry import Array, Frame
from model.prism import Prism
from parts.outline import Loop
from tests.model.access.carver import passes_rectangle

TOP = 1000.0


@dataclass(frozen=True)
class Towards:
    """Leads to a point by the straight distance, as if nothing were in the way."""

    point: Array

    def to_go(self, point: Array) -> float:
        return float(np.linalg.norm(point - self.point))

    def turns_to_go(self, held: Held) -> float:
        del held
        return 0.0

    def may_rise(self, point: Array) -> bool:
        return self.to_go(point) <= 40.0


@dataclass(frozen=True)
class Through(Towards):
    """The same, the box to be held so that it fits an opening."""

    aim: Aim

    def turns_to_go(self, held: Held) -> float:
        return self.aim.turns_to_go(held)


def slab(outline: Loop, z0: float, z1: float, *holes: Loop) -> Prism:
    return Prism(Frame.level(0.0), outline, holes, z0, z1)


def in_the_way(prisms: list[Prism]) -> Triangles:
    corners = np.concatenate([prism.mesh().triangles for prism in prisms])
    return Triangles.of(corners, np.full(len(corners), 0.01), np.zeros(len(corners)))


def box(sides: tuple[float, float, float], middle: tuple[float, float, float]) -> Swept:
    return Swept(np.array(middle), np.diag(sides) / 2.0)


def below_a_slot(
    sides: tuple[float, float, float], slot: tuple[float, float], fineness: Fineness = FINE
) -> Way | None:
    """A way up for a box deep under a thin deck with a slot, there being room to turn it."""
    deck = slab(Loop.rectangle(2000.0, 2000.0), 600.0, 602.0, Loop.rectangle(*slot))
    rest = box(sides, (0.0, 0.0, 0.0))
    frame = Frame.level(602.0)
    opening = Loop.rectangle(*slot).to_shapely()
    goal = Through(np.array([0.0, 0.0, 700.0]), Aim(frame, opening, rest, 0.02, fineness.turn))
    return find_way(rest, in_the_way([deck]), TOP, goal, fineness)


@pytest.mark.parametrize(
    ("sides", "slot"),
    [
        ((150.0, 80.0, 200.0), (160.0, 90.0)),  # straight up
        ((80.0, 150.0, 200.0), (160.0, 90.0)),  # turned a quarter
        ((200.0, 80.0, 150.0), (160.0, 90.0)),  # stood on end
        ((20.0, 195.0, 30.0), (150.0, 150.0)),  # lengthwise
        ((195.0, 20.0, 300.0), (155.0, 155.0)),  # across the corners: (195 + 20) / sqrt 2 = 152.03
        ((195.0, 25.0, 300.0), (155.0, 155.0)),  # (195 + 25) / sqrt 2 = 155.56, and no other face is less
        ((170.0, 91.0, 200.0), (160.0, 90.0)),  # its least face is too wide
    ],
)
def test_a_box_passes_a_slot_just_when_its_least_face_does(
    sides: tuple[float, float, float], slot: tuple[float, float]
) -> None:
    """By Carver's criterion for its least face; turns by 7.5 degrees here hit the best one."""
    a, b, _ = sorted(sides)
    found = below_a_slot(sides, slot, Fineness(24.0, math.radians(7.5), 1500))
    assert (found is not None) == passes_rectangle(a, b, *slot)


def corner(width: float, height: float) -> list[Prism]:
    """A passage along x as far as the origin, then along y, under a roof but for its second arm's end."""
    arm, thick = 900.0, 10.0
    w = width
    walls = [
        [(-arm, -thick), (w + thick, -thick), (w + thick, 0.0), (-arm, 0.0)],
        [(w, 0.0), (w + thick, 0.0), (w + thick, arm), (w, arm)],
        [(-arm, w), (-thick, w), (-thick, w + thick), (-arm, w + thick)],
        [(-thick, w), (0.0, w), (0.0, arm), (-thick, arm)],
        [(-arm - thick, 0.0), (-arm, 0.0), (-arm, w), (-arm - thick, w)],
        [(0.0, arm), (w, arm), (w, arm + thick), (0.0, arm + thick)],
    ]
    floor = [(-arm, -thick), (w + thick, -thick), (w + thick, arm), (-arm, arm)]
    roof = [(-arm, -thick), (w + thick, -thick), (w + thick, w + 40.0), (-arm, w + 40.0)]
    found = [slab(Loop.polygon(np.array(wall)), 0.0, height) for wall in walls]
    found.append(slab(Loop.polygon(np.array(floor)), -10.0, -0.5))
    found.append(slab(Loop.polygon(np.array(roof)), height + 0.5, height + 10.0))
    return found


@pytest.mark.parametrize(("share", "fits"), [(0.85, True), (1.04, False)])
def test_a_rectangle_gets_round_a_corner_up_to_the_length_it_can_have(share: float, fits: bool) -> None:
    """Level, a rectangle of breadth t gets round a corner of width w up to a length of 2 (sqrt 2 w - t).

    At 45 degrees one long side touches the inner corner while both ends of the other touch the outer walls.
    With t = 0 that is the ladder's (w^(2/3) + w^(2/3))^(3/2).
    """
    width, thick = 200.0, 30.0
    assert 2.0 * math.sqrt(2.0) * width == pytest.approx((2.0 * width ** (2 / 3)) ** 1.5)
    longest = 2.0 * (math.sqrt(2.0) * width - thick)
    length = share * longest
    rest = box((length, thick, 56.0), (-length / 2.0 - 60.0, width / 2.0, 30.0))

    class Round(Towards):
        def to_go(self, point: Array) -> float:
            """Along the first arm, then along the second."""
            return float(np.linalg.norm(self.point - point)) if point[0] > 40.0 else 1e3 - float(point[0])

    goal = Round(np.array([width / 2.0, 600.0, 30.0]))
    found = find_way(
        rest, in_the_way(corner(width, 60.0)), TOP, goal, Fineness(20.0, math.radians(7.5), 3500)
    )
    assert (found is not None) == fits


def kernel_shared(way: Way, prisms: list[Prism], poses: int) -> float:
    """Greatest volume, mm3, that the kernel finds in both the box and a plate at poses along a way."""
    import cadquery as cq

    from model.prism_solid import prism_solid

    plates = cq.Workplane(
        obj=cq.Compound.makeCompound([cq.Shape.cast(prism_solid(prism)) for prism in prisms])
    )
    worst = 0.0
    for share in np.linspace(0.0, 1.0, poses):
        pose = way.at(float(share))
        here = way.rest.posed(pose.matrix, pose.offset)
        half = np.sqrt((here.edges**2).sum(axis=1))
        axes = here.edges / half[:, None]
        plane = cq.Plane(tuple(here.centre), tuple(axes[0]), tuple(axes[2]))
        body = cq.Workplane(plane).box(*(2.0 * half))
        worst = max(worst, body.intersect(plates).val().Volume())
    return worst


def test_the_kernel_finds_nothing_shared_on_the_way() -> None:
    """A box that has to be tilted and stood on end, at 25 poses; and one pushed 8 mm aside is in the deck."""
    deck = slab(Loop.rectangle(2000.0, 2000.0), 600.0, 602.0, Loop.rectangle(160.0, 90.0))
    way = below_a_slot((200.0, 80.0, 150.0), (160.0, 90.0), Fineness(24.0, math.radians(15.0), 1500))
    assert way is not None
    assert any(isinstance(motion, Turn) for motion in way.motions)
    assert kernel_shared(way, [deck], 25) < 1e-6
    aside = Way(way.rest.moved(np.array([0.0, 8.0, 0.0])), tuple(_aside(way)))
    assert kernel_shared(aside, [deck], 25) > 1.0


def _aside(way: Way) -> list[Slide | Turn]:
    """The motions of a way that begins 8 mm further to port."""
    found: list[Slide | Turn] = []
    for motion in way.motions:
        assert isinstance(motion, Slide | Turn)
        shift = np.array([0.0, 8.0, 0.0])
        found.append(
            motion if isinstance(motion, Slide) else Turn(motion.point + shift, motion.axis, motion.limit)
        )
    return found


def test_tightest_place_of_a_slide_and_of_a_turn() -> None:
    """A box slid past a post 7 mm off, and one turned beside it: its corner reaches sqrt(40^2 + 20^2)."""
    post = Solid.of_mesh(
        Prism(Frame.level(0.0), Loop.rectangle(10.0, 10.0, centre=(200.0, 52.0)), (), -50, 50).mesh()
    )
    slid = Way(box((80.0, 80.0, 40.0), (0.0, 0.0, 0.0)), (Slide(np.array([1.0, 0.0, 0.0]), 400.0),))
    found = tightest(slid, [post])
    assert found is not None
    assert found.gap == pytest.approx(7.0, abs=1e-6)
    near = Solid.of_mesh(
        Prism(Frame.level(0.0), Loop.rectangle(10.0, 10.0, centre=(0.0, 52.0)), (), -50, 50).mesh()
    )
    turn = Turn(np.zeros(3), np.array([0.0, 0.0, 1.0]), math.pi / 2.0)
    turned = Way(box((80.0, 40.0, 40.0), (0.0, 0.0, 0.0)), (turn,))
    tight = tightest(turned, [near])
    assert tight is not None
    assert tight.gap == pytest.approx(47.0 - math.hypot(40.0, 20.0), abs=0.25)
    assert tightest(slid, [near.of_mesh(near.mesh.transformed(np.eye(3), (0.0, 900.0, 0.0)))]) is None


def test_a_way_is_played_from_rest_to_its_end() -> None:
    way = below_a_slot((80.0, 150.0, 200.0), (160.0, 90.0), Fineness(24.0, math.radians(15.0), 1500))
    assert way is not None
    first, last = way.at(0.0), way.at(1.0)
    assert np.allclose(first.matrix, np.eye(3))
    assert np.allclose(first.offset, 0.0)
    assert np.allclose(last.matrix, way.poses[-1].matrix)
    assert np.allclose(last.offset, way.poses[-1].offset)
    steps = [way.at(float(s)) for s in np.linspace(0.0, 1.0, 400)]
    corners = np.array([way.rest.corners @ p.matrix.T + p.offset for p in steps])
    assert np.sqrt((np.diff(corners, axis=0) ** 2).sum(axis=2)).max() < 2.0 * sum(way.lengths) / 399
    assert corners[-1, :, 2].min() >= TOP - 1e-6
    assert len(way.told()) == len(way.motions)


def test_straight_out_is_blocked_by_a_wire() -> None:
    wire = slab(Loop.rectangle(1.0, 300.0), 500.0, 501.0)
    rest = box((100.0, 100.0, 100.0), (0.0, 0.0, 0.0))
    assert straight_out(rest, in_the_way([wire]), TOP) is None
    aside = straight_out(rest.moved(np.array([51.0, 0.0, 0.0])), in_the_way([wire]), TOP)
    assert aside is not None
    assert aside.limit == pytest.approx(TOP + 50.0)


def test_holds_of_an_aim_are_turns_of_the_boxs_own_axes() -> None:
    axes = held_axes(np.eye(3), (2, 0, 0), math.radians(45.0))
    assert np.allclose(axes, [[0, 1, 0], [-1, 0, 0], [0, 0, 1]])
    tilted = held_axes(np.eye(3), (0, 2, 0), math.radians(45.0))
    assert np.allclose(tilted[0], [1, 0, 0])
    assert np.allclose(np.abs(tilted[1]), [0, 0, 1])
    aim = Aim(
        Frame.level(0.0),
        Loop.rectangle(160.0, 90.0).to_shapely(),
        box((80.0, 150.0, 200.0), (0, 0, 0)),
        0.0,
        math.pi / 2,
    )
    assert aim.turns_to_go((1, 0, 0)) == 0.0
    assert aim.turns_to_go((0, 0, 0)) == 1.0
    assert not aim.is_hopeless
