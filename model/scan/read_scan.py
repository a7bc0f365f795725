"""Scans as files: PLY, OBJ, STL, and points as text."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from model.geometry import Array
from model.scan.cloud import Cloud, picked
from model.scan.ply_head import check_ply
from model.scan.text_points import read_text_points
from parts.faults import BadInput, Place, one_line

MESHES = (".ply", ".obj", ".stl")
TEXTS = (".xyz", ".csv", ".txt", ".asc", ".pts")
LARGEST = 1_500_000_000
"""Bytes; a file read whole stays well within the memory of a small machine."""
MOST = 40_000_000
USED = 4_000_000
"""Points that are gone on with; of more, so many are drawn at random."""
LEAST = 2_000
STREWN = 400_000
"""Points strewn over the triangles of a mesh, at least; as many as it has corners if these are more."""


def read_scan(path: Path) -> Cloud:
    """The points of a scan; those that are not numbers are left out and told.

    Raises:
        BadInput: the file is none that is known, is empty, broken, too large, or has too few points.
    """
    place = Place(str(path), None, "")
    suffix = path.suffix.lower()
    if suffix not in MESHES + TEXTS:
        known = ", ".join((*MESHES, *TEXTS))
        raise BadInput.at(place, f"'{suffix or path.name}' is no kind of scan", f"give one of {known}")
    if not path.is_file():
        raise BadInput.at(place, "there is no such file", "give the scan's file")
    size = path.stat().st_size
    if size == 0:
        raise BadInput.at(place, "the file is empty", "export the scan anew")
    if size > LARGEST:
        wrong = f"the file is {size / 1e9:.1f} GB, more than {LARGEST / 1e9:.1f}"
        raise BadInput.at(place, wrong, "thin it to a point every 3 mm, or crop it to the hull")
    told: tuple[str, ...] = ()
    if suffix in TEXTS:
        points, is_mesh = read_text_points(path, MOST), False
    else:
        points, told, is_mesh = _read_mesh(path, suffix, place)
    return _checked(path.name, points, told, is_mesh, place)


def _checked(name: str, points: Array, told: tuple[str, ...], is_mesh: bool, place: Place) -> Cloud:
    """The cloud without what is no point, if enough is left."""
    if len(points) > MOST:
        wrong = f"{len(points) / 1e6:.1f} million points, more than {MOST / 1e6:.0f}"
        raise BadInput.at(place, wrong, "thin it to a point every 3 mm, or crop it to the hull")
    finite = np.isfinite(points).all(axis=1)
    if not finite.all():
        points = points[finite]
        told = (*told, f"{np.sum(~finite)} points have coordinates that are no numbers and were left out")
    if len(points) > USED:
        told = (*told, f"of {len(points)} points {USED} were drawn at random")
        points = picked(points, USED)
    if len(points) < LEAST:
        wrong = f"{len(points)} points are too few for a hull"
        raise BadInput.at(place, wrong, f"give at least {LEAST}; some 100 000 are good")
    return Cloud(name, np.ascontiguousarray(points, dtype=np.float64), told, is_mesh)


def _read_mesh(path: Path, suffix: str, place: Place) -> tuple[Array, tuple[str, ...], bool]:
    if suffix == ".ply":
        check_ply(path, place, MOST)
    import trimesh

    try:
        read: Any = trimesh.load(path, process=False)
        read = read.to_geometry() if isinstance(read, trimesh.Scene) else read
    except Exception as error:  # readers of hostile files fail in as many ways as there are files
        why = one_line(str(error))[:80] or type(error).__name__
        raise BadInput.at(place, f"it cannot be read ({why})", "export the scan anew") from error
    faces = getattr(read, "faces", None)
    points = np.asarray(getattr(read, "vertices", np.zeros((0, 3))), dtype=np.float64).reshape(-1, 3)
    if faces is None or not len(faces):
        return points, (), False
    return strewn(points, np.asarray(faces)), (f"a mesh of {len(faces)} triangles",), True


def strewn(corners: Array, faces: Any) -> Array:
    """Points spread evenly over triangles, the same ones each time, `(n, 3) float`."""
    triangles = corners[faces]
    triangles = triangles[np.isfinite(triangles).all(axis=(1, 2))]
    side = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    total = np.cumsum(np.linalg.norm(side, axis=1))
    if not len(total) or not total[-1] > 0.0:
        return np.zeros((0, 3))
    draw = np.random.default_rng(0)
    count = max(STREWN, min(len(corners), USED))
    # Evenly stepped along the running area: no patch is left bare by chance.
    which = np.searchsorted(total, (np.arange(count) + draw.random(count)) / count * total[-1])
    a, b = draw.random((2, count, 1))
    over = a + b > 1.0
    a, b = np.where(over, 1.0 - a, a), np.where(over, 1.0 - b, b)
    t = triangles[np.minimum(which, len(total) - 1)]
    found: Array = t[:, 0] + a * (t[:, 1] - t[:, 0]) + b * (t[:, 2] - t[:, 0])
    return found
