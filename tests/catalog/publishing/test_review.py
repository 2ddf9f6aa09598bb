"""Tables to refusals, or to a revision with a report whose digest anyone gets again."""

import os
import subprocess
import sys
from collections.abc import Sequence
from typing import Any

import msgspec
import pytest
from msgspec import structs

from catalog.differences import differences
from catalog.impact import MOST_QUESTIONS, impact_of
from catalog.loading import BadCell, csv_from_rows, rows_from_csv
from catalog.plausibility import doubts_of
from catalog.publishing import (
    Report,
    Review,
    report_bytes,
    report_digest,
    report_on,
    review,
)
from catalog.revision import Revision, digest, row_digest
from catalog.rows import TABLES, AnyRow, Case
from catalog.seed import shipped_revision
from catalog.standing import Withdrawn
from catalog.withdrawing import WithdrawnRow
from tests.catalog.impact.small import END, TARGET, dropped, indexes, one, small

NOW = small()
HIGHER = small(one("targets", TARGET, force_kn=28.6))
CASE = next(
    row
    for row in shipped_revision().tables["cases"]
    if isinstance(row, Case) and row.id == "16s-press-b-gauge-b"
)
"""27.5 kN on press-b with gauge-b, which the small shop answers as the demonstration does."""


def sent(revision: Revision, *names: str) -> dict[str, tuple[AnyRow, ...]]:
    """Tables of a revision as an office sends them: all of them, or those named."""
    return {name: revision.tables[name] for name in names or TABLES}


def looked_at(tables: dict[str, Any], base: Revision | None, bad: Sequence[BadCell] = ()) -> Review:
    return review(tables, bad, base, NOW)


def reported(tables: dict[str, Any], base: Revision | None) -> Report:
    """Report on tables in which nothing is refused."""
    found = looked_at(tables, base)
    assert found.refusals == ()
    assert found.revision is not None
    return report_on(found.revision, NOW)


def not_reported(tables: dict[str, Any], base: Revision | None, bad: Sequence[BadCell] = ()) -> Any:
    """Refusals of tables on which no report may be made."""
    found = review(tables, bad, base, NOW)
    assert found.refusals
    return found


def _written(table: str, column: str) -> BadCell:
    return BadCell(
        table=table, line=2, column=column, value="x", rule="blank", message="m", remedy="r"
    )


def test_a_whole_set_is_a_revision_with_its_report() -> None:
    report = reported(sent(HIGHER), None)
    assert report.revision == HIGHER.id
    assert report.against == NOW.id
    assert report.rows == differences(NOW, HIGHER)
    assert report.doubts == doubts_of(HIGHER, NOW)
    before, after = indexes(NOW, HIGHER)
    assert report.impact == impact_of(before, after, ("targets",))
    assert {change.end for change in report.impact.changes} == {END}


def test_some_tables_on_a_base_are_the_whole_set() -> None:
    whole, partial = looked_at(sent(HIGHER), None), looked_at(sent(HIGHER, "targets"), NOW)
    assert partial == whole


def test_tables_that_are_not_sent_are_those_of_the_base_not_of_what_answers_now() -> None:
    base = small(one("gauges", "gauge-b", class_percent=0.6))
    report = reported(sent(HIGHER, "targets"), base)
    assert {row.table for row in report.rows} == {"gauges", "targets"}
    assert report.against == NOW.id


def test_nothing_sent_on_a_base_is_the_base() -> None:
    report = reported({}, NOW)
    assert report.revision == NOW.id
    assert (report.rows, report.doubts) == ((), doubts_of(NOW, NOW))
    assert report.impact.changes == ()


@pytest.mark.parametrize("missing", [("targets",), ("sources", "cases"), tuple(TABLES)])
def test_without_a_base_every_table_must_be_there(missing: tuple[str, ...]) -> None:
    tables = {name: rows for name, rows in sent(NOW).items() if name not in missing}
    found = not_reported(tables, None)
    assert found.revision is None
    assert [(r.table, r.row, r.rule) for r in found.refusals] == [
        (name, "", "table-missing") for name in TABLES if name in missing
    ]
    assert all(f"`{r.table}`" in r.message and "base" in r.remedy for r in found.refusals)


def test_a_table_that_is_there_and_empty_is_not_missing() -> None:
    found = looked_at({**sent(NOW), "cases": ()}, None)
    assert found.refusals == ()


