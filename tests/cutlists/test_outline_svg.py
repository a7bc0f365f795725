"""SVG outlines: the path walked by the rules of SVG 1.1 encloses the piece; sizes and mark are written."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

from cutlists.outline_svg import outline_svg, write_outline_pictures
from model.geometry import Frame
from model.panel import Panel
from model.strip import Strip
from parts.alloy import Alloy, Strength
from parts.outline import Loop
from parts.sheet import Sheet

NONE = Strength(0.0, "not used here")
SHEET = Sheet("3 mm", 3.0, Alloy("plain", "sheet", 2700.0, 7e4, 2.7e4, NONE, NONE, (), {}), ((1219, 2438),))
SVG = "{http://www.w3.org/2000/svg}"


def panel(name: str, outline: Loop, *holes: Loop) -> Panel:
    return Panel(name, Frame.level(250.0), outline, holes, SHEET, "deck")


DECK = panel(
    "deck.front",
    Loop.rounded([(-200, 50), (900, 50), (900, 700), (400, 450), (-200, 700)], [0, 30, 12, 60, 5]),
    Loop.circle(90, (0, 300)),
    Loop.rectangle(300, 120, 20, (500, 200)),
)


def arc_centre(start: complex, end: complex, radius: float, sweep: int) -> complex:
    """Centre of a small arc by SVG 1.1 appendix F.6.5, for a circle and the small-arc flag."""
    half = (start - end) / 2
    rest = math.sqrt(max(radius**2 - abs(half) ** 2, 0.0)) / abs(half)
    sign = -1 if sweep == 0 else 1
    return (start + end) / 2 + sign * rest * complex(half.imag, -half.real)


def path_areas(text: str) -> list[float]:
    """Area within each closed subpath by Green's theorem, in user units."""
    found = []
    for ring in text.split("Z")[:-1]:
        total, at = 0.0, 0j
        first = at
        for letter, numbers in re.findall(r"([MLA])([^MLA]*)", ring):
            values = [float(v) for v in numbers.split()]
            end = complex(*values[-2:])
            if letter == "M":
                first = end
            elif letter == "L":
                total += (at.conjugate() * end).imag / 2
            else:
                centre = arc_centre(at, end, values[0], int(values[4]))
                a = math.atan2((at - centre).imag, (at - centre).real)
                b = math.atan2((end - centre).imag, (end - centre).real)
                swept = (b - a) % (2 * math.pi) if values[4] else -((a - b) % (2 * math.pi))
                total += (values[0] ** 2 * swept + (centre.conjugate() * (end - at)).imag) / 2
            at = end
        total += (at.conjugate() * first).imag / 2
        found.append(abs(total))
    return found


@pytest.mark.parametrize("piece", [DECK, panel("disc", Loop.circle(120, (7, 7)))], ids=lambda p: p.name)
def test_the_drawn_path_has_the_area_of_the_piece(piece: Panel) -> None:
    page = ET.fromstring(outline_svg(piece, "S1"))
    (metal,) = [path for path in page.iter(f"{SVG}path") if path.get("class") == "metal"]
    note = next(text.text or "" for text in page.iter(f"{SVG}text") if text.get("class") == "note")
    found = re.search(r"1 : (\d+)", note)
    assert found
    areas = path_areas(metal.get("d") or "")
    assert (areas[0] - sum(areas[1:])) * int(found[1]) ** 2 == pytest.approx(piece.area, rel=2e-5)


def test_size_and_mark_are_written() -> None:
    page = ET.fromstring(outline_svg(DECK, "S7", 3))
    texts = [text.text for text in page.iter(f"{SVG}text")]
    assert "S7" in texts
    assert "S7 × 3" in texts
    assert '43-5/16"  (1100.0 mm)' in texts
    assert '1100.0 mm  (43-5/16")' in outline_svg(DECK, "S7", 3, "mm").replace("&quot;", '"')


def test_rolled_pieces_say_which_way() -> None:
    turn = np.linspace(0, 1.4, 60)
    a = np.stack([900 * np.cos(turn), 900 * np.sin(turn), 0 * turn], axis=1)
    wall = Strip("w", a, a + np.array([0, 0, 250.0]), SHEET)
    assert "rolled 79° in all, face outside" in outline_svg(wall, "S1")
    assert "face inside" in outline_svg(wall.turned_over(), "S1")
    assert outline_svg(wall, "S1").count('class="bend"') > 10


def test_names_that_are_markup_do_not_break_the_page(tmp_path: Path) -> None:
    odd = Panel("a<b", Frame.level(0), Loop.rectangle(90, 60), (), SHEET, "<&>")
    (path,) = write_outline_pictures(tmp_path, [odd], {"a<b": "S1"})
    assert "<&>" in "".join(t.text or "" for t in ET.parse(path).iter(f"{SVG}text"))
