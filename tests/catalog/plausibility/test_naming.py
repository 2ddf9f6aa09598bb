"""What a factor or a number outside its band is taken for."""

import pytest

from catalog.plausibility.naming import Dimension, exchanged, listed, slip_of, unit_of_band


@pytest.mark.parametrize(
    ("times", "dimension", "kind", "words"),
    [
        (10.2, "force", "ten-times", "10 times too high"),
        (0.098, "force", "ten-times", "10 times too low"),
        (100.0, "force", "out-of-line", "100 times too high"),
        (224.8, "force", "unit-slip", "lbf entered as kN"),
        (0.2248, "force", "unit-slip", "thousands of lbf entered as kN"),
        (14.5, "pressure", "unit-slip", "psi entered as bar"),
        (0.1, "pressure", "unit-slip", "MPa entered as bar"),
        (10.0, "stress", "unit-slip", "bar entered as MPa"),
        (0.145, "stress", "unit-slip", "ksi entered as MPa"),
        (25.4, "length", "unit-slip", "as if it were inches"),
        (1.3, "force", "out-of-line", "1.3 times as much"),
    ],
)
def test_a_factor(times: float, dimension: Dimension, kind: str, words: str) -> None:
    named, looks = slip_of(times, dimension, 0.05)
    assert named == kind
    assert words in looks


@pytest.mark.parametrize(
    ("value", "dimension", "kind", "factor"),
    [
        (5802.0, "pressure", "unit-slip", 14.5038),
        (2500.0, "length", "unit-slip", 25.4),
        (1200.0, "plain", "ten-times", 10.0),
        (1e7, "plain", "out-of-band", 1.0),
    ],
)
def test_a_band(value: float, dimension: Dimension, kind: str, factor: float) -> None:
    named, _, by = unit_of_band(value, 25, 1000, dimension)
    assert named == kind
    assert by == pytest.approx(factor, rel=1e-5)


def test_digits_that_were_exchanged() -> None:
    assert exchanged(72.5, 27.4, 0.03) == "27.5"
    assert exchanged(25.7, 27.4, 0.03) == "27.5"
    assert exchanged(33.0, 27.4, 0.03) == ""


def test_a_long_list_is_cut_and_counted() -> None:
    assert listed(["a", "b", "c"]) == "a, b, c"
    assert listed(["a", "b", "c", "d", "e"]) == "a, b, c and 2 more"
