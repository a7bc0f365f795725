"""Scans as files: every kind gives the same points, and what is broken is refused with a cure."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from model.scan import read_scan as reading
from model.scan.read_scan import read_scan
from parts.faults import BadInput

DRAW = np.random.default_rng(0)
POINTS = DRAW.uniform(-1.0, 1.0, (3_000, 3)).round(4)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.xyz", "{0} {1} {2}\n"),
        ("a.csv", "{0},{1},{2},17,200,31\n"),
        ("a.txt", "{0};{1};{2}\n"),
        ("a.asc", "{0}\t{1}\t{2}\t0.5\n"),
    ],
)
@pytest.mark.parametrize("head", ["", "x,y,z\n", "# a note\n3000\n\n"])
def test_points_as_text(tmp_path, name, text, head):
    path = tmp_path / name
    path.write_text(head + "".join(text.format(*point) for point in POINTS))
    assert read_scan(path).points == pytest.approx(POINTS)


@pytest.mark.parametrize("encoding", ["ascii", "binary"])
def test_a_cloud_as_ply_written_by_trimesh(tmp_path, encoding):
    path = tmp_path / "a.ply"
    path.write_bytes(trimesh.PointCloud(POINTS).export(file_type="ply", encoding=encoding))
    cloud = read_scan(path)
    assert not cloud.is_mesh
    assert cloud.points == pytest.approx(POINTS, abs=1e-5)


@pytest.mark.parametrize("suffix", ["ply", "obj", "stl"])
def test_points_are_strewn_evenly_over_a_mesh(tmp_path, suffix):
    box = trimesh.creation.box((4.0, 2.0, 1.0))
    path = tmp_path / f"a.{suffix}"
    box.export(path)
    cloud = read_scan(path)
    assert cloud.is_mesh
    assert len(cloud.points) >= reading.STREWN
    on = np.isclose(np.abs(cloud.points), [2.0, 1.0, 0.5], atol=1e-6)
    assert on.any(axis=1).all()
    # Each pair of faces gets its share of the surface.
    assert on.mean(axis=0) == pytest.approx(np.array([4.0, 8.0, 16.0]) / 28.0, abs=0.003)


def test_points_that_are_no_numbers_are_left_out_and_told(tmp_path):
    path = tmp_path / "a.xyz"
    np.savetxt(path, np.concatenate([POINTS, [[np.nan, 0.0, 0.0], [np.inf, 0.0, 0.0]]]))
    cloud = read_scan(path)
    assert len(cloud.points) == len(POINTS)
    assert cloud.told == ("2 points have coordinates that are no numbers and were left out",)


def ply(points: int, body: bytes) -> bytes:
    head = f"ply\nformat binary_little_endian 1.0\nelement vertex {points}\n"
    return (head + "property float x\nproperty float y\nproperty float z\nend_header\n").encode() + body


@pytest.mark.parametrize(
    ("name", "body", "told"),
    [
        ("a.xyz", b"", "empty"),
        ("a.las", b"LASF", "'.las' is no kind of scan"),
        ("a.ply", ply(5_000, bytes(12 * 4_000)), "breaks off after 4000 of 5000 points"),
        ("a.ply", ply(0, b""), "names no points"),
        ("a.ply", ply(10**9, b""), "1000.0 million points"),
        (
            "a.ply",
            b"ply\nformat ascii 1.0\nelement vertex 9\nproperty float x\nend_header\n1\n",
            "after 1 of 9",
        ),
        ("a.ply", b"not a ply\n" * 300, "no end"),
        ("a.ply", b"hello\nend_header\n", "no PLY"),
        ("a.ply", b"ply\nformat ascii 1.0\nelement vertex many\nend_header\n", "its head says"),
        ("a.stl", b"solid nothing", "export the scan anew|too few"),
        ("a.obj", b"# nothing\n", "export the scan anew|too few"),
        ("a.xyz", b"1 2 3\n4 5 6\n", "2 points are too few"),
        ("a.xyz", b"x y z\nall words\n", "no point stands on the first"),
        ("a.xyz", b"1 2 3\n4 five 6\n", "cannot be read"),
        ("a.xyz", b"\xff\xfe\x00\x01" * 100, "no text"),
        ("a.csv", b"1,5 2,5 3,5\n" * 3_000, "no point stands"),
    ],
)
def test_broken_files_are_refused(tmp_path, name, body, told):
    path = tmp_path / name
    path.write_bytes(body)
    with pytest.raises(BadInput, match=told) as refused:
        read_scan(path)
    (fault,) = refused.value.faults
    assert fault.right


def test_what_is_too_large_is_refused_before_it_is_read(tmp_path, monkeypatch):
    path = tmp_path / "a.xyz"
    path.write_text("1 2 3\n" * 4_000)
    monkeypatch.setattr(reading, "LARGEST", 1_000)
    with pytest.raises(BadInput, match="thin it"):
        read_scan(path)
    monkeypatch.setattr(reading, "LARGEST", 10**9)
    monkeypatch.setattr(reading, "MOST", 3_000)
    with pytest.raises(BadInput, match="million points"):
        read_scan(path)


def test_of_very_many_points_some_are_drawn_and_that_is_told(tmp_path, monkeypatch):
    path = tmp_path / "a.xyz"
    np.savetxt(path, POINTS)
    monkeypatch.setattr(reading, "USED", 2_500)
    cloud = read_scan(path)
    assert len(cloud.points) == 2_500
    assert cloud.told == ("of 3000 points 2500 were drawn at random",)


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(BadInput, match="no such file"):
        read_scan(tmp_path / "a.ply")
