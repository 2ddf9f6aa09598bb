"""Rows that the office has withdrawn, found again in any revision by what they say."""

from collections.abc import Iterable, Mapping

from msgspec import Struct

from catalog.revision import Revision, row_digest
from catalog.rows import AnyRow
from catalog.standing import Withdrawn


class WithdrawnRow(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A row that no answer may rest on: its name, the digest of what it says, and why.

    Without a digest it is withdrawn whatever it says: what was withdrawn cannot be read any more.
    """

    row: str
    digest: str | None
    why: Withdrawn


def by_ref(revision: Revision) -> dict[str, AnyRow]:
    """Every row of a revision by its name in an answer."""
    return {row.ref: row for rows in revision.tables.values() for row in rows}


def withdrawn_in(
    rows: Mapping[str, AnyRow], withdrawn: Iterable[WithdrawnRow]
) -> dict[str, Withdrawn]:
    """Rows, by name, that say what a withdrawn row said.

    A row that was mended under the same key says something else, and is not withdrawn by it. Of
    several withdrawals of one row the first is told.
    """
    found: dict[str, Withdrawn] = {}
    for each in withdrawn:
        row = rows.get(each.row)
        if row is None or each.row in found:
            continue
        if each.digest is None or row_digest(row) == each.digest:
            found[each.row] = each.why
    return found
