"""A graduation that no dial has: no mark of it can be stopped at."""

import pytest
from msgspec import structs

from catalog.compiling import CompileError, compile_revision
from catalog.revision import revision_of, rows_of
from catalog.rows import Gauge
from catalog.seed import shipped_revision, shipped_spares
from tests.publish.office import edited_csv, put, shipped_text
from tests.publish.revised import refusals, reviewed_without_report


def test_the_row_is_the_one_that_the_tests_mean() -> None:
    rows = shipped_text("gauges").splitlines()
    assert rows[0].startswith("id,unit,span,graduation")
    assert rows[6].startswith("gauge-due,bar,400,5,")


@pytest.mark.parametrize(
    "graduation", ["2.5", "3", "4", "14.5038", "25", "0.145038", "0.3", "9.99"]
)
def test_a_graduation_that_is_not_of_1_2_5_is_told(graduation: str) -> None:
    (only,) = refusals(edited_csv("gauges", lambda grid: put(grid, 7, "graduation", graduation)))
    assert (only.table, only.row) == ("gauges", "gauges/gauge-due")
    assert (only.column, only.value, only.rule) == ("graduation", graduation, "no-such-dial")
    assert only.message == (
        f"no dial is graduated in {graduation} bar: it must be 1, 2 or 5 times a power of ten"
    )
    assert only.remedy == "read off the dial what is between two of its marks"


@pytest.mark.parametrize("graduation", ["0.001", "0.02", "0.5", "1", "2", "10", "20", "50"])
def test_a_graduation_that_dials_have_is_taken(graduation: str) -> None:
    reviewed_without_report(
        edited_csv("gauges", lambda grid: put(grid, 7, "graduation", graduation))
    )


def test_a_stored_revision_with_such_a_dial_is_answered_from() -> None:
    """It was stored before dials were asked for, and its shop must not stand still."""
    tables = {name: list(rows) for name, rows in shipped_revision().tables.items()}
    tables["gauges"] = [
        structs.replace(row, graduation=2.5) if row.id == "gauge-due" else row
        for row in rows_of(shipped_revision(), Gauge)
    ]
    revision = revision_of({name: tuple(rows) for name, rows in tables.items()})
    with pytest.raises(CompileError, match=r"no dial is graduated in 2\.5 bar"):
        compile_revision(revision)
    assert compile_revision(revision, shipped_spares()).gauges["gauge-due"].graduation == 2.5
