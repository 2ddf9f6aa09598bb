"""Orders of a file, and stretches of it that slid."""

import numpy as np

from catalog.plausibility.shifts import Order, orders_of, slid_back, windows_of
from tests.publish.slips import targets

ORDER = Order(name="as it is", runs=(np.arange(8, dtype=np.intp),))
STEPS = np.array([1.0, 1.3, 1.5, 1.9, 2.0, 2.4, 2.7, 3.1])


def _windows(value: np.ndarray) -> list[tuple[int, list[int]]]:
    off, slack = np.full(8, 0.06), np.full(8, 0.05)
    found = windows_of(value, STEPS, off, slack, (ORDER,))
    return [(w.by, w.rows.tolist()) for w in found]


def test_every_order_holds_every_row_once() -> None:
    rows = targets()
    for order in orders_of(rows):
        assert sorted(np.concatenate(order.runs).tolist()) == list(range(len(rows)))


def test_a_column_slid_back_is_the_column() -> None:
    down = np.concatenate([[np.nan], STEPS[:-1]])
    assert slid_back(down, ORDER, 1)[:-1].tolist() == STEPS[:-1].tolist()
    up = np.concatenate([STEPS[1:], [np.nan]])
    assert slid_back(up, ORDER, -1)[1:].tolist() == STEPS[1:].tolist()


def test_a_stretch_that_slid_down_is_found() -> None:
    value = STEPS.copy()
    value[2:6] = STEPS[1:5]
    assert _windows(value) == [(1, [2, 3, 4, 5])]


def test_a_stretch_that_slid_up_is_found() -> None:
    value = STEPS.copy()
    value[1:5] = STEPS[2:6]
    assert _windows(value) == [(-1, [1, 2, 3, 4])]


def test_rows_in_their_place_are_none() -> None:
    assert _windows(STEPS) == []
    assert _windows(STEPS + np.linspace(-0.04, 0.04, 8)) == []


def test_two_rows_that_changed_places_are_no_slide() -> None:
    value = STEPS.copy()
    value[[3, 5]] = STEPS[[5, 3]]
    assert _windows(value) == []
