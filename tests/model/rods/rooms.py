"""Rooms of plain boxes for rods, in the middle of a box-shaped hull: numbers can be worked out by hand."""

from __future__ import annotations

from functools import cache

import numpy as np
from shapely import box as rectangle

from model.boat import Boat
from model.geometry import Array
from model.mesh import Mesh
from model.rods.names import stowages
from model.rods.pieces import Piece
from model.rods.room import Room
from model.rods.soup import Soup
from tests.model.boats import DECK, build

FACES = np.array(
    [[0, 2, 1], [1, 2, 3], [4, 5, 6], [5, 7, 6], [0, 1, 4], [1, 5, 4], [2, 6, 3], [3, 6, 7],
     [0, 4, 2], [2, 4, 6], [1, 3, 5], [3, 7, 5]]
)  # fmt: skip
"""Triangles of a box with corners in the order of binary numbers zyx, looking outward."""


@cache
def plain_boat() -> Boat:
    """A box of a hull, 3 m by 1.2 m by 0.5 m, with a deck that has an opening."""
    opening = {"centre": [1500, 0], "length": 400, "width": 300}
    return build(decks={"main": {**DECK, "openings": {"hatch": opening}}})


def box_mesh(low: Array, high: Array) -> Mesh:
    """A box as a closed mesh."""
    corners = np.array([[x, y, z] for z in (0, 1) for y in (0, 1) for x in (0, 1)], dtype=float)
    return Mesh(low + corners * (high - low), FACES)


def box_room(low: Array, high: Array, posts: list[tuple[Array, Array]] | None = None) -> Room:
    """A room with flat walls at a box's sides, and boxes standing in it."""
    boat = plain_boat()
    walls = box_mesh(low, high).triangles[:, ::-1]  # they look inward
    parts = [("walls", walls, True)]
    solids = []
    for k, post in enumerate(posts or []):
        mesh = box_mesh(*post)
        solids.append(Piece(f"post.{k}", mesh, mesh.box))
        parts.append((f"post.{k}", mesh.triangles, True))
    area = rectangle(low[0], low[1], high[0], high[1])
    place = stowages(boat.layout)[0]
    return Room(place, area, float(low[2]), float(high[2]), Soup.of(parts), tuple(solids), boat.hull)
