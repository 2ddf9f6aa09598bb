"""A proposal in which a withdrawn row is gone names the new rows that may say the same again."""

from typing import Any

from catalog.differences import differences
from catalog.plausibility.doubt import Doubt
from catalog.publishing.unread import withdrawn_doubts
from catalog.revision import revision_of, row_digest
from catalog.seed import shipped_revision
from catalog.standing import Withdrawn
from catalog.withdrawing import WithdrawnRow, by_ref
from tests.catalog.synthetic import Tables, as_changes, changed

WHY = Withdrawn(reason="cracked", by="office-2", on="2026-03-02")
SAID = "`cones/cone-S-16` was withdrawn by office-2 on 2026-03-02: cracked"


def doubts_of(changes: dict[str, Any]) -> list[Doubt]:
    """Doubts about a withdrawn cone in tables that were changed."""
    before = shipped_revision()
    tables: Tables = {name: list(rows) for name, rows in before.tables.items()}
    after = revision_of(changed(tables, as_changes(changes)))
    cone = by_ref(before)["cones/cone-S-16"]
    withdrawn = WithdrawnRow(row=cone.ref, digest=row_digest(cone), why=WHY)
    return [*withdrawn_doubts(by_ref(after), differences(before, after), [withdrawn])]


def test_a_row_under_another_name_is_named() -> None:
    (told,) = doubts_of(
        {
            "cones/cone-S-16": {"id": "cone-S-16-new"},
            "plates/plate-metric-16": {"id": "plate-metric-16-new"},
        }
    )
    assert told.message == f"{SAID}; it is gone, and 1 rows of its table are new"
    assert told.rows == ("cones/cone-S-16", "cones/cone-S-16-new")
    assert told.weight == "strong"


def test_a_row_that_stays_is_told_as_it_stays() -> None:
    (told,) = doubts_of({})
    assert told.message == f"{SAID}; it stands here as it was, so answers on it stay rejected"


def test_a_row_that_was_mended_is_told_with_its_cells() -> None:
    (told,) = doubts_of({"cones/cone-S-16": {"rated_force_kn": 70.0}})
    assert told.message.startswith(f"{SAID}; it answers again with rated_force_kn ")
    assert told.message.endswith(" -> 70")
