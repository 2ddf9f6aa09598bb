"""What is refused of tables that can be read: files of an office, reviewed on the shipped ones."""

import re
from collections.abc import Mapping

from catalog.loading import tables_from_files
from catalog.publishing import Refusal, review
from catalog.revision import Revision
from catalog.seed import shipped_revision


def refusals(files: Mapping[str, bytes]) -> list[Refusal]:
    """Every refusal of files that can be read, sent on top of the shipped tables."""
    tables, bad = tables_from_files(files)
    assert bad == []
    shipped = shipped_revision()
    found = review(tables, bad, shipped, shipped)
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
    found = review(tables, bad, shipped, shipped)
    assert found.revision is not None
    assert found.refusals == ()
    return found.revision
