"""What is kept is handed out again for equal content, and for nothing else."""

import numpy as np
import pytest
from shapely import Polygon, box

from model.geometry import Frame
from model.kept import Kept, content
from model.layout.edges import Edge
from parts.catalogue import starter
from parts.outline import Loop


class Hull:
    """Stands for a hull: something that can be referred to weakly."""


def test_equal_content_makes_nothing_anew():
    kept, hull = Kept(), Hull()
    first = kept.get(hull, content(box(0, 0, 2, 3)), object)
    assert kept.get(hull, content(box(0, 0, 2, 3)), object) is first
    assert kept.get(hull, content(box(0, 0, 2, 3.5)), object) is not first


def test_another_hull_has_its_own():
    kept, one, other = Kept(), Hull(), Hull()
    assert kept.get(one, 1, object) is not kept.get(other, 1, object)


def test_a_failure_is_not_kept():
    kept, hull = Kept(), Hull()
    with pytest.raises(ZeroDivisionError):
        kept.get(hull, "x", lambda: 1 / 0)
    assert kept.get(hull, "x", lambda: 7) == 7


def test_no_more_is_kept_than_was_said():
    kept, hull = Kept(most=3), Hull()
    for k in range(10):
        kept.get(hull, k, object)
        assert len(kept._of[hull]) <= 3


def test_what_a_hull_carried_goes_with_it():
    kept, hull = Kept(), Hull()
    kept.get(hull, 1, object)
    del hull
    assert not kept._of


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (np.zeros((2, 3)), np.zeros((3, 2))),
        (Frame.level(1.0), Frame.level(1.0 + 1e-12)),
        (Loop.rectangle(2.0, 3.0), Loop.rectangle(2.0, 3.0, 0.1)),
        (Edge("aft", np.zeros((2, 2))), Edge("forward", np.zeros((2, 2)))),
        ({"a": 1.0}, {"b": 1.0}),
        (starter().get("section", "rect-1x2x0.125"), starter().get("section", "rect-1x1.5x0.125")),
        (Polygon([(0, 0), (1, 0), (1, 1)]), Polygon([(1, 0), (1, 1), (0, 0)])),
    ],
)
def test_content_tells_what_differs(one, other):
    assert content(one) != content(other)
    assert hash(content(one)) is not None


@pytest.mark.parametrize(
    "make",
    [
        lambda: Frame.level(4.0),
        lambda: Loop.rectangle(2.0, 3.0, 0.5),
        lambda: Edge("aft", np.array([[0.0, 1.0], [2.0, 3.0]])),
        lambda: (1.0, ["a", None], {"k": box(0, 0, 1, 1)}),
    ],
)
def test_content_of_equal_records_is_equal(make):
    assert content(make()) == content(make())
