"""Columns that were sent in another unit: converted exactly, each cell told, or refused."""

import csv
import io
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

import pytest
from openpyxl import load_workbook

from catalog.loading import (
    Conversion,
    rows_from_csv,
    rows_from_json,
    tables_from_files,
    workbook_from_rows,
)
from catalog.rows import AnyRow, Press, Target
from catalog.seed import shipped_revision
from tests.service.commands import SHIPPED

PA_OF_PSI = Decimal("4.4482216152605") / Decimal("0.0254") ** 2
"""An avoirdupois pound under standard gravity on a square inch, by the definitions of both."""


def renamed(table: str, values: dict[str, str], **columns: str) -> str:
    """CSV of a shipped table, columns under another name, and each of their cells this text."""
    rows = list(csv.reader(io.StringIO((SHIPPED / f"{table}.csv").read_text(encoding="utf-8"))))
    header = [columns.get(name, name) for name in rows[0]]
    told = io.StringIO()
    writer = csv.writer(told, lineterminator="\n")
    writer.writerow(header)
    for row in rows[1:]:
        writer.writerow(
            values.get(name, cell) if cell else cell for name, cell in zip(header, row, strict=True)
        )
    return told.getvalue()


@pytest.mark.parametrize(
    ("table", "ours", "sent", "text", "value"),
    [
        ("targets", "od_mm", "od_in", "0.63", 16.002),
        ("targets", "od_mm", "od_cm", "1.6", 16.0),
        ("targets", "od_mm", "od_in", "0.3125", 7.9375),
        # 6182.4 lbf x 4.4482216152605 N = 27500.68531418650 N, by hand to the last digit.
        ("targets", "force_kn", "force_lbf", "6182.4", 27.5006853141865),
        ("presses", "rated_pressure_bar", "rated_pressure_psi", "10000", 689.475729316836),
        ("presses", "rated_pressure_bar", "rated_pressure_mpa", "68.9", 689.0),
        ("presses", "ram_area_cm2", "ram_area_in2", "3.1", 19.99996),
        ("presses", "usable_oil_cm3", "usable_oil_l", "0.35", 350.0),
        ("materials", "temp_max_c", "temp_max_f", "248", 120.0),
        # (-4 - 32) x 5/9 = -20.
        ("materials", "temp_min_c", "temp_min_f", "-4", -20.0),
    ],
)
def test_a_column_in_another_unit_is_converted_exactly(
    table: str, ours: str, sent: str, text: str, value: float
) -> None:
    converted: list[Conversion] = []
    rows, bad = rows_from_csv(
        table, renamed(table, {sent: text}, **{ours: sent}), converted=converted
    )
    assert bad == []
    assert {getattr(row, ours) for row in rows} - {None} == {value}
    assert len(converted) == len([row for row in rows if getattr(row, ours) is not None])
    first = converted[0]
    assert (first.table, first.sent_column, first.sent) == (table, sent, text)
    assert (first.column, first.value) == (ours, value)
    assert {each.line for each in converted} <= set(range(2, len(rows) + 2))


def test_psi_are_those_of_the_definition() -> None:
    converted: list[Conversion] = []
    text = renamed(
        "presses", {"rated_pressure_psi": "10153"}, rated_pressure_bar="rated_pressure_psi"
    )
    (first, *_), _ = rows_from_csv("presses", text, converted=converted)
    assert isinstance(first, Press)
    assert first.rated_pressure_bar == float(f"{10153 * PA_OF_PSI / 100000:.15g}")


def in_newton(targets: Sequence[AnyRow]) -> bytes:
    """Workbook of targets whose forces are sent in newtons."""
    book = load_workbook(io.BytesIO(workbook_from_rows({"targets": targets})))
    sheet = book["targets"]
    at = [cell.value for cell in sheet[1]].index("force_kn") + 1
    sheet.cell(1, at).value = "force_n"
    for row in range(2, len(targets) + 2):
        cell = sheet.cell(row, at)
        cell.value = float(str(cell.value)) * 1000
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def test_a_workbook_and_json_are_converted_like_csv() -> None:
    targets = shipped_revision().tables["targets"][:2]
    by_workbook: list[Conversion] = []
    tables, bad = tables_from_files({"t.xlsx": in_newton(targets)}, converted=by_workbook)
    assert bad == []
    assert [row.ref for row in tables["targets"]] == [row.ref for row in targets]
    told = [(c.line, c.sent_column, c.column) for c in by_workbook]
    assert told == [(2, "force_n", "force_kn"), (3, "force_n", "force_kn")]
    assert [c.value for c in by_workbook] == [r.force_kn for r in targets if isinstance(r, Target)]
    by_json: list[Conversion] = []
    items: list[dict[str, Any]] = [
        {name: getattr(row, name) for name in row.__struct_fields__} for row in targets
    ]
    for item in items:
        item["force_n"] = item.pop("force_kn") * 1000
    rows, bad = rows_from_json("targets", items, converted=by_json)
    assert bad == []
    assert [row.ref for row in rows] == [row.ref for row in targets]
    assert [r.force_kn for r in rows if isinstance(r, Target)] == [
        r.force_kn for r in targets if isinstance(r, Target)
    ]
    assert [(c.line, c.sent_column, c.column) for c in by_json] == [
        (1, "force_n", "force_kn"),
        (2, "force_n", "force_kn"),
    ]


