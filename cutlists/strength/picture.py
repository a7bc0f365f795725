"""The boat coloured by use: bars and bays from pale to dark, what is over one in red."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from cutlists.scene import FRAME, Colour, Scene, ScenePiece, scene_of
from cutlists.view_camera import HEAD, MARGIN, PLAN, QUARTER, View
from cutlists.view_picture import INK, Label, Picture, picture
from cutlists.view_png import png_bytes
from model.panel import panel_from_polygon
from model.strength.check import StrengthReport

if TYPE_CHECKING:
    from model.boat import Boat

# Each step is darker than the one before, so that a copy in black and white still reads.
STEPS = (
    (0.25, Colour("to 0.25", 0.91, 0.94, 0.92)),
    (0.50, Colour("to 0.50", 0.73, 0.86, 0.72)),
    (0.75, Colour("to 0.75", 0.90, 0.80, 0.35)),
    (1.00, Colour("to 1.00", 0.90, 0.55, 0.16)),
    (float("inf"), Colour("over 1.00", 0.68, 0.07, 0.10)),
)
UNKNOWN = Colour("not held", 0.25, 0.25, 0.28)

SWATCH = 22
"""Side of a square of the legend, px."""

THIN = 1.0
"""Bays are drawn this much above their sheet, mm, so as not to flicker with it."""


def colour_of(use: float | None) -> Colour:
    """The colour of a use; None is what nothing holds."""
    if use is None:
        return UNKNOWN
    return next(colour for most, colour in STEPS if use <= most)


NAMES = ("frame-plan", "frame-quarter", "sheet-plan")


def use_pictures(
    report: StrengthReport,
    boat: Boat,
    scene: Scene | None = None,
    names: Sequence[str] = NAMES,
    width: int = 1600,
) -> Iterator[tuple[str, bytes]]:
    """File name and PNG of each picture: the frame in plan and from the quarter, the sheet in plan.

    Args:
        report: with the uses.
        boat: the boat.
        scene: of it, where it is at hand.
        names: which pictures.
        width: px.
    """
    scene = scene or scene_of(boat)
    for name in names:
        on_sheet, view = name.startswith("sheet"), QUARTER if name.endswith("quarter") else PLAN
        part = _sheet(scene, report, boat) if on_sheet else _frame(scene, report)
        what = "use of the sheet between members" if on_sheet else "use of the frame"
        yield f"{name}.png", _png(part, view, f"{boat.title}: {what}", report, boat, width)


def _frame(scene: Scene, report: StrengthReport) -> Scene:
    uses = {use.name: use.use for use in report.members}
    hats = tuple(
        replace(piece, path=("members", *piece.path[1:]))
        for piece in scene.pieces
        if piece.group != "members" and piece.name in uses
    )
    frame = scene.only(("hull", "members"))
    return _coloured(Scene(frame.title, (*frame.pieces, *hats), frame.lines), uses)


def _coloured(scene: Scene, uses: Mapping[str, float]) -> Scene:
    pieces = tuple(
        replace(piece, colour=colour_of(uses.get(piece.name))) if piece.group == "members" else piece
        for piece in scene.pieces
    )
    return Scene(scene.title, pieces, scene.lines)


def _sheet(scene: Scene, report: StrengthReport, boat: Boat) -> Scene:
    """Bays over the frame, which is left plain; decks without their sheet."""
    kept = scene.only(("hull", "members")).pieces
    plain = [replace(p, colour=FRAME) if p.group == "members" else p for p in kept]
    bays = []
    for use in report.bays:
        plan = boat.layout.decks[use.bay.deck]
        panel = panel_from_polygon(
            use.bay.name, plan.frame.moved(dz=THIN), use.bay.polygon, plan.sheet, "deck"
        )
        bays.append(ScenePiece(use.bay.name, ("decks",), colour_of(use.use), panel.mesh()))
    return Scene(scene.title, (*plain, *bays), scene.lines)


def _png(scene: Scene, view: View, title: str, report: StrengthReport, boat: Boat, width: int) -> bytes:
    shown = picture(scene, view, title, boat.units, width)
    return _with_legend(png_bytes(replace(shown, labels=(*shown.labels, *_worst(shown, report)))), width)


def _worst(shown: Picture, report: StrengthReport) -> Iterator[Label]:
    """The greatest use of what is shown, lettered at its place."""
    names = {piece.name for piece in shown.solid.pieces}
    own = [row for row in report.all_uses if row[0] in names]
    if own:
        name, use, where = max(own, key=lambda row: row[1])
        x, y = shown.camera.to_paper(shown.camera.to_view(where)).tolist()
        yield Label(f"{use:.2f}", x, y, 17.0, "middle", bold=True)
        yield Label(f"greatest {use:.2f}: {name}", MARGIN + 190.0, 68.0, 15.0)


def _with_legend(data: bytes, width: int) -> bytes:
    """The picture with a square and a word for each step of colour at its head."""
    from PIL import Image, ImageDraw, ImageFont

    image = Image.open(io.BytesIO(data)).convert("RGB")
    draw, font = ImageDraw.Draw(image), ImageFont.load_default(15)
    colours = [*(colour for _, colour in STEPS), UNKNOWN]
    x, y = width - MARGIN - 118.0 * len(colours), HEAD / 2 - SWATCH / 2
    for colour in colours:
        draw.rectangle((x, y, x + SWATCH, y + SWATCH), fill=colour.hexadecimal, outline=INK)
        draw.text((x + SWATCH + 6, y + SWATCH - 6), colour.name, fill=INK, font=font, anchor="ls")
        x += 118.0
    out = io.BytesIO()
    image.save(out, "PNG", optimize=False, compress_level=7)
    return out.getvalue()
