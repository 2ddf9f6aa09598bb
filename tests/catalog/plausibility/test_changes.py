"""Changes against the revision before."""

import pytest

from catalog.plausibility import doubts_of
from catalog.revision import revision_of
from tests.publish.slips import CARBON_16, ref, shipped, slipped, strong, times

BOTH = ("force_kn", "ceiling_kn")


@pytest.mark.parametrize(
    ("force_kn", "weight"),
    [
        (27.5, None),
        (28.5, "weak"),  # 3.6 %, its tolerance is 8 %
        (29.7, "weak"),  # exactly 8 %
        (29.8, "strong"),  # 8.4 %
    ],
)
def test_a_force_is_measured_by_its_own_tolerance(force_kn: float, weight: str | None) -> None:
    # The ceiling keeps its 1.25, and its size moves along, so that only the change speaks.
    factor = force_kn / 27.5
    size = slipped(
        "targets",
        lambda r: r.series == "S" and r.od_mm == 16 and r.ring_style == "metal",
        lambda r: {c: getattr(r, c) * factor for c in BOTH},
    )
    found = [d for d in doubts_of(size, shipped()) if d.kind in ("changed", "common-factor")]
    assert [d.weight for d in found] == ([weight] if weight else [])


def test_a_factor_of_a_whole_family_is_told_once() -> None:
    bad = slipped("targets", lambda r: r.family == "carbon-steel", times(1.05, *BOTH))
    found = [d for d in doubts_of(bad, shipped()) if d.column == "force_kn"]
    assert [(d.kind, d.weight) for d in found] == [("common-factor", "weak")]
    assert len(found[0].rows) == 222
    assert "1.05 times" in found[0].message


def test_a_slip_beside_a_common_factor_is_not_hidden_by_it() -> None:
    bad = slipped(
        "targets",
        lambda _: True,
        lambda r: {c: getattr(r, c) * (1.3 if r.ref == CARBON_16 else 1.02) for c in BOTH},
    )
    found = strong(bad, shipped())
    assert any(CARBON_16 in d.rows and len(d.rows) <= 2 for d in found)


@pytest.mark.parametrize(
    ("table", "row", "column", "value"),
    [
        ("gauges", "gauges/gauge-b", "class_percent", 1.6),
        ("materials", "materials/e355-n", "yield_mpa", 420.0),
        ("series", "series/S", "design_factor", 3.0),
        ("preparation", "preparation/metric-24-degree/0.1", "caliper_uncertainty_mm", 0.05),
        ("materials", "materials/e235-n", "temp_max_c", 248.0),
        ("cones", "cones/cone-S-16", "presses_between_checks_carbon_steel", 100),
    ],
)
def test_any_number_that_moves_far_is_strong(
    table: str, row: str, column: str, value: float
) -> None:
    found = strong(slipped(table, ref(row), lambda _: {column: value}), shipped())
    assert [d for d in found if row in d.rows and d.column == column]


def test_rows_that_are_gone_are_told_once_a_table() -> None:
    less = revision_of(
        {
            **shipped().tables,
            "neighbours": shipped().tables["neighbours"][1:],
            "targets": shipped().tables["targets"][:-60],
            "tubes": shipped().tables["tubes"][:-2],
        }
    )
    found = {d.id: d for d in doubts_of(less, shipped()) if d.kind == "rows-gone"}
    assert {d.rows[0].partition("/")[0]: d.weight for d in found.values()} == {
        "neighbours": "strong",
        "targets": "strong",
        "tubes": "weak",
    }
    assert len(found["rows-gone:targets:"].rows) == 60


def test_new_rows_are_no_doubt() -> None:
    less = revision_of({**shipped().tables, "tubes": shipped().tables["tubes"][:-2]})
    assert doubts_of(shipped(), less) == ()