def test_a_column_in_two_units_is_refused() -> None:
    converted: list[Conversion] = []
    text = renamed("targets", {"od_in": "0.63"}, insert="od_in")
    _, bad = rows_from_csv("targets", text, converted=converted)
    assert ("column-doubled", "column stands twice: `od_in`, and in another unit as `od_mm`") in [
        (each.rule, each.message) for each in bad
    ]
    row = shipped_revision().tables["targets"][0]
    item = {name: getattr(row, name) for name in row.__struct_fields__} | {"od_in": 0.63}
    rows, bad = rows_from_json("targets", [item], converted=converted)
    assert rows == []
    assert [each.rule for each in bad] == ["column-doubled"]


def test_a_unit_of_another_kind_is_refused_with_those_that_are_taken() -> None:
    text = renamed("targets", {}, force_kn="force_psi")
    rows, bad = rows_from_csv("targets", text, converted=[])
    assert rows == []
    assert [each.rule for each in bad] == ["unit-in-column"]
    assert bad[0].remedy == (
        "convert every value to kN and name the column `force_kn`; a proposal takes N, lbf, kgf "
        "too, and nothing is converted here"
    )


def test_a_unit_that_is_none_is_refused() -> None:
    _, bad = rows_from_csv("targets", renamed("targets", {}, force_kn="force_stone"), converted=[])
    assert [each.rule for each in bad] == ["header", "column-missing"]
    assert "force_kn" in bad[0].message


def test_nothing_is_converted_where_nobody_is_told() -> None:
    rows, bad = rows_from_csv("targets", renamed("targets", {}, force_kn="force_lbf"))
    assert rows == []
    assert [each.rule for each in bad] == ["unit-in-column"]


def test_a_converted_number_is_held_to_the_bounds_of_its_column() -> None:
    text = renamed("targets", {"od_in": "4000000"}, od_mm="od_in")
    rows, bad = rows_from_csv("targets", text, converted=[])
    assert rows == []
    assert {each.rule for each in bad} == {"out-of-bounds"}
    assert bad[0].value == "4000000"


def bad_forces(cell: str) -> list[tuple[str, str, str, str]]:
    """What is told of one bad force in a file whose forces are sent in lbf."""
    rows = list(csv.reader(io.StringIO(renamed("targets", {}, force_kn="force_lbf"))))
    rows[1][rows[0].index("force_lbf")] = cell
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    _, bad = rows_from_csv("targets", out.getvalue(), converted=[])
    return [(each.column, each.value, each.message, each.remedy) for each in bad]


@pytest.mark.parametrize(
    ("cell", "message", "remedy"),
    [
        (
            "6182 lbf",
            "`6182 lbf` is not a plain number in lbf: it has the unit lbf",
            "write the number alone: the unit stands in the name of the column",
        ),
        (
            "27.5 kN",
            "`27.5 kN` is not a plain number in lbf: it has the unit kN",
            "convert it to lbf and write the number alone",
        ),
        (
            "much",
            "`much` is not a plain number in lbf",
            "write the number alone, with digits and a point, such as 27.5",
        ),
        (
            "",
            "blank, and a plain number in lbf is needed",
            "fill it in; a row of which this is not known is left out",
        ),
        (
            # 90000000 lbf x 4.4482216152605 N = 400339945.373445 N.
            "90000000",
            (
                "`90000000`, which is 400339.945373445 kN, is not a number above 0 and at most"
                " 100000 kN"
            ),
            (
                "check the number and its unit against the source of the row: the column is"
                " `force_lbf`, which is in lbf"
            ),
        ),
    ],
)
def test_a_bad_cell_is_told_in_the_column_and_unit_that_were_sent(
    cell: str, message: str, remedy: str
) -> None:
    assert bad_forces(cell) == [("force_lbf", cell, message, remedy)]


def test_a_bad_cell_of_a_workbook_and_of_json_names_the_column_that_was_sent() -> None:
    target = shipped_revision().tables["targets"][0]
    item = {name: getattr(target, name) for name in target.__struct_fields__}
    del item["force_kn"]
    item["force_lbf"] = 90000000
    _, bad = rows_from_json("targets", [item], converted=[])
    assert [(each.column, each.value) for each in bad] == [("force_lbf", "90000000")]
    book = load_workbook(io.BytesIO(workbook_from_rows({"targets": [target]})))
    sheet = book["targets"]
    at = [cell.value for cell in sheet[1]].index("force_kn") + 1
    sheet.cell(1, at).value, sheet.cell(2, at).value = "force_lbf", "27.5 kN"
    content = io.BytesIO()
    book.save(content)
    _, bad = tables_from_files({"t.xlsx": content.getvalue()}, converted=[])
    assert [(each.column, each.remedy) for each in bad] == [
        ("force_lbf", "convert it to lbf and write the number alone")
    ]
