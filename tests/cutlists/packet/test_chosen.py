"""Templates of every kind of piece in every format, read back by ezdxf, shapely and an XML parser."""

from __future__ import annotations

import io
import math
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import pdfplumber
import pytest
import shapely
from ezdxf import path as dxf_path

from cutlists.bevel_cards import bevel_cards
from cutlists.packet.chosen import Chosen, UnknownPieceError, chosen
from cutlists.packet.paper import PAPERS
from cutlists.packet.templates import template_svg, tiling, write_roll, write_tiles
from model.boat import Boat
from model.mat.build import mat_of
from tests.model.boats import FLARED, build

INCH = 25.4


@cache
def boat() -> Boat:
    """A flared boat with a deck, its mat and a hat under it."""
    hat = {"under": "d", "along": [[700, 0], [1100, 0]], "height": 30, "width": 40, "foot": 20}
    decks = {"d": {"height": 300, "aft": 200, "forward": 1700}}
    return build(hull=FLARED, decks=decks, hats={"rib": hat}, mat={"pitch": 50})


def asked(name: str) -> Chosen:
    return chosen(boat(), boat().mat, name)


def cut_area(data: bytes, unit: float) -> float:
    """Area within the outline on CUT less what lies in it, mm2, as ezdxf and shapely see it."""
    space = ezdxf.read(io.StringIO(data.decode())).modelspace()
    rings = []
    for entity in space.query('*[layer=="CUT"]'):
        points = [(p.x, p.y) for p in dxf_path.make_path(entity).flattening(0.01)]
        rings.append(shapely.Polygon(points).area)
    rings.sort()
    return (rings[-1] - sum(rings[:-1])) * unit**2


def test_mat_comes_as_dxf_svg_and_pdf(tmp_path: Path) -> None:
    settings = boat().mat
    assert settings is not None
    (piece, *_) = mat_of(boat(), settings).pieces
    found = asked(piece.name)
    for unit, size in (("mm", 1.0), ("in", INCH)):
        assert cut_area(found.dxf(unit), size) == pytest.approx(piece.area, rel=1e-4)  # type: ignore[arg-type]
    drawing = ET.fromstring(template_svg(found.template))
    assert drawing.attrib["width"].endswith("mm")
    tiles = write_tiles(tmp_path / "mat.pdf", found.template, PAPERS["A4"].lists)
    with pdfplumber.open(tmp_path / "mat.pdf") as pdf:
        assert len(pdf.pages) == tiles.count + 1
        assert any("mat" in (page.extract_text() or "") for page in pdf.pages)
    assert len(found.template.lines) == len(piece.grooves())


def test_a_hat_is_traced_flat() -> None:
    (hat,) = boat().hats
    found = asked(boat().marks[hat.name])
    assert cut_area(found.dxf("mm"), 1.0) == pytest.approx(hat.piece.cut_polygon.area, rel=1e-6)
    assert "2 x down 90 deg" in found.template.note
    assert "2 x up 90 deg" in found.template.note


def test_the_bevel_of_an_edge_is_drawn_at_its_angles() -> None:
    """The side flares 0.4 in 1: atan 0.4 = 21.8 degrees from upright, so from square to a level deck."""
    card = bevel_cards(boat())[0]
    found = asked(f"{card.mark}/{card.letter}")
    assert asked(f"{card.run.name}/{card.letter}").template.name == found.template.name
    space = ezdxf.read(io.StringIO(found.dxf("in").decode())).modelspace()
    lines = space.query('LINE[layer=="MARK"]')
    assert len(lines) == len(card.run.at)
    for line, at in zip(lines, card.run.at.tolist(), strict=True):
        x, y, _ = line.dxf.end - line.dxf.start
        assert math.degrees(math.atan2(x, y)) == pytest.approx(math.degrees(math.atan(0.4)), abs=0.05)
        assert line.dxf.start.x * INCH == pytest.approx(at + 30.0, abs=0.01)
    turned = found.template.turned()
    assert all(word.upright for word in turned.words)
    assert np.allclose(turned.words[0].at, [-found.template.words[0].at[1], found.template.words[0].at[0]])


def test_every_piece_of_a_boat_has_one(tmp_path: Path) -> None:
    own = boat()
    assert own.mat is not None
    names = [*{*own.marks.values()} - {own.marks[m.name] for m in own.members}]
    names += [f"{card.mark}/{card.letter}" for card in bevel_cards(own)]
    names += [*mat_of(own, own.mat).marks.values()]
    for name in names:
        found = asked(name)
        assert ezdxf.read(io.StringIO(found.dxf("mm").decode())).modelspace().query('*[layer=="CUT"]')
        ET.fromstring(template_svg(found.template))
        assert tiling(found.template.size, PAPERS["letter"].lists).count >= 1
    long = asked(names[-1]).template
    with pytest.raises(ValueError, match="the roll has room for 80 mm"):
        write_roll(tmp_path / "roll.pdf", long, 100.0)


def test_what_there_is_not_is_told_with_what_there_is() -> None:
    with pytest.raises(UnknownPieceError) as refused:
        asked("S99")
    assert "deck.d/hat.rib" in refused.value.known
    assert any("/a" in name for name in refused.value.known)
