"""The fairness report finds the mis-measured point."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from model.fairness import fairness, judge
from model.survey import Survey
from tests.model.hull_samples import box, demo, waterlines, wigley

NAMES = ("lake16", "flat14", "vee18")
ERROR = 10.0


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("axis", ["half_breadth", "height"])
@pytest.mark.parametrize("error", [ERROR, -ERROR])
def test_an_error_in_any_interior_point_is_ranked_first(name: str, axis: str, error: float) -> None:
    hull = demo(name)
    survey = hull.survey
    assert survey is not None
    ends = (survey.stations[0], survey.stations[-1])
    interior = [i for i, point in enumerate(survey.points) if point.station not in ends]
    assert len(interior) >= 21
    for i in interior:
        right = survey.points[i]
        wrong = replace(right, **{axis: getattr(right, axis) + error})
        points = (*survey.points[:i], wrong, *survey.points[i + 1 :])
        first, second = judge(Survey(survey.lines, points), hull.leans)[:2]
        assert first.point is wrong, f"{wrong.place}: {first.point.place} was ranked first"
        assert first.score > second.score
        # The value that would be fair is the one that was right, but for the tape and the curve.
        fair = np.array([first.fair_half_breadth, first.fair_height])
        assert np.hypot(*(fair - [right.half_breadth, right.height])) < 4.0
        assert (first.point.place.file, first.point.place.line) == (right.place.file, right.place.line)


@pytest.mark.parametrize("name", NAMES)
def test_the_demo_surveys_are_fair(name: str) -> None:
    report = fairness(demo(name))
    survey = demo(name).survey
    assert survey is not None
    assert len(report) == len(survey.points)
    assert [judged.score for judged in report] == sorted((j.score for j in report), reverse=True)
    assert report[0].score < 2.0
    inner = [j for j in report if j.point.station not in (survey.stations[0], survey.stations[-1])]
    assert max(judged.off for judged in inner) < 4.0


def test_a_smooth_form_is_fair_and_an_error_in_it_is_measured() -> None:
    # The Wigley waterlines are parabolas in x: nothing is off, and an error comes back whole.
    hull = waterlines(wigley(4800.0, 1800.0, 700.0), np.linspace(0, 4800, 11), np.linspace(0, 700, 5))
    assert max(judged.off for judged in fairness(hull)) < 1e-6
    survey = hull.survey
    assert survey is not None
    points = list(survey.points)
    k = next(i for i, p in enumerate(points) if p.line == "line 2" and p.station == 1920.0)
    points[k] = replace(points[k], half_breadth=points[k].half_breadth + 25.0)
    first = judge(Survey(survey.lines, tuple(points)), {})[0]
    assert first.point is points[k]
    assert first.off == pytest.approx(25.0, abs=1e-6)


def test_a_centreline_that_leaves_the_centre() -> None:
    hull = box(4000.0, 1600.0, 500.0, stations=9)
    survey = hull.survey
    assert survey is not None
    points = list(survey.points)
    k = next(i for i, p in enumerate(points) if p.line == "keel" and p.station == 2000.0)
    points[k] = replace(points[k], half_breadth=4.0)
    first = judge(Survey(survey.lines, tuple(points)), {})[0]
    assert first.point is points[k]
    assert (first.fair_half_breadth, first.off) == (0.0, 4.0)


def test_three_stations_cannot_be_judged() -> None:
    hull = box(4000.0, 1600.0, 500.0, stations=3)
    assert all(judged.score < 1e-3 for judged in fairness(hull))
    with pytest.raises(ValueError, match="no survey"):
        fairness(replace(hull, survey=None))
