"""Pictures of findings: well-formed, with what they tell of, cut where trimesh cuts the same."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import shapely
import trimesh

from cutlists.findings.findings_json import findings_json
from cutlists.findings.paper import COLOURS
from cutlists.findings.pictures import file_name, finding_pictures, write_pictures
from cutlists.findings.section import best_cut
from cutlists.findings.solids import Drawn, concerned, drawn_solids
from cutlists.scene import Scene, scene_of
from model.boat import Boat
from model.checks.listed import CHECKS
from model.checks.run import Checked, run_checks
from model.findings import Finding, Shown
from model.geometry import Frame
from model.mesh import Mesh
from model.prism import Prism
from parts.outline import Loop
from tests.model.clearance.small_boat import punt

MORE = """
members:
  bar: {start: [200, 200, 500], end: [800, 200, 500], section: square-1x1x0.125}
fixtures:
  deep: {part: group-31, on: sole, at: [1200, 0]}
  shelf: {part: tackle-box, on: sole, at: [1600, 300], raise_by: 60}
bulkheads:
  middle: {at: 1650, top: 400, port: 560, starboard: -560}
"""
SVG = "{http://www.w3.org/2000/svg}"


@cache
def boat() -> Boat:
    return punt(MORE)


@cache
def scene() -> Scene:
    return scene_of(boat())


@cache
def checked() -> Checked:
    return run_checks(boat(), checks=[check for check in CHECKS if check.name == "fit"])


def found(kind: str) -> Finding:
    return next(f for f in checked().findings if f.kind == kind)


def texts(svg: bytes) -> str:
    return " ".join(node.text or "" for node in ET.fromstring(svg).iter(f"{SVG}text"))


def fills(svg: bytes) -> set[str]:
    return {node.get("fill", "") for node in ET.fromstring(svg).iter()}


def pictures(*findings: Finding) -> Iterator[bytes]:
    return (data for _, _, data in finding_pictures(boat(), findings, scene()))


def test_every_finding_has_a_picture_that_tells_of_it() -> None:
    assert {f.kind for f in checked().findings} >= {"overlap", "lid"}
    for finding, svg in zip(checked().findings, pictures(*checked().findings), strict=True):
        told = texts(svg)
        assert all(name in told for name in finding.pieces)
        assert "cure: " in told
        assert {COLOURS[role] for role in ("first", "second")[: len(finding.pieces)]} <= fills(svg)
        assert any(word in told for word in ("Cut across", "Cut along", "Cut level"))


def test_a_sheet_is_cut_across_where_a_box_goes_through_it() -> None:
    finding = found("overlap")
    assert finding.pieces == ("fixture.shelf", "bulkhead.middle/sheet")
    assert finding.where is not None
    cut = best_cut(concerned(finding, drawn_solids(boat(), scene())), finding.where)
    assert cut is not None
    assert cut.view.name in ("along", "level")


@pytest.mark.parametrize(("hinge", "view"), [("aft", "along"), ("port", "across")])
def test_a_lid_is_cut_square_to_its_hinge(hinge: str, view: str) -> None:
    bar = "members:\n  bar: {start: [470, -300, 640], end: [470, 600, 640]}\n"
    if hinge == "port":
        bar = "members:\n  bar: {start: [200, 250, 640], end: [800, 250, 640]}\n"
    own = punt(bar, hinge=hinge)
    finding = next(f for f in run_checks(own, checks=CHECKS[:1]).findings if f.kind == "lid")
    assert finding.where is not None
    cut = best_cut(concerned(finding, drawn_solids(own, scene_of(own))), finding.where)
    assert cut is not None
    assert cut.view.name == view
    assert "shown" in cut.roles


def test_what_is_cut_is_what_trimesh_cuts() -> None:
    solids = drawn_solids(boat(), scene())
    for finding in checked().findings:
        assert finding.where is not None
        about = concerned(finding, solids)
        cut = best_cut(about, finding.where)
        assert cut is not None
        for (_, section), (_, solid) in zip(cut.sections, about.solids, strict=True):
            if section.is_empty() or len(solid.body.decompose()) > 1:
                continue  # trimesh counts where parts of one mesh overlap twice
            mesh = trimesh.Trimesh(solid.mesh.vertices, solid.mesh.faces)
            lines = mesh.section(cut.view.axes[2], cut.where)
            assert lines is not None
            area = shapely.Polygon()
            for ring in lines.discrete:  # a hole is a ring within a ring
                area = area.symmetric_difference(shapely.Polygon(ring @ cut.view.axes[:2].T))
            assert section.area() == pytest.approx(area.area, rel=2e-3, abs=0.5)


def test_a_finding_without_pieces_or_a_place_is_drawn_too() -> None:
    bare = Finding("float", (), "she trims by the stern", "move weight forward")
    told, placeless = pictures(bare, replace(found("overlap"), where=None))
    assert "she trims by the stern" in texts(told)
    assert "Cut" not in texts(told)
    assert "Cut" in texts(placeless)


def test_names_cannot_break_the_drawing_or_leave_the_folder() -> None:
    odd = Finding("gap", ("../<a>&\x1b/b", "hull"), "is <odd> & long", "mend it")
    (svg,) = pictures(odd)
    assert "<odd> &" in texts(svg)
    assert "/" not in file_name(3, odd)
    assert file_name(3, odd).startswith("03-gap-")


def test_a_name_of_a_deck_stands_for_its_sheet_and_ribs_are_pieces() -> None:
    solids = [*drawn_solids(boat(), scene()), Drawn("rib.2", scene().pieces[0].mesh)]
    about = concerned(Finding("height", ("deck.sole", "rib.2"), "", ""), solids)
    (deck, first, own), (rib, second, other) = about.named
    assert (deck, first, rib, second) == ("deck.sole", "first", "rib.2", "second")
    assert [solid.name for solid in own] == [
        p.name for p in boat().panels if p.name.startswith("deck.sole/sheet")
    ]
    assert [solid.name for solid in other] == ["rib.2"]


def test_json_tells_the_same_with_numbers_and_files(tmp_path) -> None:
    names = write_pictures(boat(), checked().findings, scene(), tmp_path / "findings", lambda _: None)
    told = json.loads(findings_json(boat(), checked(), names))
    assert told["looked_at"] == list(checked().summary)
    assert [row["number"] for row in told["findings"]] == list(range(1, len(checked().findings) + 1))
    for row, finding in zip(told["findings"], checked().findings, strict=True):
        assert (tmp_path / "findings" / row["picture"]).stat().st_size > 1000
        assert row["pieces"] == list(finding.pieces)
        assert finding.where is not None
        np.testing.assert_allclose(row["where"]["point"], finding.where, atol=1e-3)
        if finding.measure == "mm" and finding.short is not None:
            assert row["short"]["value"] == pytest.approx(finding.short, abs=1e-3)
        assert row["from"]["file"] == "punt.yaml"
        assert row["from"]["line"] > 0
    lid = next(row for row in told["findings"] if row["kind"] == "lid")
    assert lid["short"]["measure"] == "degree"


def test_a_rod_is_cut_along_its_length_and_water_upright() -> None:
    rod = Prism(
        Frame(np.array([1000.0, 0.0, 300.0]), *np.array([[0, 0, 1], [0.6, -0.8, 0], [0.8, 0.6, 0]])),
        Loop.circle(8.0), (), 0.0, 900.0,
    ).mesh()  # fmt: skip
    # each triangle with corners of its own, as some meshes come
    loose = Mesh(rod.triangles.reshape(-1, 3), np.arange(3 * len(rod.faces)).reshape(-1, 3))
    finding = replace(found("overlap"), kind="rods", shown=(Shown("rod.long", loose),))
    solids = drawn_solids(boat(), scene())
    assert finding.where is not None
    cut = best_cut(concerned(finding, solids), finding.where)
    assert cut is not None
    assert "shown" in cut.roles
    assert abs(float(cut.view.axes[2] @ [0.8, 0.6, 0.0])) < 1e-6
    area = next(section.area() for role, section in cut.sections if role == "shown")
    assert area == pytest.approx(900.0 * 8.0, rel=0.02)
    (svg,) = pictures(finding)
    assert "Cut along rod.long" in texts(svg)

    (wet,) = pictures(replace(found("overlap"), kind="water"))
    assert "Cut level" not in texts(wet)
