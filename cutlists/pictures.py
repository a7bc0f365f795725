"""The set of pictures of a boat: bare frame, finished boat, wires and hoses, in three views, SVG and PNG."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from cutlists.run_pieces import HOSES, PASSAGES, WIRES
from cutlists.scene import Scene
from cutlists.view_camera import VIEWS
from cutlists.view_picture import picture
from cutlists.view_png import png_bytes
from cutlists.view_svg import svg_text

if TYPE_CHECKING:
    from model.boat import Boat

FRAME_GROUPS = ("hull", "members")
RUN_GROUPS = (WIRES, HOSES, PASSAGES)


def picture_files(scene: Scene, boat: Boat, width: int = 1600) -> Iterator[tuple[str, bytes]]:
    """File name and contents of each picture, such as `frame-plan.svg`; each is made when it is asked for.

    Args:
        scene: of the boat.
        boat: whose units the scale bar shows.
        width: px.
    """
    sets = [("frame", scene.only(FRAME_GROUPS)), ("finished", scene)]
    if any(piece.group in RUN_GROUPS for piece in scene.pieces):
        sets.append(("wires and hoses", scene.only((*FRAME_GROUPS, "fixtures", *RUN_GROUPS))))
    for name, part in sets:
        for view in VIEWS:
            shown = picture(part, view, f"{scene.title}: {name}", boat.units, width)
            file = f"{name.replace(' ', '-')}-{view.name}"
            yield f"{file}.svg", svg_text(shown).encode()
            yield f"{file}.png", png_bytes(shown)
