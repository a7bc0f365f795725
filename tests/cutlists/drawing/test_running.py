"""Running dimensions: figures that never stand on each other, judged by an independent optimiser."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from cutlists.drawing.drawing import Drawing
from cutlists.drawing.running import Place, merged, run_below, spread


@given(st.lists(st.floats(0, 200), min_size=1, max_size=20).map(sorted))
def test_figures_keep_their_distance_and_order(wanted):
    found = spread(np.array(wanted), 4.0, -20.0, 220.0)
    assert np.diff(found).min(initial=np.inf) >= 4.0 - 1e-9
    assert found[0] >= -20.0 - 1e-9


@settings(max_examples=20, deadline=None)
@given(st.lists(st.floats(0, 60), min_size=2, max_size=6).map(sorted))
def test_figures_move_as_little_as_they_can(wanted):
    """Against scipy's SLSQP on the same least squares under the same gaps."""
    places = np.array(wanted)
    found = spread(places, 5.0, -100.0, 200.0)
    gaps = [{"type": "ineq", "fun": lambda y, i=i: y[i + 1] - y[i] - 5.0} for i in range(len(places) - 1)]
    start = places[0] + 6.0 * np.arange(len(places))
    best = minimize(lambda y: ((y - places) ** 2).sum(), start, constraints=gaps, method="SLSQP")
    assert ((found - places) ** 2).sum() <= best.fun + 1e-3


def test_one_figure_for_places_that_are_one():
    places = [Place(10.2, "b", 5.0), Place(10.0, "a", 3.0), Place(30.0, "c", 1.0)]
    assert [p.words for p in merged(places)] == ["a", "c"]


def test_ticks_stand_where_they_are_told_and_figures_apart():
    drawing = Drawing(100.0, 60.0)
    at = np.array([20.0, 20.5, 50.0])
    places = [Place(v, str(v), 10.0) for v in at]
    run_below(drawing, places, at, 30.0, 5.0)
    root = ET.fromstring(drawing.svg())
    ticks = [re.findall(r"[ML]([\d.]+) ", p.get("d"))[0] for p in root.findall(".//{*}path")]
    assert {"20.000", "20.500", "50.000"} <= set(ticks)
    texts = sorted(float(t.get("x")) for t in root.findall(".//{*}text"))
    assert np.diff(texts).min() >= 2.5
    assert len(texts) == 3
    assert float(root.get("viewBox").split()[2]) == pytest.approx(100.0)
