"""The command `athwart strength`: a cluster that cannot be worked on is bad input, told with its cure."""

from __future__ import annotations

import pytest

from app.strength import _cluster_faults
from parts.faults import BadInput, Place


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (OSError("timed out"), "no cluster answers: timed out"),
        (ValueError("odd address"), "no cluster answers: odd address"),
        (RuntimeError("Cannot load. See docs."), "the cluster cannot do this work: Cannot load"),
        (ModuleNotFoundError("gone", name="distributed"), "dask.distributed is not installed"),
    ],
)
def test_a_cluster_that_cannot_be_worked_on_is_told(error, told):
    with pytest.raises(BadInput) as refused, _cluster_faults("tcp://10.0.0.5:8786"):
        raise error
    (fault,) = refused.value.faults
    assert (fault.place.key, fault.wrong) == ("tcp://10.0.0.5:8786", told)
    assert fault.right


@pytest.mark.parametrize(
    "error", [OSError("x"), RuntimeError("x"), ModuleNotFoundError("x", name="distributed")]
)
def test_without_a_cluster_faults_are_left_as_they_are(error):
    with pytest.raises(type(error)), _cluster_faults(None):
        raise error


def test_a_fault_of_the_file_is_handed_on():
    fault = BadInput.at(Place("boat.yaml", 3, "decks"), "wrong", "right")
    with pytest.raises(BadInput) as refused, _cluster_faults("tcp://10.0.0.5:8786"):
        raise fault
    assert refused.value is fault
