"""Bands of the other tables: every one is of a column that exists, and each can be left."""

from typing import Any, cast

import pytest
from msgspec import structs

from catalog.plausibility.bands import BANDS, Band, band_doubts
from catalog.rows import TABLES
from tests.publish.slips import shipped


def _rows(band: Band) -> list[Any]:
    rows = cast(tuple[Any, ...], shipped().tables[band.table])
    if band.only is not None:
        rows = tuple(r for r in rows if getattr(r, band.only[0]) == band.only[1])
    return [
        r
        for r in rows
        if getattr(r, band.column) is not None and (not band.of or getattr(r, band.of) is not None)
    ]


@pytest.mark.parametrize("band", BANDS, ids=lambda b: f"{b.table}-{b.column}-{b.of}-{b.only}")
@pytest.mark.parametrize("side", ["low", "high"])
def test_a_row_beyond_the_band_is_doubted(band: Band, side: str) -> None:
    assert band.column in TABLES[band.table].__struct_fields__
    assert band.low < band.high
    row = (_rows(band) or _blank(band))[0]
    whole = getattr(row, band.of) if band.of else 1.0
    value = (band.low * 0.9 if side == "low" else band.high * 1.1) * whole
    bad = structs.replace(row, **{band.column: value})
    tables = {**shipped().tables, band.table: (bad,)}
    found = band_doubts(structs.replace(shipped(), tables=tables))
    assert [d for d in found if d.column == band.column and d.rows == (bad.ref,)]


def _blank(band: Band) -> list[Any]:
    # The shipped rows leave the rating of a seal and the yield of copper blank.
    assert (band.table, band.column) in {
        ("rings", "seal_rated_pressure_bar"),
        ("materials", "yield_mpa"),
    }
    rows = cast(tuple[Any, ...], shipped().tables[band.table])
    return [r for r in rows if band.only is None or getattr(r, band.only[0]) == band.only[1]]


def test_the_shipped_rows_lie_within_all_of_them() -> None:
    assert band_doubts(shipped()) == []