def test_a_bad_cell_is_told_as_the_office_finds_it() -> None:
    rows, (bad,) = rows_from_csv(
        "targets", csv_from_rows("targets", NOW.tables["targets"]).replace(",27.5,", ',"27,5",')
    )
    found = not_reported({**sent(NOW), "targets": rows}, None, [bad])
    assert found.revision is None
    (refusal,) = found.refusals
    assert (refusal.table, refusal.column, refusal.value) == ("targets", "force_kn", "27,5")
    assert refusal.row == f"line {bad.line}"
    assert (refusal.rule, refusal.message, refusal.remedy) == (bad.rule, bad.message, bad.remedy)


def test_a_bad_table_is_told_once_and_not_as_missing_too() -> None:
    tables = {name: rows for name, rows in sent(NOW).items() if name not in {"targets", "sizes"}}
    bad = structs.replace(_written("targets", ""), line=0)
    found = not_reported(tables, None, [bad])
    assert [(r.table, r.row, r.rule) for r in found.refusals] == [
        ("targets", "", "blank"),
        ("sizes", "", "table-missing"),
    ]


def test_bad_cells_come_before_faults() -> None:
    # Rows that could not be read would be missed by others, and hide what is wrong at first hand.
    tables = sent(small(dropped("cones", "cone-S-16")), "cones")
    found = not_reported(tables, NOW, [_written("sizes", "thread")])
    assert [r.rule for r in found.refusals] == ["blank"]
    assert found.revision is None


def test_every_fault_is_told_with_the_cell_that_it_is_about() -> None:
    unfit = small(
        dropped("cones", "cone-S-16")
        + dropped("cones", "cone-S-16-steel")
        + one("gauges", "gauge-b", source="nowhere")
        + one("targets", TARGET, ceiling_kn=29.6)
    )
    found = not_reported(sent(unfit), None)
    assert found.revision is not None
    assert {(r.table, r.row, r.column, r.value, r.rule) for r in found.refusals} == {
        ("sizes", "sizes/S/16", "od_mm", "16", "tooling-missing"),
        ("gauges", "gauges/gauge-b", "source", "nowhere", "source-unknown"),
        ("targets", f"targets/{TARGET}", "ceiling_kn", "29.6", "target-without-ground"),
    }
    assert all(r.message and r.remedy for r in found.refusals)


def test_a_row_that_is_not_there_has_no_value() -> None:
    found = not_reported(sent(small(dropped("cautions", "press.missing"))), None)
    assert [(r.row, r.column, r.value, r.rule) for r in found.refusals] == [
        ("cautions/press.missing", "code", "", "text-missing")
    ]


def test_a_doubled_key_is_told_with_all_that_makes_it() -> None:
    double = next(row for row in NOW.tables["targets"] if row.ref == f"targets/{TARGET}")
    found = not_reported({"targets": (*NOW.tables["targets"], double)}, NOW)
    told = {r.rule: (r.column, r.value) for r in found.refusals}
    assert told["key-doubled"] == (
        "series, od_mm, wall_min_mm, wall_max_mm, family, grade, ring_style, ring, insert",
        "S, 16, 1.9, 2.1, carbon-steel, , metal, , none",
    )


def test_a_grade_that_rises_is_judged_against_what_answers_now() -> None:
    better = small(one("sources", "our-notes", grade="maker"))
    (refusal,) = not_reported(sent(better), None).refusals
    assert (refusal.rule, refusal.value) == ("grade-raised", "maker")
    # A base that holds it already does not excuse it.
    (refusal,) = not_reported({}, better).refusals
    assert refusal.rule == "grade-raised"
    noted = small(one("sources", "our-notes", grade="maker", note="read by office-1"))
    assert looked_at(sent(noted), None).refusals == ()


def test_own_cases_are_asked_once_the_rest_is_right() -> None:
    with_case = small((), CASE)
    assert looked_at(sent(with_case), None).refusals == ()
    wrong = {**sent(HIGHER), "cases": (CASE,)}
    found = not_reported(wrong, None)
    assert {(r.table, r.row, r.rule) for r in found.refusals} == {
        ("cases", f"cases/{CASE.id}", "own-case")
    }
    # 28.6 of 27.5 kN, and a window of 143.06 to 152.94 in the place of 138 to 147 bar.
    assert found.refusals[0].message == "force_kn 28.6 kN, by hand 27.5"
    assert len(found.refusals) == 4
    unfit = {**wrong, "cones": tuple(r for r in HIGHER.tables["cones"] if "16" not in r.ref)}
    assert {r.rule for r in not_reported(unfit, None).refusals} == {"tooling-missing"}


