"""Masses and centres of a whole boat, held against the CAD kernel's solids of the same pieces."""

import numpy as np
import pytest

from cutlists.step_solids import _solid
from model.hull_solid import sheet_solid
from model.mass.skin import DENSITY, EXTRAS, skin_estimate
from model.mass.weigh import MAT_DENSITY, piece_lumps, weigh
from model.mat.build import mat_of
from tests.model.boats import build, demo
from tests.model.hull_samples import box
from tests.model.hull_samples import demo as demo_hull
from tests.model.kernel_measure import volume_and_centre


@pytest.mark.parametrize("name", ["lake16", "flat14"])
def test_centres_are_those_of_the_kernels_solids(name):
    boat = demo(name)
    lumps = {lump.name: lump for lump in piece_lumps(boat)}
    mass, ours, kernels = 0.0, np.zeros(3), np.zeros(3)
    for piece in (*boat.members, *boat.panels, *boat.strips, *boat.fixtures):
        lump = lumps[piece.name]
        volume, centre = volume_and_centre(_solid(piece))
        # 0.1 mm: strips are bent sheet, faceted here and curved there
        assert lump.centre == pytest.approx(centre, abs=0.1), piece.name
        if piece in boat.members:
            assert lump.mass == pytest.approx(volume * 1e-9 * piece.section.alloy.density, rel=1e-6)
        mass += lump.mass
        ours += lump.mass * lump.centre
        kernels += lump.mass * centre
    assert ours / mass == pytest.approx(kernels / mass, abs=0.01)


def test_groups_add_up_and_the_refit_is_the_difference():
    weights = weigh(demo("lake16"))
    assert sum(group.mass for group in weights.groups.values()) == pytest.approx(weights.after.mass)
    moment = sum(group.mass * group.centre for group in weights.groups.values())
    assert moment / weights.after.mass == pytest.approx(weights.after.centre)
    # hull and what was aboard before; the rest of what is aboard, the pieces, less what is taken out
    new = sum(lump.mass for lump in weights.aboard) - sum(lump.mass for lump in weights.kept)
    gone = sum(lump.mass for lump in weights.removed)
    assert weights.after.mass - weights.before.mass == pytest.approx(weights.refit.mass + new - gone)


def test_the_scales_of_the_demo_boat_by_hand():
    # readings less trailer: 318 lb at 30 in, 82 lb at 200 in
    weights = weigh(demo("lake16"))
    assert weights.hull.mass == pytest.approx(400 * 0.45359237)
    assert weights.hull.centre[0] == pytest.approx((318 * 30 + 82 * 200) / 400 * 25.4)
    # two scales in a line tell neither height nor list: those are the skin's
    assert weights.hull.centre[1:] == pytest.approx(skin_estimate(demo("lake16").hull).centre[1:])


def test_mat_by_area_is_near_the_mat_as_it_is_cut():
    # gaps, reveals and grooves make it less; 25 % of some 6 kg is nothing in a boat
    boat = demo("lake16")
    told = sum(lump.mass for lump in piece_lumps(boat) if lump.group == "mat")
    cut = mat_of(boat, boat.mat).area * boat.mat.thickness * MAT_DENSITY * 1e-9
    assert cut < told < 1.25 * cut


@pytest.mark.parametrize("name", ["flat14", "vee18"])
def test_a_skins_mass_is_that_of_the_kernels_sheet(name):
    hull = demo_hull(name)
    bare = skin_estimate(hull)
    if hull.ribs or hull.stringers:
        pytest.fail("the samples have bare skins")
    volume, centre = volume_and_centre(sheet_solid(hull))
    # corners: the kernel's sheet is mitred in space, ours section by section
    assert bare.mass / EXTRAS == pytest.approx(volume * 1e-9 * DENSITY, rel=5e-3)
    assert bare.centre == pytest.approx(centre, abs=3.0)


def test_a_hull_without_thickness_weighs_nothing_and_says_where_its_middle_is():
    found = skin_estimate(box(3000.0, 1200.0, 500.0))
    assert found.mass == 0.0
    assert found.centre[0] == pytest.approx(1500.0)


def test_a_boat_without_weights_is_told_as_an_estimate():
    weights = weigh(build(decks={"sole": {"height": 100, "aft": 200, "forward": 2800}}))
    assert weights.is_estimate
    # the box of the samples: 3 m x 1.2 m x 0.5 m of 2 mm sheet, five sides; outside corners add a little
    metal = (3.0 * 1.2 + 2 * 3.0 * 0.5 + 2 * 1.2 * 0.5) * 0.002 * DENSITY
    assert weights.hull.mass == pytest.approx(EXTRAS * metal, rel=0.01)
