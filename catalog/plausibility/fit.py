"""Robust fits: a slope, a scale and a regression that a slipped row cannot bend."""

from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
Codes = NDArray[np.intp]

NORMAL: Final = 1.4826
"""Median absolute deviation to standard deviation, for normal noise."""
_TUNING: Final = 4.685  # Tukey's bisquare at 95 % efficiency: beyond it a row counts for nothing
_DUST: Final = 1e-10
_MOST_PAIRS_OF: Final = 400  # rows whose pairs a slope is taken from


class Fit(Struct, frozen=True, kw_only=True):
    """How far each row is off what the others let expect, and how far is usual.

    `scale` is of a row that had no say in the fit, `noise` of a single number; `support` counts
    the rows that share the level of a row, `spare` the rows that the fit did not use up.
    """

    residual: Numbers
    scale: float
    noise: float
    support: Codes
    spare: int


def theil_sen(x: Numbers, y: Numbers) -> tuple[float, float]:
    """Slope and intercept: the median slope over all pairs of rows, then the median rest.

    Source: Sen, Journal of the American Statistical Association 63 (1968), from memory; tested
    against scipy.stats.theilslopes.

    >>> theil_sen(np.array([1.0, 2.0, 3.0, 4.0, 5.0]), np.array([2.0, 4.0, 6.0, 8.0, 100.0]))
    (2.0, 0.0)
    """
    if len(x) > _MOST_PAIRS_OF:
        every = -(-len(x) // _MOST_PAIRS_OF)
        x, y = x[::every], y[::every]
    one, other = np.triu_indices(len(x), 1)
    run = x[other] - x[one]
    apart = run != 0
    slopes = (y[other] - y[one])[apart] / run[apart]
    slope = median(slopes) if len(slopes) else 0.0
    return slope, median(y) - slope * median(x)


def median(values: Numbers) -> float:
    """Median of numbers, nan where one is: what `np.median` says, in a fifth of its time."""
    ordered = np.sort(values)  # nan stands last
    half = len(ordered) // 2
    middle = ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2
    return float(ordered[-1] if np.isnan(ordered[-1]) else middle)


def mad_scale(residual: Numbers, floor: float) -> float:
    """Scale of the noise: 1.4826 times the median absolute deviation, at least `floor`."""
    if not len(residual):
        return floor
    return max(floor, NORMAL * median(np.abs(residual - median(residual))))


def usual_scale(residual: Numbers, floor: float) -> float:
    """Scale that a misfit of the law enters too: MAD, or what nine in ten rows keep within."""
    if not len(residual):
        return floor
    nine_in_ten = float(np.quantile(np.abs(residual), 0.9)) / 1.645
    return max(mad_scale(residual, floor), nine_in_ten)


def robust_fit(y: Numbers, classes: Codes, design: Numbers, floor: float, steps: int = 24) -> Fit:
    """Regression of `y` on `design` with a level of its own for each class, by reweighting.

    First steps weight by the inverse of the distance (least absolute deviations, which has one
    optimum wherever it starts), later ones by Tukey's bisquare. The levels are taken out by
    weighted means, so that thousands of classes cost nothing.
    """
    levels = _Levels(y, classes, design)
    residual, rank = levels.fitted(np.ones(len(y)))
    for step in range(steps):
        if step < 12:
            least = max(floor, 0.1 * mad_scale(residual, floor))
            weight = 1 / np.maximum(np.abs(residual), least)
        else:
            bent = residual / (_TUNING * mad_scale(residual, floor))
            weight = np.where(np.abs(bent) < 1, (1 - bent**2) ** 2, 0.0) + 1e-9
        residual, rank = levels.fitted(weight)
    of_class = np.bincount(classes)
    spare = len(y) - rank - int((of_class > 0).sum())
    # A fit lies nearer to the rows that it is made from, and farther from one that it left out.
    share = max(spare, 1) / len(y)
    scale = usual_scale(residual, floor)
    eight_in_ten = float(np.quantile(np.abs(residual), 0.8)) / 1.2816
    # The scale of few rows is itself known badly: widened by one and a half standard deviations.
    widened = 1 + 1.1 / float(np.sqrt(len(y)))
    noise = max(mad_scale(residual, floor), eight_in_ten) * widened / float(np.sqrt(share))
    return Fit(
        residual=residual,
        scale=max(floor, scale / share),
        noise=noise,
        support=of_class[classes],
        spare=spare,
    )


class _Levels:
    """`y` and the columns of a design, to be freed of the level of each class under any weights."""

    def __init__(self, y: Numbers, classes: Codes, design: Numbers) -> None:
        self._classes, self._count = classes, int(classes.max(initial=-1)) + 1
        self._columns = np.vstack([y, *design.T])
        # The dust of a column that the classes explain must not be taken for a column.
        self._dust = _DUST * np.abs(self._columns).max(axis=1, initial=0.0)[:, None]
        # Every class of every column has a place of its own, so that one count sums them all.
        places = np.arange(len(self._columns))[:, None] * self._count + classes
        self._places: Codes = places.ravel()

    def fitted(self, weight: Numbers) -> tuple[Numbers, int]:
        """Residual of the weighted regression, and its rank."""
        apart = self._apart(weight)
        target = apart[0]
        if len(apart) == 1:
            return target, 0
        within = np.ascontiguousarray(apart[1:].T)
        normal = within.T @ (within * weight[:, None])
        wanted = within.T @ (target * weight)
        # lstsq on the normal equations: columns that classes already explain get nothing.
        found, _, rank, _ = np.linalg.lstsq(normal, wanted, rcond=1e-9)
        return target - within @ found, int(rank)

    def _apart(self, weight: Numbers) -> Numbers:
        total = np.bincount(self._classes, weight)
        total[total == 0] = 1.0
        sums = np.bincount(
            self._places, (weight * self._columns).ravel(), len(self._columns) * self._count
        ).reshape(len(self._columns), self._count)
        centred: Numbers = self._columns - (sums / total)[:, self._classes]
        return np.where(np.abs(centred) > self._dust, centred, 0.0)
