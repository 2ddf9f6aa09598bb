"""How far a cut is out of square."""

from math import inf, nan

import pytest

from catalog.calc.cut import out_of_square_mm


# formula check only
@pytest.mark.parametrize(
    ("od_mm", "angle_deg", "expected_mm"),
    [
        (16.0, 1.0, 0.27928),  # tan 1 deg = 0.0174551
        (42.0, 1.0, 0.73311),
        (6.0, 0.5, 0.05236),  # tan 0.5 deg = 0.0087269
        (10.0, 45.0, 10.0),
        (16.0, 0.0, 0.0),
    ],
)
def test_out_of_square_by_hand(od_mm: float, angle_deg: float, expected_mm: float) -> None:
    assert out_of_square_mm(od_mm, angle_deg) == pytest.approx(expected_mm, abs=6e-6)


@pytest.mark.parametrize(
    "values",
    [(0.0, 1.0), (-16.0, 1.0), (inf, 1.0), (nan, 1.0), (16.0, -0.1), (16.0, 90.0), (16.0, nan)],
)
def test_refuses_what_is_no_cut(values: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match=r"angle from 0 to below 90 deg"):
        out_of_square_mm(*values)
