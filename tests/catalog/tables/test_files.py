"""Every shipped file is well formed, sourced, and accounted for in the README of the folder."""

import re
from decimal import Decimal

import pytest

from catalog.findings import CODES
from catalog.formulas import FORMULAS
from catalog.loading import rows_from_csv
from catalog.rows import TABLES, Caution, Row, Source, key_of
from tests.catalog.tables.shipped import FOLDER, rows

TABLE_NAMES = sorted(TABLES)
README = (FOLDER / "README.md").read_text(encoding="utf-8")


def lines_of(table: str) -> list[list[str]]:
    text = (FOLDER / f"{table}.csv").read_text(encoding="utf-8")
    return [line.split(",") for line in text.splitlines()]


def test_the_folder_holds_one_file_a_table_and_the_readme() -> None:
    found = {path.name for path in FOLDER.iterdir()}
    assert found == {f"{name}.csv" for name in TABLES} | {"README.md"}


@pytest.mark.parametrize("table", TABLE_NAMES)
def test_a_table_loads_without_a_bad_cell(table: str) -> None:
    text = (FOLDER / f"{table}.csv").read_bytes().decode("utf-8")
    read, bad = rows_from_csv(table, text)
    assert bad == []
    assert len(read) >= 1
    assert "\r" not in text
    assert text.endswith("\n")


@pytest.mark.parametrize("table", TABLE_NAMES)
def test_no_key_stands_twice(table: str) -> None:
    keys = [key_of(row) for row in rows(TABLES[table])]
    assert len(set(keys)) == len(keys)


@pytest.mark.parametrize("table", sorted(set(TABLES) - {"targets", "inserts"}))
def test_rows_are_in_order(table: str) -> None:
    # Targets and inserts keep the order in which the demonstration world lists them.
    columns = TABLES[table].key_columns
    header, *body = lines_of(table)
    if table in {"cones", "plates"}:
        columns = ("series" if table == "cones" else "system", "od_mm")
    at = [header.index(c) for c in columns]

    def key(cells: list[str]) -> tuple[Decimal | str, ...]:
        numeric = [columns[i].endswith(("_mm", "_c")) for i in range(len(at))]
        return tuple(
            Decimal(cells[i]) if is_number else cells[i]
            for i, is_number in zip(at, numeric, strict=True)
        )

    assert body == sorted(body, key=key)


def test_every_source_named_is_there() -> None:
    known = {row.id for row in rows(Source)}
    named = {
        (row.ref, source)
        for kind in TABLES.values()
        for row in rows(kind)
        if isinstance(row, Row)
        for source in row.sources
    }
    assert {(ref, source) for ref, source in named if source not in known} == set()


def test_every_source_is_used() -> None:
    by_rows = {
        source
        for kind in TABLES.values()
        for row in rows(kind)
        if isinstance(row, Row)
        for source in row.sources
    }
    # Classes of gauges (catalog/formulas/gauge.py) are no formula, but have a source.
    by_formulas = {formula.source for formula in FORMULAS} | {"en-837-1"}
    assert {row.id for row in rows(Source)} - by_rows - by_formulas == set()


def test_every_formula_has_its_source() -> None:
    assert {formula.source for formula in FORMULAS} <= {row.id for row in rows(Source)}


def test_only_what_was_read_in_a_standard_is_of_that_grade() -> None:
    # ASTM B165 Table 1 is the one table whose values were read in the document itself.
    assert {row.id for row in rows(Source) if row.grade == "standard"} == {"astm-b165"}


@pytest.mark.parametrize(
    ("source", "grade"),
    [
        ("barlow", "secondary"),
        ("boardman", "secondary"),
        ("lame", "secondary"),
        ("iso-10763", "secondary"),
        ("din-2413-1972", "secondary"),
        ("din-2413-1993", "memory"),
        ("asme-b31.3", "secondary"),
        ("b31.3-a1-memory", "memory"),
        ("iso-8434-1-memory", "memory"),
        ("en-10305-1-memory", "memory"),
        ("guard-band", "memory"),
        ("mechanics", "common-practice"),
        ("own-wording", "common-practice"),
        ("demo", "demonstration"),
    ],
)
def test_grade_of_a_source(source: str, grade: str) -> None:
    assert {row.id: row.grade for row in rows(Source)}[source] == grade


@pytest.mark.parametrize("name", ["memory", "secondary"])
def test_a_source_named_for_its_grade_has_it(name: str) -> None:
    wrong = [row.id for row in rows(Source) if row.id.endswith(f"-{name}") and row.grade != name]
    assert wrong == []


@pytest.mark.parametrize(
    "table",
    [
        "series",
        "derating",
        "rings",
        "inserts",
        "presses",
        "gauges",
        "cones",
        "plates",
        "targets",
        "cases",
    ],
)
def test_an_invented_table_says_so_in_every_row(table: str) -> None:
    assert {row.source for row in rows(TABLES[table]) if isinstance(row, Row)} == {"demo"}


def test_the_readme_accounts_for_every_file() -> None:
    assert re.findall(r"^## `(\w+)[.]csv`$", README, re.MULTILINE) == list(TABLES)


@pytest.mark.parametrize("table", TABLE_NAMES)
def test_the_readme_accounts_for_every_column(table: str) -> None:
    section = README.split(f"## `{table}.csv`\n")[1].split("\n## ")[0]
    told = re.findall(r"^[|] `(\w+)` [|]", section, re.MULTILINE)
    header = lines_of(table)[0]
    assert sorted(told) == sorted(header) == sorted(TABLES[table].__struct_fields__)


def test_the_readme_says_what_is_left_out() -> None:
    assert "the list is partial" in README
    assert "where there is no row there is no target" in README
    assert "widens the od tolerance of thin heat-treated walls" in README


def test_every_finding_code_has_its_caution() -> None:
    assert [row.code for row in rows(Caution)] == sorted(CODES)


@pytest.mark.parametrize("row", rows(Caution), ids=lambda row: row.code)
def test_a_caution_reads_as_the_bench_speaks(row: Caution) -> None:
    assert row.text[0].isupper()
    assert row.text.endswith(".")
    assert row.text.count(". ") == 0
    assert row.remedy[0].islower()
    assert not row.remedy.endswith(".")
    assert row.text.isascii() or "Lamé" in row.text
    assert len(row.text) <= 160
    assert len(row.remedy) <= 160
