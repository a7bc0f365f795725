"""Least squares with its errors: a straight line, a line through the origin, or several measures at once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from model.geometry import Array

SURE = 0.95
"""Share of cases that an interval is to hold, unless asked otherwise."""


@dataclass(frozen=True, eq=False)
class Fit:
    """What a least-squares fit says, and how sure it is.

    Attributes:
        coefficients: of the intercept first, where there is one, then of each measure, `(k,)`.
        errors: standard errors of these, `(k,)`.
        spread: standard deviation of what the fit leaves, the residuals.
        free: degrees of freedom, cases less coefficients.
        explained: share of the scatter that the fit explains, R2; about zero where there is no intercept.
        root: inverse of the triangular factor of the measures, for errors of what is predicted.
        intercept: whether there is one.
    """

    coefficients: Array
    errors: Array
    spread: float
    free: int
    explained: float
    root: Array
    intercept: bool

    @property
    def cases(self) -> int:
        """What it was made from."""
        return self.free + len(self.coefficients)

    def at(self, measures: Sequence[float]) -> float:
        """What it predicts for a case."""
        return float(self._row(measures) @ self.coefficients)

    def margin(self, measures: Sequence[float], sure: float = SURE) -> float:
        """By how much a new case may differ from what is predicted, to each side: a prediction interval.

        t s sqrt(1 + x (X'X)^-1 x'), the usual one of normal errors.
        """
        from scipy import stats

        if self.free < 1:
            return math.inf
        leverage = float(np.sum((self._row(measures) @ self.root) ** 2))
        return float(stats.t.ppf((1 + sure) / 2, self.free)) * self.spread * math.sqrt(1 + leverage)

    def _row(self, measures: Sequence[float]) -> Array:
        row: Array = np.array([1.0, *measures] if self.intercept else [*measures], dtype=float)
        return row


def least_squares(measures: Sequence[Sequence[float]], values: Sequence[float], intercept: bool) -> Fit:
    """The fit of values to measures by the QR factors of the measures, each scaled to its greatest.

    Args:
        measures: of each case, `(n, k)`.
        values: of each case, `(n,)`.
        intercept: whether all cases share something that goes with no measure.

    Raises:
        ValueError: there are fewer cases than coefficients, or the measures say the same twice over.
    """
    x = np.asarray(measures, dtype=float).reshape(len(values), -1)
    y = np.asarray(values, dtype=float)
    if intercept:
        x = np.column_stack([np.ones(len(y)), x])
    n, k = x.shape
    if n < k:
        raise ValueError(f"{k} numbers cannot be found from {n} cases")
    scale = np.abs(x).max(axis=0)
    if not scale.all():
        raise ValueError("a measure is nothing in every case")
    q, r = np.linalg.qr(x / scale)
    if np.abs(np.diag(r)).min() < 1e-10 * np.abs(np.diag(r)).max():
        raise ValueError("the measures go up and down together, so that none can be told from the other")
    root = np.linalg.inv(r) / scale[:, None]
    coefficients = root @ (q.T @ y)
    rest = y - x @ coefficients
    # One step of refinement takes out what rounding left of measures that are nearly alike.
    coefficients = coefficients + root @ (q.T @ rest)
    rest = y - x @ coefficients
    left = float(rest @ rest)
    spread = math.sqrt(left / (n - k)) if n > k else math.nan
    about = y - y.mean() if intercept else y
    whole = float(about @ about)
    return Fit(
        coefficients,
        spread * np.sqrt(np.sum(root**2, axis=1)),
        spread,
        n - k,
        1.0 - left / whole if whole else 1.0,
        root,
        intercept,
    )
