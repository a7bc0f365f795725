"""Boxes, foam and coverings as JSON for other programs; mm, litres, kg, W/K, m2."""

from __future__ import annotations

import json
from typing import Any

import shapely

from cutlists.boxes.amounts import CoatingAmounts
from model.foam.check import FoamReport
from model.insulation.plan import BoxPlan

FORMAT = "athwart-boxes"


def boxes_json(boxes: tuple[BoxPlan, ...], foam: FoamReport, amounts: CoatingAmounts) -> str:
    """The text of the file."""
    told = {
        "format": FORMAT,
        "version": 1,
        "boxes": [_box(box) for box in boxes],
        "foam": _foam(foam),
        "coverings": _coverings(amounts),
    }
    return json.dumps(told, indent=1, ensure_ascii=False) + "\n"


def _box(box: BoxPlan) -> dict[str, Any]:
    heat = box.heat
    return {
        "name": box.name,
        "litres": round(box.litres, 3),
        "ice_kg_held": round(box.ice_held, 3),
        "faces": [
            {
                "face": face.wall.face,
                "inside_m2": round(face.wall.inner * 1e-6, 6),
                "outside_m2": round(face.wall.outer * 1e-6, 6),
                "foam_mm": round(face.wall.foam, 3),
                "conductance": round(face.conductance, 6),
            }
            for face in heat.faces
        ],
        "bridges": [{"name": own.name, "conductance": round(own.conductance, 6)} for own in heat.bridges],
        "seam": round(heat.seam, 6),
        "total": round(heat.total, 6),
        "days": [
            {"ice_kg": round(ice, 3), "outside_c": round(warm, 2), "days": round(heat.days(ice, warm), 3)}
            for ice in box.asked.ice
            if ice <= box.ice_held
            for warm in box.asked.outside
        ],
    }


def _foam(report: FoamReport) -> dict[str, Any] | None:
    plan = report.plan
    if plan is None:
        return None
    return {
        "litres": round(plan.volume * 1e-6, 3),
        "litres_in_boxes": round(report.boxes * 1e-6, 3),
        "litres_needed": None if report.needed is None else round(report.needed * 1e-6, 3),
        "litres_high_aft": round(report.spread.aft * 1e-6, 3),
        "litres_high_at_sides": round(report.spread.sides * 1e-6, 3),
        "kg": round(plan.mass, 3),
        "lifts_kg": round(plan.lift, 2),
        "blocks": [
            {
                "name": block.name,
                "mark": block.mark,
                "under": block.deck,
                "layer": block.layer,
                "board": block.board,
                "low": round(block.low, 3),
                "high": round(block.high, 3),
                "outline": shapely.get_coordinates(block.outline.exterior).round(2).tolist()[:-1],
                "holes": [shapely.get_coordinates(r).round(2).tolist()[:-1] for r in block.outline.interiors],
                "slide": block.slide.round(2).tolist(),
                "through": block.through,
            }
            for block in plan.blocks
        ],
    }


def _coverings(amounts: CoatingAmounts) -> dict[str, Any]:
    return {
        "mat_m2": round(amounts.coverings.mat * 1e-6, 4),
        "coats": [
            {
                "on": coat.system,
                "use": coat.use,
                "of": coat.coating.name,
                "coats": coat.coats,
                "m2": round(coat.area, 4),
                "litres": round(coat.litres, 3),
            }
            for coat in amounts.coats
        ],
        "tins": [
            {
                "of": need.coating.name,
                "litres": round(need.litres, 3),
                "tins": [list(own) for own in need.tins],
            }
            for need in amounts.needs
        ],
    }
