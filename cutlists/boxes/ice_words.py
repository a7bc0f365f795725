"""An insulated box told on paper: how its walls are built up, what comes in where, how long ice keeps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from cutlists.boxes.boards import BoxCut, board_plan
from model.insulation.plan import BoxPlan, box_plans
from model.insulation.settings import CUBES, FILM, LATENT, NO_GASKET, SEAM
from parts.amounts import format_mass, format_temperature
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

CAUTIONS = (
    "The days of ice are an estimate: closed lid, box and what is in it cold before, melt water left in or "
    "drained alike, no sun on the lid. Each opening and each warm thing put in costs ice.",
    "Keep food that spoils below 40 F (4 C) and measure it; ice that has melted keeps nothing.",
    "Foam goes in when all welding near it is done: it burns, and its smoke is poisonous.",
)
FACE_HEAD = (
    "face", "inside m2", "outside m2", "inner sheet", "foam", "outer sheet", "S of face m", "S of edges m",
    "W/K",
)  # fmt: skip


def face_rows(box: BoxPlan, units: str) -> list[tuple[str, ...]]:
    """Each face: areas, build-up from the inside, shape factors, what it lets through."""
    rows: list[tuple[str, ...]] = []
    for heat in box.heat.faces:
        wall = heat.wall
        foam = format_length(wall.foam, units) if wall.has_foam else "none"
        if not wall.flat:
            foam += f" ({wall.least:.0f} to {wall.most:.0f} mm)"
        rows.append((
            wall.face, f"{wall.inner * 1e-6:.4f}", f"{wall.outer * 1e-6:.4f}", _sheet(wall.inner_sheet), foam,
            _sheet(wall.outer_sheet), f"{heat.flat:.3f}", f"{heat.edges:.3f}", f"{heat.conductance:.4f}",
        ))  # fmt: skip
    return rows


def heat_rows(box: BoxPlan) -> list[tuple[str, str]]:
    """What comes in besides through the faces, and the sum, W/K."""
    heat = box.heat
    rows = [("all faces", f"{heat.walls:.4f}")]
    rows += [(f"{bridge.name}: {bridge.what}", f"{bridge.conductance:.4f}") for bridge in heat.bridges]
    share = SEAM if box.asked.gasket else NO_GASKET
    seal = "with a gasket" if box.asked.gasket else "without a gasket"
    rows.append((f"seam of the lid {seal}, {100 * share:.0f} % of the faces, a guess", f"{heat.seam:.4f}"))
    rows.append(("in all", f"{heat.total:.4f}"))
    return rows


def day_rows(box: BoxPlan, units: str) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Heading and rows: days by mass of ice and temperature outside; what does not fit is told so."""
    head = ("ice", *(format_temperature(warm, units) for warm in box.asked.outside))
    rows = []
    for ice in box.asked.ice:
        if ice > box.ice_held:
            cells = ["does not fit"] * len(box.asked.outside)
        else:
            cells = [f"{box.heat.days(ice, warm):.1f} days" for warm in box.asked.outside]
        rows.append((format_mass(ice, units), *cells))
    return head, rows


def holds_line(box: BoxPlan, units: str) -> str:
    """What the box holds."""
    ice = format_mass(box.ice_held, units)
    return (
        f"holds {box.litres:.1f} litres ({box.quarts:.1f} US qt) to its rim; {ice} of ice cubes fill it "
        f"({100 * CUBES:.0f} % of it is ice then)"
    )


def working(box: BoxPlan, units: str) -> tuple[str, ...]:
    """How the days come about, by the first mass and temperature asked."""
    asked, heat = box.asked, box.heat
    ice, warm = asked.ice[0], asked.outside[0]
    watts = heat.total * warm
    return (
        f"Foam: {asked.foam}, {asked.conductivity:g} W/(m K). A face lets through k x S, S its inside area "
        "over the foam's thickness and half of each edge and a third of each corner (shape factors, "
        f"measured from the inside), in line with {FILM:.1f} W/(m2 K) of still air on its outside. "
        "The sheets themselves hold back nothing; inside all is at 0 C.",
        f"{format_mass(ice, units)} of ice at {format_temperature(warm, units)}: heat in {heat.total:.4f} "
        f"W/K x {warm:.1f} K = {watts:.1f} W; to melt {ice:.2f} kg x {LATENT / 1000:.1f} kJ/kg = "
        f"{ice * LATENT / 1e6:.3f} MJ; {ice * LATENT / 1e6:.3f} MJ / {watts:.1f} W = "
        f"{heat.days(ice, warm):.2f} days.",
    )


def piece_rows(box: BoxPlan, cuts: Sequence[BoxCut], units: str, denominator: int = 16) -> list[list[str]]:
    """Foam to cut for a box: mark, face, size, thickness, board, note."""
    rows = []
    for cut in cuts:
        if not cut.piece.name.startswith(f"{box.name}/"):
            continue
        x0, y0, x1, y1 = cut.piece.outline.bounds
        sides = [format_length(v, units, denominator) for v in (x1 - x0, y1 - y0, cut.piece.thickness)]
        layers = "" if cut.layers == 1 else f"{cut.layers} layers of "
        rows.append([cut.mark, cut.piece.face, *sides, f"{layers}{cut.board.name}", cut.piece.note])
    return rows


def ice_text(boat: Boat) -> Iterator[str]:
    """The lines of `ice.txt`: every box."""
    from textwrap import wrap

    cuts = board_plan(boat).box_cuts
    for box in box_plans(boat):
        yield from (box.name, "=" * len(box.name), "")
        yield from wrap(holds_line(box, boat.units), 96)
        yield ""
        yield from table(FACE_HEAD, face_rows(box, boat.units))
        yield ""
        yield from table(("heat in", "W/K"), heat_rows(box))
        yield ""
        yield from table(*day_rows(box, boat.units))
        yield ""
        for line in working(box, boat.units):
            yield from wrap(line, 96)
        yield ""
        head = ("mark", "foam of", "length", "height", "thick", "cut from", "")
        yield from table(head, piece_rows(box, cuts, boat.units))
        yield ""
    for caution in CAUTIONS:
        yield from wrap(caution, 96, initial_indent="- ", subsequent_indent="  ")


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Plain columns, the head first."""
    wide = [max(len(str(row[k])) for row in (head, *rows)) for k in range(len(head))]
    for row in (head, *rows):
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, wide, strict=True)).rstrip()


def _sheet(thickness: float) -> str:
    return f"{thickness:.2f} mm" if thickness > 0.0 else ""
