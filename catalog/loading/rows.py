"""Values of one row to a typed row, every bad cell of it told."""

import functools
from collections.abc import Callable, Mapping
from typing import Any, Final

import msgspec

from catalog.loading.cells import item_problem, kept
from catalog.loading.columns import Column, columns_of, stem_and_unit
from catalog.loading.faults import Faults, Problem
from catalog.quantities import in_unit_of_column
from catalog.rows import TABLES, AnyRow

_NO_ROW: Final = Problem(
    "not-a-row", "the cells are no row of this table", "check the row against its source"
)


def row_of(
    table: str,
    line: int,
    cells: Mapping[str, tuple[Column, Any, Any]],
    faults: Faults,
) -> AnyRow | None:
    """Row of these cells, None where a fault was told or a column is missing.

    `cells` holds by the name of the column: the column as it was sent, what stands in the cell, and
    the value that it says in the unit in which it was sent, or a `Problem`.
    """
    values: dict[str, Any] = {}
    for name, (column, said, value) in cells.items():
        if column.sent_as and value is not None and not isinstance(value, Problem):
            value = in_unit_of_column(value, column.sent_unit, stem_and_unit(name)[1])
            faults.add_converted(table, line, column, said, value)
        values[name] = value
    if not any(isinstance(value, Problem) for value in values.values()):
        try:
            # INVARIANT: the type has the last word, so that no loader is laxer than the row.
            return _checked(table)(values)
        except msgspec.ValidationError:
            pass
    before = faults.count
    for name, value in values.items():
        column, said, _ = cells[name]
        problem = value if isinstance(value, Problem) else kept(column, said, value)
        if problem is not None:
            faults.add(table, line, column.sent_name, said, problem)
    if faults.count == before and len(values) == len(columns_of(table)):
        faults.add(table, line, "", "", _NO_ROW)
    return None


@functools.cache
def _checked(table: str) -> Callable[[Mapping[str, Any]], AnyRow]:
    kind = TABLES[table]
    lists = [c.name for c in columns_of(table).values() if c.form == "list"]

    def convert(values: Mapping[str, Any]) -> AnyRow:
        row = msgspec.convert(values, kind)
        for name in lists:
            if item_problem(getattr(row, name)) is not None:
                raise msgspec.ValidationError(name)
        return row

    return convert
