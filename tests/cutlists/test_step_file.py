"""STEP files read back by the CAD kernel: names, tree, colours, validity, volumes against closed forms."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cutlists.scene import DECK, FRAME, Colour, items
from cutlists.step_file import StepPiece, write_step, write_tree
from cutlists.step_text import steady
from cutlists.twins import Motion, motion_between, twins
from model.boat import load_boat
from model.geometry import Frame, Plane, unit
from model.member import Member
from model.prism import Prism
from parts.catalogue import starter
from parts.outline import Loop

DEMO = Path(__file__).parents[2] / "configs" / "lake16.yaml"
TUBE = next(
    section
    for section in starter().sections.values()
    if section.kind == "rect" and section.width != section.height
)


def skew(name: str, seed: int) -> Member:
    """A tube with two skew ends."""
    draw = np.random.default_rng(seed)
    a, b = draw.uniform(-500, 500, (2, 3)) + np.array([[0.0, 0.0, 0.0], [1200.0, 0.0, 0.0]])
    end_a = Plane.through(a, unit(a - b) + draw.normal(size=3) * 0.25)
    end_b = Plane.through(b, unit(b - a) + draw.normal(size=3) * 0.25)
    return Member.along(name, TUBE, a, b, draw.normal(size=3), end_a, end_b)


def turned(member: Member, name: str, seed: int) -> Member:
    """The same piece elsewhere, its ends told in the other order for odd seeds."""
    draw = np.random.default_rng(seed)
    matrix, _ = np.linalg.qr(draw.normal(size=(3, 3)))
    matrix *= np.sign(np.linalg.det(matrix))
    moved = replace(member.moved(matrix, draw.uniform(-900, 900, 3)), name=name)
    if seed % 2:
        return Member.along(name, TUBE, moved.b, moved.a, moved.frame.z, moved.end_b, moved.end_a)
    return moved


@dataclass(frozen=True)
class Read:
    """A leaf of the tree as the kernel reads it."""

    path: tuple[str, ...]
    name: str
    part: str
    shape: Any
    colour: tuple[float, float, float]


def read(path: Path) -> list[Read]:
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    reader = STEPCAFControl_Reader()
    reader.SetColorMode(True)
    reader.SetNameMode(True)
    reader.ReadFile(str(path))
    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    reader.Transfer(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    found = list(_leaves(shapes))
    assert document is not None  # labels are only good while their document lives
    return found


def _leaves(shapes: Any) -> Iterator[Read]:
    from OCP.TDF import TDF_Label, TDF_LabelSequence
    from OCP.TopLoc import TopLoc_Location

    def walk(label: Any, path: tuple[str, ...], place: Any) -> Iterator[Read]:
        parts = TDF_LabelSequence()
        shapes.GetComponents_s(label, parts, False)
        for k in range(1, parts.Length() + 1):
            use, target = parts.Value(k), TDF_Label()
            shapes.GetReferredShape_s(use, target)
            where = place.Multiplied(shapes.GetLocation_s(use))
            if shapes.IsAssembly_s(target):
                yield from walk(target, (*path, _named(use)), where)
            else:
                shape = shapes.GetShape_s(target).Moved(where)
                yield Read(path, _named(use), _named(target), shape, _painted(shapes, target))

    roots = TDF_LabelSequence()
    shapes.GetFreeShapes(roots)
    for k in range(1, roots.Length() + 1):
        yield from walk(roots.Value(k), (_named(roots.Value(k)),), TopLoc_Location())


def _named(label: Any) -> str:
    from OCP.TDataStd import TDataStd_Name

    name = TDataStd_Name()
    assert label.FindAttribute(TDataStd_Name.GetID_s(), name)
    return str(name.Get().ToExtString())


def _painted(shapes: Any, label: Any) -> tuple[float, float, float]:
    """The colour of a part; of one with several solids the kernel reads it on each of these."""
    from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
    from OCP.TDF import TDF_LabelSequence
    from OCP.XCAFDoc import XCAFDoc_ColorSurf, XCAFDoc_ColorTool

    inner, colour = TDF_LabelSequence(), Quantity_Color()
    shapes.GetSubShapes_s(label, inner)
    labels = [label, *(inner.Value(k) for k in range(1, inner.Length() + 1))]
    painted = [XCAFDoc_ColorTool.GetColor_s(one, XCAFDoc_ColorSurf, colour) for one in labels]
    assert painted[0] or all(painted[1:])
    assert any(painted)
    found: tuple[float, float, float] = colour.Values(Quantity_TOC_sRGB)
    return found


def measured(shape: Any) -> tuple[int, bool, float, np.ndarray]:
    """Count of solids, validity, volume and centre, by the kernel."""
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer

    properties, count = GProp_GProps(), 0
    BRepGProp.VolumeProperties_s(shape, properties)
    explorer = TopExp_Explorer(shape, TopAbs_SOLID)
    while explorer.More():
        count += 1
        explorer.Next()
    middle = properties.CentreOfMass()
    centre = np.array([middle.X(), middle.Y(), middle.Z()])
    return count, BRepCheck_Analyzer(shape).IsValid(), properties.Mass(), centre


PLATE = Prism(
    Frame.make((900.0, -40.0, 300.0), (1.0, 0.2, 0.1), (0.0, 0.1, 1.0)),
    Loop.rectangle(1400.0, 900.0, 25.0),
    (Loop.rectangle(500.0, 300.0, 40.0), Loop.circle(75.0, (550.0, 300.0))),
    -3.2,
    0.0,
)


def pieces() -> tuple[list[StepPiece], dict[str, Member]]:
    from model.member_solid import member_solid
    from model.prism_solid import prism_solid

    firsts = [skew(f"deck.front/beam.{k}", k) for k in range(3)]
    members = [*firsts, *(turned(first, f"{first.name}.again", 7 + k) for k, first in enumerate(firsts))]
    marks = {member.name: f"F{k % 3 + 1}" for k, member in enumerate(members)}
    solids: dict[str, Any] = {}
    found = []
    for member, first, motion in twins(members, marks):
        solid = solids.setdefault(first.name, None) or member_solid(first)
        solids[first.name] = solid
        path = ("members", member.name.split("/")[0])
        found.append(StepPiece(member.name, path, marks[member.name], solid, FRAME, motion))
    found.append(StepPiece("deck.front", ("decks",), "S1", prism_solid(PLATE), DECK))
    return found, {member.name: member for member in members}


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[Read], dict[str, Member]]:
    path = tmp_path_factory.mktemp("step") / "boat.step"
    own, members = pieces()
    assert write_tree("Trial boat", own, path) == 7
    return path, read(path), members


def test_the_tree_keeps_names_groups_and_marks(written: tuple[Path, list[Read], dict[str, Member]]) -> None:
    _, found, members = written
    assert [leaf.name for leaf in found] == [*members, "deck.front"]
    assert {leaf.path for leaf in found} == {
        ("Trial boat", "members", "deck.front"),
        ("Trial boat", "decks"),
    }
    assert [leaf.part for leaf in found] == ["F1", "F2", "F3", "F1", "F2", "F3", "S1"]


def test_solids_are_valid_and_weigh_what_the_closed_forms_say(
    written: tuple[Path, list[Read], dict[str, Member]],
) -> None:
    _, found, members = written
    for leaf in found:
        count, valid, volume, centre = measured(leaf.shape)
        assert count == 1
        assert valid
        record = members.get(leaf.name, PLATE)
        assert volume == pytest.approx(record.volume, rel=1e-6)
        # A twin placed by its motion must lie where the member itself lies.
        assert centre == pytest.approx(record.centre, abs=1e-3)


def test_colours_come_back(written: tuple[Path, list[Read], dict[str, Member]]) -> None:
    _, found, _ = written

    def same(leaf: Read, colour: Colour) -> bool:
        return bool(np.allclose(leaf.colour, colour.rgb, atol=1e-3))

    assert all(same(leaf, FRAME) for leaf in found[:6])
    assert same(found[6], DECK)


def test_millimetres_are_declared_and_the_file_repeats(
    written: tuple[Path, list[Read], dict[str, Member]], tmp_path: Path
) -> None:
    path, _, _ = written
    text = path.read_text()
    assert "SI_UNIT(.MILLI.,.METRE.)" in text
    assert text.count("MANIFOLD_SOLID_BREP(") == 4  # three parts placed twice, and the plate
    write_tree("Trial boat", pieces()[0], tmp_path / "again.step")
    assert (tmp_path / "again.step").read_text() == text


def test_a_motion_lays_a_piece_exactly_on_its_twin() -> None:
    for seed in range(12):
        first = skew("first", seed)
        other = turned(first, "other", 40 + seed)
        motion = motion_between(first, other)
        assert motion is not None
        assert np.linalg.det(motion.matrix) == pytest.approx(1.0)
        ours = motion.carried(first.corners.reshape(-1, 3))
        theirs = other.corners.reshape(-1, 3)
        apart = np.linalg.norm(ours[:, None] - theirs[None], axis=2)
        assert apart.min(axis=1).max() < 1e-6
        assert motion.carried(first.centre) == pytest.approx(other.centre, abs=1e-6)


def test_a_mirrored_skew_piece_is_no_twin() -> None:
    member = skew("port", 3)
    assert motion_between(member, member.mirrored("starboard")) is None
    square = Member.along("port", TUBE, (0, 100, 0), (0, 600, 0), (0, 0, 1))
    assert isinstance(motion_between(square, square.mirrored("starboard")), Motion)


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="could not be written"):
        write_tree("Trial", pieces()[0][-1:], tmp_path / "missing" / "boat.step")


def test_the_demo_boat_comes_back_whole(tmp_path: Path) -> None:
    """Count of solids, all valid, and the volume of members and flat panels to 1e-6 of the closed forms."""
    boat = load_boat(DEMO)
    path = tmp_path / "boat.step"
    solids = write_step(boat, path)
    found = read(path)
    told = {leaf.name: measured(leaf.shape) for leaf in found}
    assert len(found) == len(told)
    assert sum(count for count, *_ in told.values()) == solids
    assert [name for name, (_, valid, *_) in told.items() if not valid] == []
    flat = [*boat.members, *boat.panels]
    assert sum(told[piece.name][2] for piece in flat) == pytest.approx(
        sum(piece.volume for piece in flat), rel=1e-6
    )
    for piece in flat:
        assert told[piece.name][2] == pytest.approx(piece.volume, rel=1e-6)
        assert told[piece.name][3] == pytest.approx(piece.centre, abs=1e-3)
    groups = {leaf.path[1] for leaf in found}
    assert {"hull", "decks", "members", "panels", "lids", "fixtures"} <= groups
    coloured = {leaf.name: leaf.colour for leaf in found}
    for item in items(boat):
        assert coloured[item.name] == pytest.approx(tuple(item.colour.rgb), abs=1e-3)
    marks = {leaf.name: leaf.part for leaf in found}
    assert {name: marks[name] for name in boat.marks} == boat.marks


def test_text_in_any_order_of_colours_is_made_one() -> None:
    head = "#1 = NEXT_ASSEMBLY_USAGE_OCCURRENCE('{}','it''s #9, a;\n  name','',#5,\n  #7,$);\n"
    paint = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{}),#{});\n"
    style = "#{} = STYLED_ITEM('color',(#{}),#{});\n"
    red = "#{} = COLOUR_RGB('',1.,0.,0.);\n"
    first = f"{head.format(1)}#10 = {paint.format(11, 3)}{style.format(11, 12, 2)}{red.format(12)}"
    first += f"#13 = {paint.format(14, 6)}{style.format(14, 12, 4)}ENDSEC;\n"
    second = f"{head.format(44)}#10 = {paint.format(11, 6)}{style.format(11, 12, 4)}{red.format(12)}"
    second += f"#13 = {paint.format(14, 3)}{style.format(14, 12, 2)}ENDSEC;\n"
    assert steady(first) == steady(second)
    assert "#11 = STYLED_ITEM('color',(#12),#2)" in steady(second)
    assert "'it''s #9, a;\n  name'" in steady(second)
