"""Triangle files, read back by trimesh."""

from __future__ import annotations

import io
import json
import struct

import numpy as np
import pytest
import trimesh

from cutlists.mesh_files import glb_bytes, stl_bytes, to_gltf
from cutlists.scene import DECK, FRAME, HULL, Scene, ScenePiece
from model.geometry import Frame
from model.prism import Prism
from parts.outline import Loop


def prism(frame: Frame, outline: Loop, holes: tuple[Loop, ...] = (), height: float = 30.0) -> Prism:
    return Prism(frame, outline, holes, 0.0, height)


TUBE = prism(
    Frame.make((500.0, -700.0, 300.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.2)),
    Loop.rectangle(25.0, 50.0, 3.0),
    (Loop.rectangle(19.0, 44.0),),
    1400.0,
)
TWIN = TUBE.mesh().transformed(np.eye(3), (300.0, 0.0, 0.0))
PLATE = prism(
    Frame.level(400.0, x=1200.0), Loop.rectangle(900.0, 1300.0), (Loop.rectangle(400.0, 500.0, 40.0),), 3.2
)
SHELL = prism(
    Frame.level(0.0, x=2000.0), Loop.rectangle(4000.0, 1600.0), (Loop.rectangle(3990.0, 1590.0),), 600.0
)


def scene() -> Scene:
    return Scene(
        "Trial",
        (
            ScenePiece("hull", ("hull",), HULL, SHELL.mesh()),
            ScenePiece("deck.front/beam.1", ("members", "deck.front"), FRAME, TUBE.mesh(), "F1"),
            ScenePiece("deck.front/beam.2", ("members", "deck.front"), FRAME, TWIN, "F1"),
            ScenePiece("deck.front", ("decks",), DECK, PLATE.mesh(), "S1"),
        ),
    )


def test_stl_holds_every_triangle_and_the_volume() -> None:
    pieces = scene().pieces
    body = trimesh.load_mesh(io.BytesIO(stl_bytes(pieces)), file_type="stl")
    assert len(body.faces) == sum(len(piece.mesh.faces) for piece in pieces)
    assert body.is_watertight
    # Single precision at 4 m is good to 2e-4 mm, which on 3 mm walls is below 1e-4 of the volume.
    assert body.volume == pytest.approx(sum(piece.mesh.volume for piece in pieces), rel=1e-4)
    everything = np.concatenate([piece.mesh.vertices for piece in pieces])
    assert body.bounds == pytest.approx(np.stack([everything.min(0), everything.max(0)]), abs=1e-3)


def test_stl_normals_point_out_of_the_metal() -> None:
    data = stl_bytes([ScenePiece("plate", ("decks",), DECK, PLATE.mesh())])
    told = trimesh.load_mesh(io.BytesIO(data), file_type="stl", process=False).face_normals
    stored = np.frombuffer(data[84:], dtype=np.uint8).reshape(-1, 50)[:, :12].copy().view("<f4")
    assert stored == pytest.approx(told, abs=1e-5)


def test_glb_has_one_node_a_piece_in_metres_with_y_up() -> None:
    found = trimesh.load_scene(io.BytesIO(glb_bytes(scene())), file_type="glb")
    assert set(found.graph.nodes_geometry) == {piece.name for piece in scene().pieces}
    # 4 m along glTF's z, 1.6 m along its x, 0.6 m up along its y.
    assert found.extents == pytest.approx([1.6, 0.6, 4.0], abs=1e-6)
    for piece in scene().pieces:
        matrix, geometry = found.graph.get(piece.name)
        assert np.allclose(matrix, np.eye(4))
        body = found.geometry[geometry]
        assert body.volume * 1e9 == pytest.approx(piece.mesh.volume, rel=1e-4)


def test_glb_tree_follows_the_groups_and_carries_marks_and_colours() -> None:
    data = glb_bytes(scene())
    (length,) = struct.unpack("<I", data[12:16])
    tree = json.loads(data[20 : 20 + length])
    nodes = {node["name"]: node for node in tree["nodes"]}
    names = [tree["nodes"][child]["name"] for child in nodes["members/deck.front/"]["children"]]
    assert sorted(names) == ["deck.front/beam.1", "deck.front/beam.2"]
    assert [tree["nodes"][child]["name"] for child in nodes["members/"]["children"]] == [
        "members/deck.front/"
    ]
    assert nodes["deck.front/beam.1"]["extras"]["mark"] == "F1"
    materials = {material["name"]: material for material in tree["materials"]}
    assert set(materials) == {"hull", "frame", "deck"}
    assert materials["hull"]["alphaMode"] == "BLEND"
    assert glb_bytes(scene()) == data


def test_the_turn_into_gltf_is_a_rotation() -> None:
    forward, port, up = to_gltf(1000.0 * np.eye(3))
    assert forward.tolist() == [0.0, 0.0, 1.0]
    assert up.tolist() == [0.0, 1.0, 0.0]
    assert np.linalg.det(np.stack([forward, port, up])) == pytest.approx(1.0)
