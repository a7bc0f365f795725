"""The whole boat faded, with what a finding is about in colour: where in the boat it is."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from cutlists.findings.paper import COLOURS, FADED, Panel, area, path, ring, scale_bar, seen, strokes
from cutlists.findings.solids import Concerned, Drawn
from cutlists.hull_lines import SceneLine
from cutlists.view_camera import Camera, View
from model.geometry import Array

VIEWS = (
    View.looking("starboard", "From the starboard quarter", eye=(-0.62, -0.95, 0.78)),
    View.looking("port", "From the port quarter", eye=(-0.62, 0.95, 0.78)),
)


class Overview:
    """The boat from one quarter; its faded lines are drawn once for all findings."""

    def __init__(
        self, view: View, solids: Sequence[Drawn], lines: Sequence[SceneLine], panel: Panel, units: str
    ) -> None:
        self.view, self.solids, self.lines, self.panel, self.units = view, solids, lines, panel, units
        corners = np.concatenate([solid.mesh.vertices for solid in solids])
        self.camera = _fitted(Camera.fit(view, corners, panel.width, bands=False), panel)

    @cached_property
    def _faded(self) -> str:
        frame = [solid.mesh for solid in self.solids if not solid.name.startswith("hull")]
        hull = [self.camera.to_paper(self.camera.to_view(line.points)) for line in self.lines]
        lines = path(hull, f'fill="none" stroke="{FADED}" stroke-width="1.2"')
        return lines + strokes(frame, self.camera, FADED, 0.6) + scale_bar(self.camera, self.units)

    def drawn(self, about: Concerned, where: Array | None, cut: Array | None) -> str:
        """The panel for one finding.

        Args:
            about: what it is about.
            where: its point in the boat.
            cut: corners of the section beside it, `(n, 3)` in the boat.
        """
        found = [self._faded]
        for role, solid in about.solids:
            colour, body = COLOURS[role], seen(solid.body, self.camera)
            if solid.name != "hull":
                found.append(area(body.project(), self.camera, f'fill="{colour}" fill-opacity="0.55"'))
                found.append(strokes([solid.mesh], self.camera, colour, 1.1))
        if cut is not None:
            style = 'fill="none" stroke="#1d2429" stroke-width="1" stroke-dasharray="5 4"'
            found.append(path([self._paper(cut)], style, closed=True))
        if where is not None:
            found.append(ring(self._paper(where[None])[0]))
        return self.panel.framed("".join(found), self.view.title)

    def _paper(self, points: Array) -> Array:
        return self.camera.to_paper(self.camera.to_view(points))


def overviews(
    solids: Sequence[Drawn], lines: Sequence[SceneLine], panel: Panel, units: str
) -> dict[str, Overview]:
    """The boat from either quarter, by the side it is seen from."""
    return {view.name: Overview(view, solids, lines, panel, units) for view in VIEWS}


def _fitted(camera: Camera, panel: Panel) -> Camera:
    """The camera brought to the panel's size: scaled down where the picture is too high, then centred."""
    width, height = camera.width / camera.scale, camera.height / camera.scale
    scale = min(camera.scale, panel.height / height)
    left = camera.left - (panel.width / scale - width) / 2.0
    top = camera.top + (panel.height / scale - height) / 2.0
    return Camera(camera.view, left, top, scale, panel.width, panel.height)
