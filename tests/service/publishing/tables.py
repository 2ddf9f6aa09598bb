"""Tables of two sizes, cut from the shipped ones: what they can answer is replayed in a moment."""

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from msgspec import structs

from catalog.loading import csv_from_rows
from catalog.revision import Revision, revision_of
from catalog.rows import AnyRow
from tests.catalog.synthetic import standard_tables
from tests.service.serving import mm

SIZES_MM = (16.0, 20.0)
THICK = "targets/S/16/2.4/2.6/carbon-steel/metal/none"
"""Target of 16S x 2.5, which no own case asks for, so that a force may be changed freely."""
PLAIN = "targets/S/16/1.9/2.1/carbon-steel/metal/none"
"""Target of 16S x 2."""
THICK_KN, THICK_CEILING_KN = 28.5, 35.6
DOUBTFUL = {
    THICK: {"force_kn": 34.0, "ceiling_kn": 42.5},
    "targets/S/20/2.9/3.1/carbon-steel/metal/none": {"force_kn": 44.6, "ceiling_kn": 55.8},
}
"""What two rows do not need: a fifth more than their neighbours have it."""


@cache
def small() -> Revision:
    """Two sizes of series S, every source raised to `standard`, so that a right pick is allowed."""
    tables = standard_tables()
    kept = {name: [row for row in rows if _kept(name, row)] for name, rows in tables.items()}
    return revision_of(kept)


def with_row(ref: str, *, base: Revision | None = None, **columns: Any) -> Revision:
    """The small tables, or others, with columns of one row changed."""
    base = base or small()
    name = ref.partition("/")[0]
    rows = [structs.replace(r, **columns) if r.ref == ref else r for r in base.tables[name]]
    assert rows != list(base.tables[name]), f"{ref}: nothing was changed"
    return revision_of({**base.tables, name: rows})


@cache
def revised(number: int = 1) -> Revision:
    """The small tables with 16S x 2.5 pressed a little harder, otherwise for each number."""
    force_kn = round(THICK_KN + 0.5 + number / 100, 2)
    return with_row(THICK, force_kn=force_kn, ceiling_kn=round(force_kn * 1.25, 2))


@cache
def doubtful() -> Revision:
    """The small tables with forces that raise strong doubts, and no fault."""
    tables = small()
    for ref, columns in DOUBTFUL.items():
        tables = with_row(ref, base=tables, **columns)
    return tables


def as_csv(tables: Mapping[str, Sequence[AnyRow]]) -> dict[str, bytes]:
    """Tables as CSV files by their names."""
    return {
        f"{name}.csv": csv_from_rows(name, list(rows)).encode() for name, rows in tables.items()
    }


def as_json(rows: Sequence[AnyRow]) -> list[dict[str, Any]]:
    """Rows as a question in JSON gives them."""
    return [{name: getattr(row, name) for name in row.__struct_fields__} for row in rows]


def row_of(revision: Revision, ref: str) -> AnyRow:
    """A row by its name."""
    return next(row for row in revision.tables[ref.partition("/")[0]] if row.ref == ref)


def end(wall_mm: float = 2.5, od_mm: float = 16.0) -> dict[str, Any]:
    """A tube end in series S, with a metal ring of carbon steel."""
    return {
        "tube": {"od": mm(od_mm), "wall": mm(wall_mm), "material": "e235-n"},
        "fitting": {"series": "S", "ring_style": "metal", "ring_material": "carbon-steel"},
    }


def target_question(wall_mm: float = 2.5, od_mm: float = 16.0, **more: Any) -> dict[str, Any]:
    """Question for the press target of an end on press-b with gauge-b."""
    return {**end(wall_mm, od_mm), "press": "press-b", "gauge": "gauge-b", **more}


def _kept(name: str, row: AnyRow) -> bool:
    if name == "neighbours":
        return True
    if name == "cases":
        size = getattr(row, "size_unit", ""), getattr(row, "od", 0)
        return getattr(row, "series", "") == "S" and size in {("mm", od) for od in SIZES_MM}
    if name in {"targets", "sizes", "cones"} and getattr(row, "series", "S") != "S":
        return False
    return getattr(row, "od_mm", None) in {None, *SIZES_MM}
