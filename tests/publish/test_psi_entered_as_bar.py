"""A pressure in psi under a heading that says bar, or bar taken for psi, or MPa for bar.

1 bar is 14.5038 psi (NIST SP 811, Appendix B.8: 1 psi = 6.894757 kPa).
"""

import pytest

from tests.publish.slips import Which, about, ref, shipped, slipped, strong, times

pytestmark = pytest.mark.apart

PSI = 100 / 6.894757
SIZES = [row.ref for row in shipped().tables["sizes"]]
PRESSES = [row.ref for row in shipped().tables["presses"]]
GAUGES = [row.ref for row in shipped().tables["gauges"]]


@pytest.mark.parametrize("row", SIZES)
def test_a_size_in_psi(row: str) -> None:
    found = strong(slipped("sizes", ref(row), times(PSI, "rated_pressure_bar")))
    assert about(found, row, "rated_pressure_bar") == ["unit-slip"]
    assert "psi entered as bar" in found[0].message


@pytest.mark.parametrize("row", SIZES)
def test_a_size_divided_as_if_it_were_psi(row: str) -> None:
    found = strong(slipped("sizes", ref(row), times(1 / PSI, "rated_pressure_bar")))
    assert about(found, row, "rated_pressure_bar") != []


@pytest.mark.parametrize("factor", [PSI, 1 / PSI])
def test_a_whole_column_of_sizes_is_told_once(factor: float) -> None:
    bad = slipped("sizes", lambda _: True, times(factor, "rated_pressure_bar"))
    found = [d for d in strong(bad) if d.column == "rated_pressure_bar"]
    assert [d.kind for d in found] == ["unit-slip"]
    assert len(found[0].rows) >= 20


@pytest.mark.parametrize("factor", [PSI, 1 / PSI, 0.1])
def test_a_whole_column_of_sizes_beside_the_revision_before(factor: float) -> None:
    bad = slipped("sizes", lambda _: True, times(factor, "rated_pressure_bar"))
    found = [d for d in strong(bad, shipped()) if d.kind == "common-factor"]
    assert [len(d.rows) for d in found] == [len(SIZES)]


@pytest.mark.parametrize("row", PRESSES)
@pytest.mark.parametrize("column", ["rated_pressure_bar", "relief_setting_bar"])
@pytest.mark.parametrize("factor", [PSI, 1 / PSI, 0.1])
def test_one_pressure_of_a_press(row: str, column: str, factor: float) -> None:
    bad = slipped("presses", ref(row), times(factor, column))
    found = strong(bad)
    assert any(row in d.rows and d.column.endswith("_bar") for d in found)


@pytest.mark.parametrize("row", PRESSES)
@pytest.mark.parametrize("factor", [PSI, 1 / PSI])
def test_both_pressures_of_a_press(row: str, factor: float) -> None:
    bad = slipped("presses", ref(row), times(factor, "rated_pressure_bar", "relief_setting_bar"))
    found = strong(bad)
    assert "unit-slip" in about(found, row, "rated_pressure_bar")
    assert about(found, row, "relief_setting_bar") != []


def _in_bar(row: object) -> bool:
    return getattr(row, "unit", "") == "bar"


@pytest.mark.parametrize("row", [r.ref for r in shipped().tables["gauges"] if _in_bar(r)])
def test_a_dial_in_psi_under_bar(row: str) -> None:
    found = strong(slipped("gauges", ref(row), times(PSI, "span", "graduation")))
    assert about(found, row, "span") != []
    assert about(found, row, "graduation") == []


@pytest.mark.parametrize("factor", [PSI, 1 / PSI])
@pytest.mark.parametrize("row", GAUGES)
def test_a_graduation_in_another_unit_than_its_span(row: str, factor: float) -> None:
    bad = slipped("gauges", ref(row), times(factor, "graduation"))
    if (row, factor) == ("gauges/gauge-c", PSI):
        # 160 bar in steps of 14.5 are 11 marks, which a dial may have: only the revision before
        # knows better.
        assert about(strong(bad), row, "graduation") == []
        assert about(strong(bad, shipped()), row, "graduation") == ["changed"]
    else:
        assert about(strong(bad), row, "graduation") != []


@pytest.mark.parametrize(
    ("which", "unit"), [(ref("gauges/gauge-psi"), "bar"), (ref("gauges/gauge-b"), "psi")]
)
def test_the_wrong_unit_on_a_dial(which: Which, unit: str) -> None:
    bad = slipped("gauges", which, lambda _: {"unit": unit})
    assert any(d.column == "span" for d in strong(bad))
    assert any(d.column == "unit" for d in strong(bad, shipped()))


@pytest.mark.parametrize(
    ("row", "yield_mpa", "words"),
    [
        # 235 MPa is 2,350 bar, 34.1 ksi, 34,084 psi; the last is beyond what a cell may hold.
        ("materials/e235-n", 2350.0, "bar entered as MPa"),
        ("materials/e235-n", 34.1, "ksi entered as MPa"),
        ("materials/tp316l-a269", 1700.0, "bar entered as MPa"),
        ("materials/tp316l-a269", 25.0, "ksi entered as MPa"),
    ],
)
def test_a_strength_in_another_unit(row: str, yield_mpa: float, words: str) -> None:
    found = strong(slipped("materials", ref(row), lambda _: {"yield_mpa": yield_mpa}))
    assert about(found, row, "yield_mpa") == ["unit-slip"]
    assert words in next(d.message for d in found if d.column == "yield_mpa")


def test_a_seal_rated_in_psi() -> None:
    row = "rings/ring-S-elastomer-sealed-carbon-steel"
    bad = slipped("rings", ref(row), lambda _: {"seal_rated_pressure_bar": 250 * PSI})
    assert about(strong(bad), row, "seal_rated_pressure_bar") == ["unit-slip"]
