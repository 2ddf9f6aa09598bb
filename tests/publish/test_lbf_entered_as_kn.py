"""A force in pounds, or in thousands of them, under a heading that says kN.

1 lbf is 4.448222 N (NIST SP 811, Appendix B.8): 27.5 kN are 6,182 lbf or 6.182 thousands of them.
"""

import pytest

from catalog.plausibility import doubts_of
from tests.publish.slips import CARBON_16, about, ref, shipped, slipped, strong, times

LBF = 1000 / 4.448222
KIP = 1 / 4.448222
BOTH = ("force_kn", "ceiling_kn")


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (LBF, "lbf entered as kN"),
        (KIP, "thousands of lbf entered as kN"),
        (1 / KIP, "as if it were thousands of lbf"),
    ],
)
def test_one_row(factor: float, words: str) -> None:
    found = strong(slipped("targets", ref(CARBON_16), times(factor, *BOTH)))
    assert about(found, CARBON_16, "force_kn") == ["unit-slip"]
    assert words in next(d.message for d in found if d.column == "force_kn")


@pytest.mark.parametrize("factor", [LBF, KIP, 1 / KIP])
def test_a_whole_size_is_told_once(factor: float) -> None:
    bad = slipped("targets", lambda r: r.series == "S" and r.od_mm == 16, times(factor, *BOTH))
    found = [d for d in strong(bad) if d.column == "force_kn"]
    assert [(d.kind, len(d.rows)) for d in found] == [("unit-slip", 21)]


@pytest.mark.parametrize("family", ["carbon-steel", "nickel-copper", "stainless-steel"])
@pytest.mark.parametrize("factor", [LBF, KIP, 1 / KIP])
def test_a_whole_family(family: str, factor: float) -> None:
    bad = slipped("targets", lambda r: r.family == family, times(factor, *BOTH))
    found = [d for d in strong(bad) if d.column == "force_kn"]
    assert any(family in row for d in found for row in d.rows)
    # Not one for each of more than 60 rows.
    assert len(found) <= 8


@pytest.mark.parametrize("factor", [LBF, KIP, 1 / KIP])
def test_the_whole_table_leaves_the_band_of_the_line_load(factor: float) -> None:
    # No fit sees a factor that every row has; the load on a mm of circumference does.
    found = strong(slipped("targets", lambda _: True, times(factor, *BOTH)))
    assert [d.kind for d in found if d.column == "force_kn"] == ["line-load"]


def test_a_factor_within_the_band_is_seen_by_the_revision_before_alone() -> None:
    bad = slipped("targets", lambda _: True, times(1.02, *BOTH))
    assert doubts_of(bad) == ()
    assert [d.kind for d in doubts_of(bad, shipped()) if d.column == "force_kn"] == [
        "common-factor"
    ]
    worse = slipped("targets", lambda _: True, times(1.2, *BOTH))
    (told,) = [d for d in strong(worse, shipped()) if d.column == "force_kn"]
    assert told.kind == "common-factor"
    assert len(told.rows) == 423
    assert "1.2 times" in told.message


def test_a_return_force_in_pounds() -> None:
    # 0.5 kN are 112 lbf; on 8 cm2 that would be 1,400 bar.
    row = "presses/press-a"
    bad = slipped("presses", ref(row), lambda _: {"return_force_kn": 112.0})
    assert about(strong(bad), row, "return_force_kn") == ["relation"]


@pytest.mark.parametrize("table", ["cones", "plates"])
def test_tools_rated_in_thousands_of_pounds(table: str) -> None:
    bad = slipped(table, lambda _: True, times(KIP, "rated_force_kn"))
    found = [d for d in strong(bad) if d.column == "rated_force_kn"]
    assert [d.kind for d in found] == ["relation"]