def test_the_progress_of_a_report_ends_where_all_is_done() -> None:
    steps: list[tuple[int, int]] = []

    def progress(done: int, of: int) -> None:
        steps.append((done, of))

    assert report_on(HIGHER, NOW, progress=progress) == report_on(HIGHER, NOW)
    assert steps[-1][0] == steps[-1][1] > 0


def test_strong_doubts_are_those_to_be_acknowledged() -> None:
    # Ten times the force of one row; its ceiling too, so that the row is fit to be compiled.
    slipped = small(one("targets", TARGET, force_kn=275.0, ceiling_kn=343.0))
    report = report_on(slipped, NOW)
    assert report.strong
    assert set(report.strong) == {d.id for d in report.doubts if d.weight == "strong"}
    assert report_on(NOW, NOW).strong == ()


def _withdrawn(revision: Revision) -> WithdrawnRow:
    """The target of the small shop that the tests change, withdrawn as it stands in a revision."""
    (row,) = (r for r in revision.tables["targets"] if r.ref == f"targets/{TARGET}")
    why = Withdrawn(reason="rings came loose", by="office-2", on="2026-03-02")
    return WithdrawnRow(row=row.ref, digest=row_digest(row), why=why)


def test_a_withdrawn_row_is_rejected_before_and_after_where_it_stays() -> None:
    report = report_on(NOW, NOW, [_withdrawn(NOW)])
    assert (report.withdrawals, report.rows, report.impact.changes) == (1, (), ())
    (told,) = (d for d in report.doubts if d.kind == "withdrawn")
    assert told.id in report.strong
    assert told.rows == (f"targets/{TARGET}",)
    assert "rings came loose" in told.message


def test_a_withdrawn_row_that_is_mended_is_newly_allowed() -> None:
    # Rejected on all four pairs before; the two that can press 28.6 kN are allowed again.
    report = report_on(HIGHER, NOW, [_withdrawn(NOW)])
    found = report.impact
    assert {(c.end, c.press, c.gauge) for c in found.changes if c.kind == "newly-allowed"} == {
        (END, "press-b", "gauge-b"),
        (END, "press-c", "gauge-c"),
    }
    assert found.coverage_gained == (END,)
    assert all("revision.withdrawn" in c.before.codes for c in found.changes)
    assert not any("revision.withdrawn" in c.after.codes for c in found.changes)
    assert [d.kind for d in report.doubts if d.weight == "strong"] == ["withdrawn"]


def test_more_questions_than_can_be_replayed_are_refused_with_their_count() -> None:
    ends = report_on(NOW, NOW).impact.totals.questions // 4
    press = next(row for row in NOW.tables["presses"] if row.ref == "presses/press-b")
    count = MOST_QUESTIONS // ends + 1
    many = [structs.replace(press, id=f"press-{n}", gauges=("gauge-b",)) for n in range(count)]
    (refusal,) = not_reported({"presses": many}, NOW).refusals
    assert (refusal.table, refusal.rule) == ("presses", "too-many-questions")
    assert refusal.value == str(count * ends)
    assert f"limit {MOST_QUESTIONS}" in refusal.message


def test_the_digest_is_that_of_the_bytes_and_reads_back() -> None:
    report = report_on(HIGHER, NOW)
    assert report_digest(report) == digest(report_bytes(report))
    assert report_digest(report) == report_digest(report_on(HIGHER, NOW))
    assert msgspec.json.decode(report_bytes(report), type=Report) == report


def test_the_digest_tells_every_part_apart() -> None:
    report = report_on(HIGHER, NOW)
    other = report_on(small(one("targets", TARGET, force_kn=28.7)), NOW)
    parts = {
        report_digest(structs.replace(report, **{part: getattr(other, part)}))
        for part in ("revision", "rows", "impact")
    }
    parts.add(report_digest(structs.replace(report, rules="0")))
    assert len(parts - {report_digest(report)}) == 4


@pytest.mark.parametrize("hash_seed", ["0", "4242"])
def test_the_digest_is_the_same_in_another_process(hash_seed: str) -> None:
    told = subprocess.run(
        [sys.executable, "-m", "tests.catalog.publishing.test_review"],
        env={**os.environ, "PYTHONHASHSEED": hash_seed},
        check=True,
        capture_output=True,
        text=True,
    ).stdout.split()
    assert told == _digests()


def _digests() -> list[str]:
    revisions = (NOW, HIGHER, small(dropped("targets", TARGET)))
    return [report_digest(report_on(a, b)) for a in revisions for b in revisions]


if __name__ == "__main__":
    sys.stdout.write("\n".join(_digests()))
