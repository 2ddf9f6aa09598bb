"""Numbers that were sent in another unit, or with a comma, read exactly and each of them told."""

from typing import Annotated, Any

from msgspec import Struct

from catalog.loading.columns import Column, stem_and_unit
from catalog.loading.faults import Faults, Problem, plain_text
from catalog.quantities import in_unit_of_column
from catalog.wanted import about


class Conversion(Struct, frozen=True, kw_only=True, gc=False):
    """One cell that was sent in another unit or form: where it stood, what it said and became."""

    table: Annotated[str, about("name of the table")]
    line: Annotated[int, about("line of the file, or item of the list, from 1")]
    sent_column: Annotated[str, about("name of the column as it was sent")]
    sent: Annotated[str, about("what the cell said")]
    column: Annotated[str, about("name of the column of the table")]
    value: Annotated[float, about("what it became, in the unit of that column")]


def in_our_unit(
    table: str, line: int, column: Column, said: Any, value: Any, faults: Faults
) -> Any:
    """Value of a cell in the unit of its column; a blank and a `Problem` are what they were."""
    if not column.sent_as or value is None or isinstance(value, Problem):
        return value
    ours_value = in_unit_of_column(value, column.sent_unit, stem_and_unit(column.name)[1])
    tell(table, line, column, said, ours_value, faults)
    return ours_value


def tell(table: str, line: int, column: Column, said: Any, value: float, faults: Faults) -> None:
    """Tell what a cell became, where somebody is told."""
    if faults.converted is not None:
        faults.converted.append(
            Conversion(
                table=table,
                line=line,
                sent_column=column.sent_name,
                sent=plain_text(said),
                column=column.name,
                value=value,
            )
        )
