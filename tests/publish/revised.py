"""What is refused of tables that can be read: files of an office, reviewed on the shipped ones."""

import re
from collections.abc import Mapping

from catalog.loading import tables_from_files
from catalog.publishing import Refusal, Report, review
from catalog.revision import Revision
from catalog.seed import shipped_revision


def refusals(files: Mapping[str, bytes]) -> list[Refusal]:
    """Every refusal of files that can be read, sent on top of the shipped tables."""
    tables, bad = tables_from_files(files)
    assert bad == []
    shipped = shipped_revision()
    found = review(tables, bad, shipped, shipped, reporter=_never)
    assert found.report is None
    assert found.refusals, "nothing was refused"
    for refusal in found.refusals:
        # The row names itself by its table, and says what is wrong and what to do.
        assert refusal.row.startswith(f"{refusal.table}/"), refusal
        assert re.fullmatch("[a-z]+(-[a-z]+)+", refusal.rule), refusal
        assert refusal.message, refusal
        assert not refusal.message.endswith("."), refusal
        assert refusal.remedy, refusal
        assert not refusal.remedy.endswith("."), refusal
    return list(found.refusals)


def reviewed_without_report(files: Mapping[str, bytes]) -> Revision:
    """Revision of files in which nothing is refused; its report is not made."""
    tables, bad = tables_from_files(files)
    shipped = shipped_revision()
    asked_for: list[Revision] = []

    def reporter(revision: Revision, against: Revision, *_: object) -> Report:
        assert against is shipped
        asked_for.append(revision)
        raise _NotMadeError

    try:
        found = review(tables, bad, shipped, shipped, reporter=reporter)
    except _NotMadeError:
        return asked_for[0]
    message = f"refused: {found.refusals}"
    raise AssertionError(message)


class _NotMadeError(Exception):
    """A report was asked for, so nothing was refused."""


def _never(*_: object) -> Report:
    message = "a report was made on tables that are refused"
    raise AssertionError(message)
