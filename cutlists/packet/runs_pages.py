"""A page of the packet with runs of wire or hose in the boat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from cutlists.drawing.runs_drawing import runs_svg
from cutlists.packet.leaf import Leaf
from cutlists.packet.page import Page
from cutlists.packet.paper import Paper
from model.ways.run import Run

if TYPE_CHECKING:
    from model.boat import Boat


def runs_page(
    boat: Boat,
    runs: Sequence[Run],
    paper: Paper,
    section: str,
    title: str,
    words: Mapping[str, str] | None = None,
) -> Page:
    """The page: plan and profile with the runs numbered, and their key; as `runs_svg`."""
    room = paper.room

    def draw(leaf: Leaf) -> None:
        leaf.drawing(runs_svg(boat, runs, room[2:], title, words), room, true_size=True)

    return Page(section, title, paper, draw)
