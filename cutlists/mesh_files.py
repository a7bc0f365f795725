"""Triangle files of the boat: STL for printing and checking, GLB with every piece a named node."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from cutlists.scene import Colour, Scene, ScenePiece
from model.geometry import Array
from model.mesh import Mesh

STL_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def stl_bytes(pieces: Sequence[ScenePiece]) -> bytes:
    """All pieces as one binary STL in the boat's frame, mm; triangles without area are left out."""
    triangles = Mesh.merge([piece.mesh for piece in pieces]).triangles.astype(np.float32)
    p, q, r = np.moveaxis(triangles.astype(np.float64), 1, 0)
    across = np.cross(q - p, r - p)
    size = np.linalg.norm(across, axis=1)
    kept = size > 0.0
    records = np.zeros(int(kept.sum()), dtype=STL_RECORD)
    records["normal"] = across[kept] / size[kept, None]
    records["corners"] = triangles[kept]
    header = b"Athwart: x forward, y to port, z up; millimetres".ljust(80)
    return header + np.uint32(len(records)).tobytes() + records.tobytes()


def to_gltf(points: Array) -> Array:
    """Boat points `(n, 3)` mm in glTF's axes and unit: x to port, y up, z forward, metres.

    glTF asks for y up and the asset's front along +z; that leaves +x to the left. The axes change places in a
    ring, which is a rotation, so triangles keep their sense.
    """
    found: Array = points[:, [1, 2, 0]] / 1000.0
    return found


def glb_bytes(scene: Scene) -> bytes:
    """The scene as binary glTF: a node for each piece under nodes for its groups, one material a colour.

    Each piece's node carries its `mark` in its extras. Nodes have no transform of their own: points are
    written in place. Group nodes are named by their path, joined with `/`, and end with one.
    """
    import trimesh

    tree = trimesh.Scene(base_frame="boat")
    materials: dict[Colour, Any] = {}
    for piece in scene.pieces:
        if not len(piece.mesh.faces):
            continue
        parent = _group_node(tree, piece.path)
        if piece.colour not in materials:
            materials[piece.colour] = _material(piece.colour)
        body = trimesh.Trimesh(to_gltf(piece.mesh.vertices), piece.mesh.faces, process=False)
        body.visual = trimesh.visual.TextureVisuals(material=materials[piece.colour])
        tree.add_geometry(
            body,
            node_name=piece.name,
            geom_name=piece.name,
            parent_node_name=parent,
            metadata={"mark": piece.mark},
        )
    # Without normals a reader shades flat, as the standard asks: right for tube and sheet, half the bytes.
    found = trimesh.exchange.gltf.export_glb(tree, include_normals=False, tree_postprocessor=_signed)
    return bytes(found)


def _signed(tree: dict[str, Any]) -> None:
    tree["asset"]["generator"] = "Athwart"


def _group_node(tree: Any, path: tuple[str, ...]) -> str:
    """The node of a group, made with those above it when it is not there yet."""
    parent = "boat"
    for depth in range(1, len(path) + 1):
        name = "/".join(path[:depth]) + "/"
        if name not in tree.graph.nodes:
            tree.graph.update(frame_to=name, frame_from=parent)
        parent = name
    return parent


def _material(colour: Colour) -> Any:
    from trimesh.visual.material import PBRMaterial

    # glTF wants linear shares; its base colour factor is not gamma coded.
    shares = [((c + 0.055) / 1.055) ** 2.4 if c > 0.04045 else c / 12.92 for c in colour.rgb.tolist()]
    see_through = colour.opacity < 1.0
    return PBRMaterial(
        name=colour.name,
        baseColorFactor=[*shares, colour.opacity],
        metallicFactor=0.0,
        roughnessFactor=0.6,
        alphaMode="BLEND" if see_through else "OPAQUE",
        doubleSided=see_through,
    )
