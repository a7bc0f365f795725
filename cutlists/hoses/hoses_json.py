"""The report of hoses as JSON: all numbers in mm, litres and seconds."""

from __future__ import annotations

import json
import math
from typing import Any

from model.geometry import Array
from model.hoses.check import CAUTIONS, HoseReport
from model.hoses.lay import HoseFound
from model.hoses.lines import Line
from model.hoses.pump_curve import LITRE_AN_HOUR, Operating
from model.hoses.skins import SOURCE, SkinFitting
from model.hoses.wells import WellFound
from model.water.wells import LITRE


def hoses_json(report: HoseReport) -> str:
    """The whole report, a line at its end."""
    told = {
        "hoses": [_hose(one) for one in report.hoses],
        "pumps": [_line(line) for line in report.lines],
        "wells": [_well(well) for well in report.wells],
        "through_skin": [_skin(skin) for skin in report.skins],
        "heaviest_case": report.waters.heaviest if report.waters is not None else "",
        "remarks": list(report.remarks),
        "findings": [
            {"kind": f.kind, "pieces": list(f.pieces), "what": f.what, "cure": f.cure, "short": f.short,
             "measure": f.measure, "where": None if f.where is None else _point(f.where)}
            for f in report.findings
        ],
        "sources": [SOURCE],
        "cautions": list(CAUTIONS),
    }  # fmt: skip
    return json.dumps(told, indent=1, allow_nan=False) + "\n"


def _point(at: Array) -> list[float | None]:
    return [_number(float(v)) for v in at]


def _number(value: float | None, digits: int = 1) -> float | None:
    """To a tenth; nothing where it is no number."""
    return None if value is None or not math.isfinite(value) else round(value, digits)


def _hose(one: HoseFound) -> dict[str, Any]:
    plan, profile = one.plan, one.profile
    return {
        "name": one.name,
        "from": plan.start.name,
        "to": plan.end.name,
        "kind": plan.kind,
        "hose": plan.hose.name,
        "inside": _number(plan.hose.inside, 2),
        "outside": _number(plan.hose.outside, 2),
        "length": _number(one.length),
        "to_cut": _number(one.to_cut),
        "path": [] if one.run is None else [_point(p) for p in one.run.path],
        "through": [] if one.run is None else list(one.run.through),
        "fall": None if profile is None else _number(profile.fall),
        "climb": None if profile is None else _number(profile.climb),
        "least_slope": None if profile is None else _number(profile.slope, 4),
        "low_spots": []
        if profile is None
        else [{"at": _point(s.at), "depth": _number(s.depth)} for s in profile.low_spots],
        "loop": _number(one.loop),
        "elbows": plan.elbows,
        "siphon_break": plan.siphon_break,
        "clips": one.clips,
        "clamps": list(one.clamps),
    }


def _line(line: Line) -> dict[str, Any]:
    return {
        "pump": line.pump.name,
        "part": "" if line.pump.part is None else line.pump.part.name,
        "takes": line.source,
        "well": line.well,
        "leads_to": line.sink.name,
        "hoses": [hose.name for hose in line.hoses],
        "rated_litres_an_hour": _hourly(line.rated),
        "works": {case: _works(one) for case, one in line.works.items()},
    }


def _works(one: Operating | None) -> dict[str, float | None] | None:
    if one is None:
        return None
    return {
        "litres_an_hour": _hourly(one.flow),
        "head": _number(one.head),
        "lifts": _number(one.static),
        "speed": _number(one.speed),
    }


def _hourly(flow: float | None) -> float | None:
    return None if flow is None else _number(flow / LITRE_AN_HOUR)


def _well(well: WellFound) -> dict[str, Any]:
    return {
        "name": well.name,
        "litres": _number(well.volume / LITRE, 2),
        "overflow": _number(well.overflow),
        "rim": _number(well.rim),
        "inflow_litres_an_hour": _hourly(well.inflow),
        "turned_over_litres_an_hour": _hourly(well.turned_over),
        "filled_anew_seconds": _number(well.turnover),
        "overflow_stands": _number(well.rise),
        "runs_over": well.rise is not None and math.isinf(well.rise),
        "overflows": list(well.overflows),
        "drains": [
            {
                "hose": drain.hose,
                "ways": {
                    case: {
                        "seconds": _number(way.seconds),
                        "left_at": _number(way.left),
                        "left_litres": _number(drain.left[case] / LITRE, 2),
                    }
                    for case, way in drain.ways.items()
                },
            }
            for drain in well.drains
        ],
    }


def _skin(skin: SkinFitting) -> dict[str, Any]:
    return {
        "name": skin.name,
        "side": skin.side,
        "at": _point(skin.at),
        "bore": _number(skin.bore, 2),
        "part": skin.part,
        "shut_by": skin.shut,
        "over_water": {case: _number(height) for case, height in skin.over.items()},
        "least_over_water": None if skin.least is None else _number(skin.least[0]),
        "least_in": "" if skin.least is None else skin.least[1],
        "valve": skin.wants,
        "serves": list(skin.serves),
        "lets_in_litres_an_hour": _hourly(skin.lets_in),
    }
