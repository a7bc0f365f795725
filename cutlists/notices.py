"""What goes along with every build: cautions, findings, and which file is what."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from model.checks.words import short_told, where_told
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat
    from model.checks.run import Checked
    from model.fairness import Judged

WIDTH = 96
CAUTIONS = (
    "This is not approved engineering. The codes where the boat is built and used come first: capacity, "
    "stability, flotation, fuel, ventilation, lights. Have what carries people checked by someone licensed "
    "to do so.",
    "The model is as true as the survey. Read survey-check.csv from its top before anything is cut, and try "
    "one piece of each mark in the boat before cutting the rest.",
    "Welding softens aluminium beside the weld and pulls a frame out of line. Work to a qualified procedure, "
    "and take fuel and batteries out first.",
    "Weight high up or far out makes a boat tender. Weigh the boat and try her in shallow water before "
    "relying on her.",
    "Wiring, fuel lines and pumps have codes of their own, which come before what is worked out here. "
    "Batteries off before any work on wires; nothing that sparks where petrol vapour can be.",
    "A fitting that breaks off under water can sink her: shut every valve when she lies unwatched, look at "
    "hoses and clamps every season, and do not trust a pump to keep her up.",
)
FILES = (
    ("packet.pdf", "all of it on paper for the bench: drawings, lists, order of work, lid orders"),
    ("changes.txt", "what changed since the last revision, and what was cut that no longer fits"),
    ("saw-list.txt .csv .xlsx", "what to saw: by mark, lengths and the setting of each end"),
    ("pieces/", "a drawing of each mark"),
    ("sticks/", "each stick with what is cut from it: picture, places on the tape, saw settings"),
    ("sheet-list.csv .xlsx", "what to cut from sheet, by mark"),
    ("sheets/", "outline of each mark, DXF to cut and SVG to look at"),
    ("nests/", "each sheet with what is cut from it: DXF, picture, corners to lay out by hand"),
    ("mat/", "traction mat: the whole deck, each mark, each sheet; notes and cautions of its own"),
    ("buy-list.csv .xlsx", "what to buy, with prices where they are known, against what is on hand"),
    ("quote.pdf .csv .json", "what she costs: the sheet for the owner, every line, numbers to compare with"),
    ("quote-shop.pdf", "the same with the working, for the shop alone"),
    ("plans.json", "all that is cut up and left over; `athwart stock cut` reads it"),
    ("bevels.csv", "the bevel of every sheet edge along the hull, every few inches"),
    ("work.svg .csv", "who does what when: a chart of the days, every task with hours and what it follows"),
    ("welds.csv", "every welded end of the frame, its length by position"),
    ("lids.csv", "lids to buy or make, with cut-outs"),
    ("wells.csv", "what wells and boxes hold to their overflow and rim, in litres and US gallons"),
    ("ice.txt", "insulated boxes: what they hold, their walls, how long ice keeps, with the working"),
    ("foam/", "foam: blocks, where each goes, boards with what is cut from them, foam.glb to look into"),
    ("boxes.json", "boxes, foam, paint and glue for other programs"),
    ("coverings.csv", "area of every face, under others, under mat, and what it is painted with"),
    ("rods.csv", "where each rod lies, the longest that lies there and is passed in, and what stops it"),
    ("rod-lengths.csv", "how long a rod may be as a face is moved in angle and offset"),
    ("struts.csv", "gas struts to buy, where their eyes go, what a hand feels; read its caution"),
    ("survey-check.csv", "each measured point against the fair curve through the others, worst first"),
    ("boat.step .stl .glb", "the whole boat for other programs: solids, triangles, named pieces to look at"),
    ("boat.json", "every piece with its numbers; read back by the next build, so that marks stay"),
    ("findings.json", "what was checked and what is wrong, by harm, each with its numbers"),
    ("findings/", "a picture of each finding: where in the boat it is, and a cut through it"),
    ("afloat.txt .json", "what she weighs, how she floats, what she may carry by the rules"),
    ("weights.csv", "mass and centre of every piece; totals before and after the refit"),
    ("preview.html", "the boat to turn and look into in any browser, for the owner; needs nothing else"),
    ("electrics/", "wires to cut, fuse map, what to buy, battery hours, labels; diagram and runs"),
    ("strength/", "use of every member and bay of sheet, the working of the worst, pictures coloured by use"),
    ("handover/", "for the owner: where things are, systems, weights, care, and the page to turn her on"),
    ("plumbing/", "hoses to cut, pumps, wells, every hole through the skin, what to buy; diagram and runs"),
    ("pictures/", "plan, profile and quarter, of the frame, the finished boat, and its wires and hoses"),
)


def read_first(boat: Boat, folder: Path, checked: Checked) -> str:
    """The text of `READ-FIRST.txt`, which tells of the files that are in the build's folder.

    Args:
        boat: the boat.
        folder: the build's, all else written.
        checked: what the boat's checks came to.
    """
    lines = [boat.title, "=" * len(boat.title), "", "Cautions", ""]
    for caution in CAUTIONS:
        lines += textwrap.wrap(caution, WIDTH, initial_indent="- ", subsequent_indent="  ")
    lines += ["", "Findings", ""]
    lines += _findings(boat, checked)
    lines += ["", "Files", ""]
    there = [(name, what) for name, what in FILES if (folder / name.split()[0]).exists()]
    lines += [f"{name:<26}{what}" for name, what in there]
    return "\n".join(lines) + "\n"


def _findings(boat: Boat, checked: Checked) -> Iterator[str]:
    """Each finding by its number, then what was looked at."""
    for number, finding in enumerate(checked.findings, 1):
        short, where = short_told(finding, boat.units), where_told(finding, boat.units)
        told = [str(finding), f"short by {short}" if short else "", where]
        text = f"{finding.kind}: {'; '.join(part for part in told if part)}"
        yield from textwrap.wrap(text, WIDTH, initial_indent=f"{number}. ", subsequent_indent="   ")
    if not checked.findings:
        yield "- none"
    yield ""
    yield "Looked at:"
    for line in checked.summary:
        yield from textwrap.wrap(line, WIDTH, initial_indent="- ", subsequent_indent="  ")


def survey_check(judged: Sequence[Judged], units: str) -> list[list[str | float]]:
    """Rows of `survey-check.csv`, heading first: each measured point and the fair one, the worst first."""
    rows: list[list[str | float]] = [
        ["rank", "score", "off mm", "station", "side", "line", "half-breadth", "fair half-breadth", "height",
         "fair height", "at"],
    ]  # fmt: skip
    for rank, found in enumerate(judged, 1):
        point = found.point
        rows.append([
            rank,
            round(found.score, 2),
            round(found.off, 1),
            format_length(point.station, units),
            found.side,
            found.line,
            *(
                format_length(value, units)
                for value in (point.half_breadth, found.fair_half_breadth, point.height, found.fair_height)
            ),
            str(point.place) if point.place else "",
        ])  # fmt: skip
    return rows
