"""The robust fits against independent computations."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from catalog.plausibility.fit import mad_scale, robust_fit, theil_sen, usual_scale

Numbers = NDArray[np.float64]


def _line(seed: int, n: int) -> tuple[Numbers, Numbers]:
    draw = np.random.default_rng(seed)
    x = np.sort(draw.uniform(1, 4, n))
    y = 0.7 + 1.3 * x + draw.normal(0, 0.05, n)
    y[:: max(3, n // 4)] += 2.3
    return x, y


@pytest.mark.parametrize("n", [5, 8, 21, 60])
def test_the_slope_is_that_of_scipy(n: int) -> None:
    # scipy.stats.theilslopes, method `separate`: intercept by the medians, as Sen (1968) has it.
    x, y = _line(n, n)
    slope, level = theil_sen(x, y)
    theirs = stats.theilslopes(y, x, method="separate")
    assert slope == pytest.approx(theirs.slope, abs=1e-12)
    assert level == pytest.approx(theirs.intercept, abs=1e-12)


def test_rows_of_one_od_do_not_divide_by_nothing() -> None:
    x = np.array([2.0, 2.0, 2.0])
    assert theil_sen(x, np.array([1.0, 5.0, 3.0])) == (0.0, 3.0)


def test_many_rows_are_thinned_and_still_right() -> None:
    x = np.linspace(0, 1, 5000)
    slope, level = theil_sen(x, 2 + 3 * x)
    assert slope == pytest.approx(3)
    assert level == pytest.approx(2)


def test_the_scale_is_that_of_scipy() -> None:
    values = np.array([0.1, -0.2, 0.05, 0.3, -0.15, 9.0])
    theirs = stats.median_abs_deviation(values, scale="normal")
    # scipy divides by the exact quantile 0.67449, we multiply by 1.4826: five digits agree.
    assert mad_scale(values, 0.0) == pytest.approx(theirs, rel=1e-4)


def test_a_clean_table_has_the_scale_of_its_rounding() -> None:
    assert mad_scale(np.zeros(50), 0.004) == 0.004
    assert usual_scale(np.zeros(50), 0.004) == 0.004
    assert mad_scale(np.array([]), 0.004) == 0.004


def test_a_law_that_does_not_fit_widens_the_usual_scale() -> None:
    # A fifth of the rows 0.3 off: the middle does not see it, nine in ten rows do.
    off = np.where(np.arange(100) % 5 == 0, 0.3, 0.0)
    assert mad_scale(off, 0.004) == 0.004
    assert usual_scale(off, 0.004) == pytest.approx(0.3 / 1.645)


def _two_way(seed: int) -> tuple[Numbers, NDArray[np.intp], Numbers]:
    draw = np.random.default_rng(seed)
    classes = np.repeat(np.arange(12), 8).astype(np.intp)
    x = draw.uniform(0, 1, len(classes))
    levels = draw.normal(3, 1, 12)
    return levels[classes] + 0.8 * x + draw.normal(0, 0.01, len(classes)), classes, x[:, None]


def test_without_slips_it_agrees_with_least_squares() -> None:
    y, classes, design = _two_way(1)
    found = robust_fit(y, classes, design, 1e-4)
    every = np.column_stack([np.eye(12)[classes], design])
    beta = np.linalg.lstsq(every, y, rcond=None)[0]
    # Bisquare weights move a fit by a part of the noise of its levels, 0.01 / sqrt(8).
    assert np.abs(found.residual - (y - every @ beta)).max() < 0.01
    assert found.spare == 96 - 12 - 1
    assert list(found.support) == [8] * 96


def test_least_absolute_deviations_find_the_exact_line_under_slips() -> None:
    # 30 % of the rows slipped, no noise: the rest lies on the law to the floor of the scale.
    _, classes, design = _two_way(2)
    levels = np.arange(12.0)
    exact = levels[classes] + 0.8 * design[:, 0]
    slipped = np.arange(96) % 10 < 3
    found = robust_fit(exact + np.where(slipped, np.log(10), 0.0), classes, design, 1e-4)
    assert np.abs(found.residual[~slipped]).max() < 1e-3
    assert found.residual[slipped] == pytest.approx(np.log(10), abs=1e-3)


def test_the_noise_of_a_number_is_about_right() -> None:
    y, classes, design = _two_way(3)
    noise = robust_fit(y, classes, design, 1e-4).noise
    assert 0.008 < noise < 0.014


def test_columns_that_the_classes_explain_already_are_left_out() -> None:
    y, classes, _ = _two_way(4)
    found = robust_fit(y, classes, classes.astype(np.float64)[:, None], 1e-4)
    assert np.isfinite(found.residual).all()
    assert found.spare == 96 - 12
