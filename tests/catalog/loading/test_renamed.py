"""An office that sends a table of older days is told the word of today."""

from catalog.loading import rows_from_csv
from tests.catalog.tables.shipped import FOLDER


def test_a_cell_with_a_renamed_word_is_told_the_new_one() -> None:
    text = (FOLDER / "targets.csv").read_text(encoding="utf-8")
    _, bad = rows_from_csv("targets", text.replace("at-contact", "at-closed-gap", 1))
    (cell,) = bad
    assert (cell.column, cell.value) == ("finish", "at-closed-gap")
    assert cell.remedy == "write `at-contact`, as it is called now"
