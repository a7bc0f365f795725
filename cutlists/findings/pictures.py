"""One picture for each finding: where it is in the boat, and a cut through it."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from cutlists.findings.overview import overviews
from cutlists.findings.paper import COLOURS, INK, Panel, text
from cutlists.findings.section import NARROW, Section, best_cut
from cutlists.findings.solids import Concerned, concerned, drawn_solids
from model.checks.words import short_told, where_told
from parts.faults import one_line

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from cutlists.scene import Scene
    from model.boat import Boat
    from model.findings import Finding
    from model.geometry import Array

WIDTH, HEIGHT = 1280, 760
LEFT = Panel("whole", 24.0, 172.0, 680, 564)
RIGHT = Panel("cut", 728.0, 172.0, 528, 564)
LETTERS = 146
"""Letters in a line across the sheet."""

WATER = "water"
"""The kind of findings that are cut upright, so that the level of the water is seen."""

SAME = 1.0
"""Skin and frame nearer than this to the centreline, mm, are seen from starboard."""


def finding_pictures(
    boat: Boat, findings: Sequence[Finding], scene: Scene
) -> Iterator[tuple[int, str, bytes]]:
    """Number, file name and SVG of each finding's picture, made as it is asked for.

    Args:
        boat: the boat.
        findings: in the order in which they are told; they are numbered from 1.
        scene: of the boat.
    """
    solids = drawn_solids(boat, scene)
    whole = overviews(solids, scene.lines, LEFT, boat.units)
    for number, finding in enumerate(findings, 1):
        about = concerned(finding, solids)
        where = _place(finding, about)
        cut = None if where is None else best_cut(about, where, finding.kind == WATER)
        section = None if cut is None else Section(cut, about, RIGHT, boat.units, _close(finding))
        side = "starboard" if where is None or where[1] < SAME else "port"
        corners = None if section is None else section.corners
        body = whole[side].drawn(about, finding.where, corners)
        mark = where if finding.where is None else finding.where
        body += section.drawn(mark) if section is not None and mark is not None else ""
        yield number, file_name(number, finding), _sheet(number, finding, about, boat.units, body).encode()


def write_pictures(
    boat: Boat, findings: Sequence[Finding], scene: Scene, folder: Path, tell: Callable[[str], None]
) -> dict[int, str]:
    """Writes a picture of each finding into a folder, made if need be; the files by the findings' numbers.

    Raises:
        OSError: a file could not be written.
    """
    folder.mkdir(exist_ok=True)
    found: dict[int, str] = {}
    for number, name, data in finding_pictures(boat, findings, scene):
        tell(f"drawing finding {number} of {len(findings)}")
        (folder / name).write_bytes(data)
        found[number] = name
    return found


def file_name(number: int, finding: Finding) -> str:
    """Such as `02-lid-deck.front-hatch-lid.svg`."""
    piece = re.sub(r"[^A-Za-z0-9.-]+", "-", finding.pieces[0] if finding.pieces else "boat")
    return f"{number:02d}-{finding.kind}-{piece[:60]}.svg"


def _place(finding: Finding, about: Concerned) -> Array | None:
    """Where the boat is cut: the finding's point, or the middle of its first piece; of water its middle."""
    shown = [solid.box for role, solid in about.solids if role == "shown"]
    if finding.kind == WATER and shown:
        return np.asarray(shown[0].mean(axis=0))
    if finding.where is not None:
        return np.asarray(finding.where, dtype=np.float64)
    boxes = [solid.box for role, solid in about.solids if role == "first"] + shown
    return None if not boxes else np.asarray(boxes[0].mean(axis=0))


def _close(finding: Finding) -> float | None:
    """How much two pieces are short of their gap, mm, where that is what is wrong."""
    return finding.short if finding.kind in NARROW and finding.measure == "mm" else None


def _sheet(number: int, finding: Finding, about: Concerned, units: str, body: str) -> str:
    title = one_line(f"{number}. {finding.kind}: {', '.join(finding.pieces[:2])}")
    short, where = short_told(finding, units), where_told(finding, units)
    told = [finding.what, f"short by {short}" if short else "", where, f"cure: {finding.cure}"]
    lines = textwrap.wrap(one_line("; ".join(part for part in told if part)), LETTERS)[:3]
    head = text(title, 24.0, 38.0, 20.0, bold=True)
    head += "".join(text(line, 24.0, 64.0 + 19.0 * k, 14.0) for k, line in enumerate(lines))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}">\n<title>{_plain(title)}</title>\n'
        f'<rect width="100%" height="100%" fill="#ffffff"/>\n{head}{_legend(about)}{body}</svg>\n'
    )


def _legend(about: Concerned) -> str:
    """The names that are told, each with its colour."""
    found, x = "", 24.0
    for name, role, solids in about.named:
        if not solids:
            continue
        found += f'<rect x="{x:.1f}" y="126" width="13" height="13" fill="{COLOURS[role]}"/>'
        found += text(one_line(name), x + 19.0, 137.0, 13.0, INK)
        x += 40.0 + 7.9 * len(name)
    return found


def _plain(words: str) -> str:
    return words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
