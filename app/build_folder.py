"""A build goes into a fresh folder beside its target and is swapped in whole.

The target is at any moment the last good build or the new one. A hidden file in it lists what the build
wrote, so that neither a stranger's folder nor a file laid into a build by hand is ever thrown away.
"""

from __future__ import annotations

import fcntl
import glob
import json
import os
import shutil
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from parts.faults import BadInput, Place

MARKER = ".athwart-build"


@contextmanager
def fresh_build(target: Path) -> Iterator[Path]:
    """Yields an empty folder to build into; on leaving it takes the place of `target`.

    An error inside, an interrupt too, removes the fresh folder and leaves `target` as it was.

    Raises:
        BadInput: `target` is something else than an earlier build, an empty folder or nothing.
    """
    check_target(target)
    target = Path(os.path.realpath(target))
    target.parent.mkdir(parents=True, exist_ok=True)
    _sweep(target)
    fresh = target.with_name(f".{target.name}.new-{uuid.uuid4().hex[:12]}")
    fresh.mkdir()
    held = os.open(fresh, os.O_RDONLY)
    try:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield fresh
        _sign(fresh)
        check_target(target)
        _swap(fresh, target)
    except BaseException:
        shutil.rmtree(fresh, ignore_errors=True)
        raise
    finally:
        os.close(held)


def check_target(target: Path) -> None:
    """Refuses a target that a build must not replace; cheap, so that it can be asked before any work.

    Raises:
        BadInput: `target` is a file, or a folder with files that no build of ours wrote.
    """
    place = Place(str(target), None, "")
    target = Path(os.path.realpath(target))
    if not os.path.lexists(target):
        return
    if not target.is_dir():
        raise BadInput.at(place, "this is a file", "give a folder to build into")
    strange = _files(target) - _signed(target)
    if strange:
        first = min(strange)
        wrong = f"the folder holds {first}, which no build wrote" + _more(len(strange) - 1)
        raise BadInput.at(place, wrong, "move it, or give another folder")


def _more(others: int) -> str:
    return f", and {others} more" if others else ""


def _files(folder: Path) -> set[str]:
    """All files under a folder as relative paths; an empty subfolder counts as nothing."""
    return {
        str((Path(where) / name).relative_to(folder))
        for where, folders, names in os.walk(folder)
        for name in [*names, *(n for n in folders if (Path(where) / n).is_symlink())]
    }


def _sign(folder: Path) -> None:
    names = sorted(_files(folder) - {MARKER})
    (folder / MARKER).write_text(json.dumps({"files": names}, indent=0) + "\n", encoding="utf-8")


def _signed(folder: Path) -> set[str]:
    """The files that the build in `folder` wrote; none if it is not one."""
    try:
        names = json.loads((folder / MARKER).read_text(encoding="utf-8"))["files"]
    except (OSError, ValueError, KeyError, TypeError):
        return set()
    return {MARKER, *(name for name in names if isinstance(name, str))}


def _aside(target: Path) -> Path:
    return target.with_name(f".{target.name}.last")


def _swap(fresh: Path, target: Path) -> None:
    """Puts `fresh` where `target` is; the earlier build steps aside and comes back if that fails."""
    if not target.exists():
        fresh.rename(target)
        return
    aside = _aside(target)
    target.rename(aside)
    try:
        fresh.rename(target)
    except BaseException:
        aside.rename(target)
        raise
    _discard(aside)


def _discard(folder: Path) -> None:
    """Removes a build, its list last: a removal cut short still shows what the folder was."""
    for path in folder.iterdir():
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        elif path.name != MARKER:
            path.unlink()
    shutil.rmtree(folder)


def _sweep(target: Path) -> None:
    """Mends what a killed build left: the last good build goes back, dead fresh folders go."""
    aside = _aside(target)
    signed = _signed(aside)
    if signed and not target.exists() and signed <= _files(aside):
        aside.rename(target)
    elif signed:
        _discard(aside)
    for left in target.parent.glob(f".{glob.escape(target.name)}.new-{'[0-9a-f]' * 12}"):
        with suppress(OSError):
            _remove_if_dead(left)


def _remove_if_dead(left: Path) -> None:
    """Removes a fresh folder whose builder no longer holds its lock."""
    held = os.open(left, os.O_RDONLY | os.O_DIRECTORY)
    try:
        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        shutil.rmtree(left, ignore_errors=True)
    finally:
        os.close(held)
