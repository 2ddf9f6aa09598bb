"""What every kind of file tells of blank rows, and of more rows than are taken."""

from catalog.loading.faults import Limits, Problem


def blank_rows(first: int, last: int) -> Problem:
    """The problem of blank rows with others below them."""
    which = f"row {first} is" if first == last else f"rows {first} to {last} are"
    return Problem(
        "blank-row",
        f"{which} blank, and others stand below",
        "delete blank rows, or fill in what is lost",
    )


def too_many_rows(limits: Limits) -> Problem:
    """The problem of a table with more rows than are taken."""
    return Problem(
        "too-many-rows",
        f"more than {limits.rows_a_table} rows",
        "delete the rows that no tube of the shop needs, or ask for a higher limit in the settings",
    )
