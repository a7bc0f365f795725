"""Lays out a folder with a boat to start from."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from parts.faults import BadInput, Place


def lay_out(folder: Path) -> list[Path]:
    """Copies the starter files into `folder`, which is made if need be; returns what was written.

    Raises:
        BadInput: `folder` is a file, or holds a file of the same name; nothing is written then.
    """
    place = Place(str(folder), None, "")
    if folder.exists() and not folder.is_dir():
        raise BadInput.at(place, "this is a file", "give a folder")
    starter = {
        f.name: f.read_bytes() for f in resources.files("app").joinpath("starter").iterdir() if f.is_file()
    }
    taken = sorted(name for name in starter if (folder / name).exists())
    if taken:
        raise BadInput.at(place, f"it already holds {' and '.join(taken)}", "give another folder")
    folder.mkdir(parents=True, exist_ok=True)
    written = [folder / name for name in sorted(starter)]
    for path in written:
        path.write_bytes(starter[path.name])
    return written
