"""Wires and hoses in the owner's folder: their pages, and the things of them that are no fixtures."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from cutlists.handover.things import Located
from cutlists.packet.electrics_pages import electrics_pages
from cutlists.packet.hose_pages import hose_pages
from cutlists.packet.page import Page
from cutlists.packet.paper import Paper, PaperSet
from model.electrics.report import ElectricsReport
from model.hoses.check import HoseReport

if TYPE_CHECKING:
    from model.boat import Boat
    from model.checks.run import Checked


def systems_located(boat: Boat, checked: Checked) -> Iterator[Located]:
    """Devices and loads of the wires, and fittings in the skin, each where it is."""
    wires, hoses = checked.reports.get("wires"), checked.reports.get("hoses")
    if isinstance(wires, ElectricsReport) and wires.electrics is not None:
        for device in wires.electrics.devices.values():
            if device.spot.point is not None:
                yield Located(device.name, device.kind.replace("_", " "), device.spot.point)
        for load in wires.electrics.loads.values():
            if load.spot.point is not None:
                yield Located(load.name, "electric", load.spot.point)
    if isinstance(hoses, HoseReport):
        fixtures = {plan.name for plan in boat.layout.fixtures}
        for skin in hoses.skins:
            if skin.name not in fixtures:
                shut = f", shut by {skin.shut}" if skin.shut else ""
                yield Located(skin.name, f"through the skin{shut}", skin.at)


def systems_pages(boat: Boat, checked: Checked, papers: PaperSet) -> Iterator[Page]:
    """Diagrams, runs and tables, on paper that every owner has."""
    lying = PaperSet(papers.name, papers.lists, Paper(papers.name, papers.lists.height, papers.lists.width))
    wires, hoses = checked.reports.get("wires"), checked.reports.get("hoses")
    if isinstance(wires, ElectricsReport):
        yield from electrics_pages(boat, wires, lying)
    if isinstance(hoses, HoseReport):
        yield from hose_pages(boat, hoses, lying)
