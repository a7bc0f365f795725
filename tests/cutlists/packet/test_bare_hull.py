"""A boat file that tells of no more than the hull has its papers and pictures too."""

import pypdf

from cutlists.packet.packet import Told, write_packet
from cutlists.pictures import picture_files
from cutlists.plans import make_plans
from cutlists.plans_out import write_plans
from cutlists.saw_list import saw_list
from cutlists.scene import scene_of
from cutlists.shop_file import Shop
from tests.model.boats import build


def test_a_bare_hull_is_drawn_and_told(tmp_path):
    boat, shop = build(), Shop(units="mm").searching(0.2)
    plans, scene = make_plans(boat, shop), scene_of(boat)
    write_plans(plans, boat, shop, tmp_path)
    path = write_packet(boat, tmp_path, Told(saw_list(boat.members, boat.marks, shop.saw), plans, scene))
    text = "".join(page.extract_text() for page in pypdf.PdfReader(path).pages)
    assert "General arrangement: plan and profile" in text
    assert "sections" in text
    pictures = dict(picture_files(scene, boat, 400))
    assert {"frame-plan.svg", "finished-quarter.png"} <= pictures.keys()
    assert b"<path" in pictures["finished-plan.svg"]
