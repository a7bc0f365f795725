"""What wells and boxes hold, against the CAD kernel and by hand."""

import numpy as np
import pytest
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakePolygon
from OCP.BRepOffsetAPI import BRepOffsetAPI_ThruSections
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
from OCP.gp import gp_Pnt

from model.geometry import Frame
from model.prism import Prism
from model.prism_solid import prism_solid
from model.water.wells import GALLON, LITRE, holds, inside_of, volume_told
from tests.model.boats import BOTTOM, FLARE, FLARED, build, demo
from tests.model.kernel_measure import volume_and_centre
from tests.model.water.small_boats import well_boat


def below(shape, height):
    """The part of a kernel solid below a height."""
    box = BRepPrimAPI_MakeBox(gp_Pnt(-1e4, -1e4, -1e4), gp_Pnt(1e4, 1e4, height)).Shape()
    return BRepAlgoAPI_Common(shape, box).Shape()


def floor_edge(boat, shell):
    """The edge of a floor as the panel is drawn, `(n, 3)`."""
    panel = next(p for p in boat.panels if p.name == f"{shell}/floor")
    return panel.frame.to_boat(panel.outline.polyline(0.01))


def ruled_solid(boat, shell, along_hull, flat):
    """The kernel's solid between a strip along the hull and the upright wall at y = `flat`."""
    strip = next(s for s in boat.strips if s.name == f"{shell}/wall.{along_hull}")
    low, top = strip.edge_a, strip.edge_b
    if low[:, 2].mean() > top[:, 2].mean():
        low, top = top, low
    maker = BRepOffsetAPI_ThruSections(True, True)
    for edge in (low, top):
        ring = BRepBuilderAPI_MakePolygon()
        back = edge[[-1, 0]] * [1.0, 0.0, 1.0] + [0.0, flat, 0.0]
        for x, y, z in (*edge.tolist(), *back.tolist()):
            ring.Add(gp_Pnt(x, y, z))
        ring.Close()
        maker.AddWire(ring.Wire())
    return maker.Shape()


def test_an_upright_well_holds_its_prism():
    boat = demo("lake16")
    locker = boat.layout.lockers["locker.livewell"]
    edge = floor_edge(boat, locker.name)
    from parts.outline import Loop

    solid = prism_solid(Prism(Frame.level(0.0), Loop.polygon(edge[:, :2]), (), locker.floor, locker.top))
    inside = inside_of(boat, locker)
    assert inside.exact
    for height in (locker.floor + 60.0, locker.floor + 211.5, locker.top):
        wanted, _ = volume_and_centre(below(solid, height))
        assert inside.volume(height) == pytest.approx(wanted, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "locker", "side"),
    [("lake16", "ice", "starboard"), ("vee18", "ice.port", "port"), ("vee18", "ice.starboard", "starboard"),
     ("flat14", "guns", "starboard")],
)  # fmt: skip
def test_a_box_along_the_hull_holds_what_the_kernel_says(name, locker, side):
    boat = demo(name)
    plan = boat.layout.lockers[f"locker.{locker}"]
    inside = inside_of(boat, plan)
    shell = f"{plan.name}/liner" if plan.insulation else plan.name
    edge = floor_edge(boat, shell)
    flat = float(edge[:, 1].min() if side == "port" else edge[:, 1].max())
    solid = ruled_solid(boat, shell, side, flat)
    assert inside.exact
    for share in (0.25, 0.6, 1.0):
        height = inside.floor + share * (inside.rim - inside.floor)
        wanted, _ = volume_and_centre(below(solid, height))
        assert inside.volume(height) == pytest.approx(abs(wanted), rel=1e-3)


def test_a_tapered_box_by_hand():
    # a locker across the flared boat: half-breadth at z is BOTTOM + FLARE z, less the gap square to the skin
    deck = {"height": 300, "aft": 200, "forward": 2800}
    locker = {"kind": "box", "under": "main", "aft": 1000, "forward": 1500, "port": "hull", "starboard": 0}
    boat = build(hull=FLARED, decks={"main": deck}, lockers={"box": {**locker, "floor": 50}})
    plan = boat.layout.lockers["locker.box"]
    inside = inside_of(boat, plan)
    gap = plan.hull_gap * np.hypot(1.0, FLARE)
    mean = BOTTOM - gap + FLARE * (50.0 + plan.top) / 2.0
    assert inside.volume(plan.top) == pytest.approx(500.0 * mean * (plan.top - 50.0), rel=1e-3)
    # by levels, as for boxes that no ruling tells, the same
    from dataclasses import replace

    assert replace(inside, exact=False).volume(plan.top) == pytest.approx(inside.volume(plan.top), rel=1e-3)


def test_an_insulated_box_is_measured_inside():
    whole = well_boat(kind="box")
    lined = well_boat(kind="box", locker={"insulation": 20})
    found, inside = (holds(boat)[0] for boat in (whole, lined))
    sheet = 2.0
    assert found.to_rim == pytest.approx(400.0 * 300.0 * (found.rim - 100.0))
    assert inside.to_rim == pytest.approx(360.0 * 260.0 * (found.rim - 120.0))
    assert found.rim == pytest.approx(300.0 - sheet)


def test_overflow_and_gallons():
    boat = well_boat(kind="well", locker={"overflow": 250})
    found = holds(boat)[0]
    assert found.overflow == 250.0
    assert found.to_overflow == pytest.approx(400.0 * 300.0 * 150.0)
    assert "18.0 litres to its overflow" in found.told("mm")
    # 231 cubic inches (NIST Handbook 44, Appendix C)
    assert pytest.approx(231.0 * 25.4**3) == GALLON
    assert volume_told(3.785411784, "in") == "3.79 litres (1.00 US gal)"
    assert LITRE == 1e6


def test_a_box_over_the_bare_bottom():
    # without a floor the bottom of the boat is its floor: measured by levels
    locker = {"kind": "box", "under": "main.hole", "floor": "hull"}
    boat = well_boat(locker=locker)
    found = holds(boat)[0]
    assert not found.exact
    assert found.floor == pytest.approx(0.0)
    assert found.to_rim == pytest.approx(400.0 * 300.0 * found.rim, rel=1e-3)
