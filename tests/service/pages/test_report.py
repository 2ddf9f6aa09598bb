"""Everything that a report says stands on its page, in the order in which an approver needs it."""

import re
from itertools import chain
from typing import Any, get_args

import pytest
from msgspec import structs

from catalog.differences import CellChange, RowChange
from catalog.impact import KINDS, DialMove, DialPart, End, Ground, Outcome, RatedLimit, TargetChange
from catalog.loading import Conversion
from catalog.publishing import Report, headline_of, largest_rows, report_digest
from service.pages.changes import assembly_name, end_name
from service.pages.picture import picture_of
from service.pages.report import report_page
from service.safety import SAFETY
from service.store.records import Acknowledged, Approval
from tests.service.pages.markup import Node, parsed
from tests.service.pages.reports import NOTE, about, allowed, changed, with_changes

NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")


def read(report: Report, digest: str | None = None, **more: Any) -> Node:
    """Page of a report, parsed."""
    digest = report_digest(report) if digest is None else digest
    return parsed(report_page(report, digest, about=about(report, **more)))


@pytest.fixture(scope="module")
def page(report: Report) -> Node:
    return read(report)


def approval(of: Report, **more: Any) -> Approval:
    """Approval of a report with a reason for each strong doubt."""
    given = Approval(
        n=1,
        at="2026-03-03T07:00:00Z",
        by="jens",
        revision=of.revision,
        against=of.against,
        report=report_digest(of),
        note="compared with the issue on paper",
        acknowledged=tuple(Acknowledged(doubt=d, reason=f"seen: {d}") for d in of.strong),
    )
    return structs.replace(given, **more)


def in_order(text: str, *pieces: str) -> None:
    """Fail unless the pieces stand in the text in this order."""
    at = 0
    for piece in pieces:
        found = text.find(piece, at)
        assert found >= 0, f"{piece!r} does not stand after what it should follow"
        at = found + len(piece)


def cells(row: Node) -> dict[str, str]:
    """Text of the cells of a row by the head of their column; the row's own head under ''."""
    return {n.attributes.get("data-head", ""): n.text for n in row.all("th", "td")}


def groups(part: Node) -> dict[str, tuple[Node, list[Node]]]:
    """Head and rows of each group of a table, by the name of its tube end."""
    found = {}
    for body in part.one("table").all("tbody"):
        head, *rows = body.all("tr")
        name = head.one("th").all("bdi")[0].text
        assert name not in found, f"{name} has two groups"
        found[name] = head, rows
    return found


def row_of(rows: list[Node], change: TargetChange) -> Node:
    """The one row that tells of a press and gauge."""
    told = []
    for row in rows:
        for line in row.one("th").all("div"):
            press, *gauges = [n.text for n in line.all("bdi")]
            told += [row for gauge in gauges if (press, gauge) == (change.press, change.gauge)]
    (found,) = told
    return found


def agree(text: str, *values: float | None) -> None:
    """Fail unless the numbers of a text are these, to five digits; without any it says `none`."""
    told = [float(number) for number in NUMBER.findall(text)]
    wanted = [value for value in values if value is not None]
    assert told == pytest.approx(wanted, rel=1e-4), text
    assert ("none" in text) == (None in values), text


def once(*values: float | None) -> list[float | None]:
    """Values before and after, once where they are the same."""
    half = len(values) // 2
    return list(values[:half]) if values[:half] == values[half:] else list(values)


def test_it_begins_with_what_against_what_by_whom_and_the_digest(
    report: Report, page: Node
) -> None:
    digest = report_digest(report)
    in_order(
        page.text,
        f"Impact report on revision {report.revision.removeprefix('sha256:')[:12]}",
        report.revision,
        report.against,
        "the revision that it is against",
        "mara",
        "2026-03-02T08:15:00Z",
        " ".join(NOTE.split()),
        "proposed",
        "In short",
        digest,
    )
    other = read(report, base="sha256:" + "5" * 64)
    assert "sha256:" + "5" * 64 in other.text
    assert "every table was sent" in read(report, base=None).text


PARTS = [
    "strong-doubts",
    "newly-allowed",
    "coverage-gained",
    "newly-refused",
    "coverage-lost",
    "target-changed",
    "tooling-changed",
    "cautions-changed",
    "grounds-changed",
    "ratings",
    "refused-otherwise",
    "weak-doubts",
    "rows",
    "converted",
    "not-replayed",
]
"""Parts of a page in the order of what can hurt; one that is empty is not there."""


def counts(report: Report) -> dict[str, int]:
    totals = report.impact.totals
    told = {name.replace("_", "-"): count for name, count in structs.asdict(totals).items()}
    return told | {
        "strong-doubts": len(report.strong),
        "weak-doubts": len(report.doubts) - len(report.strong),
        "ratings": totals.ratings_changed,
        "rows": len(report.rows),
        "converted": len(report.converted),
        "not-replayed": len(report.impact.not_replayed),
    }


def test_parts_stand_in_the_order_of_what_can_hurt_and_empty_ones_are_left_out(
    report: Report, page: Node
) -> None:
    known = counts(report)
    assert len(report.rows) > 10  # few rows stand at the top alone
    wanted = [part for part in PARTS if known[part]]
    assert [n.attributes["id"] for n in page.all("h2")] == [
        "short",
        *wanted,
        "approvals",
        "caution",
    ]
    assert 0 < len(wanted) < len(PARTS)


def test_it_says_first_in_a_sentence_what_was_changed_and_what_it_does(
    report: Report, page: Node
) -> None:
    short, totals = page.part("short"), report.impact.totals
    (lead,) = (n.text for n in short.all("p") if "lead" in n.classes)
    assert lead == f"{headline_of(report)}."
    most = max(c.relative for c in report.impact.changes if c.kind == "target-changed")
    in_order(
        lead,
        f"{len(report.rows)} rows differ",
        f"{totals.questions} press targets asked: {totals.newly_allowed} newly allowed",
        f"{totals.newly_refused} newly refused",
        f"{totals.target_changed} with other numbers (by at most {most * 100:.3g} %)",
        f"{totals.ratings_changed} of {totals.ratings} ratings changed",
        f"{totals.coverage_lost} tube ends that no press and gauge can do any more",
        "no question here reads all that changed in neighbours",
        f"{len(report.strong)} strong doubt",
    )
    assert len(short.of_class("row")) == 10
    assert f"The 10 of {len(report.rows)} rows that change most stand here" in short.text
    few = read(structs.replace(report, rows=report.rows[:2])).part("short")
    assert len(few.of_class("row")) == 2
    assert "stand here" not in few.text
    nothing = structs.replace(report.impact, changes=(), ratings=(), coverage_lost=())
    quiet = headline_of(structs.replace(report, impact=nothing, doubts=(), rows=report.rows[:1]))
    assert quiet.startswith(f"1 row differs; {totals.questions} press targets asked: all answered")
    meant = with_changes(report, changed(report, allowed(force_kn=28.0), relative=0.0182))
    assert "none newly refused, 1 with other numbers (by at most 1.82 %)" in headline_of(meant)


def test_of_many_rows_those_that_change_most_stand_first(report: Report) -> None:
    def row(name: str, before: str, after: str) -> RowChange:
        cell = CellChange(column="force_kn", before=before, after=after)
        return RowChange(table="targets", row=name, kind="changed", cells=(cell,))

    noise = [row(f"targets/{n}", "11.8", "11.8000000018834") for n in range(30)]
    slip, source = row("targets/slip", "29", "290"), row("targets/word", "", "our-notes")
    many = (*noise[:20], slip, *noise[20:], source)
    assert [each.row for each in largest_rows(many, 4)] == [
        "targets/0",
        "targets/1",
        "targets/slip",
        "targets/word",
    ]
    gone = structs.replace(noise[5], kind="removed")
    assert largest_rows((*noise, gone), 1) == (gone,)
    page = read(structs.replace(report, rows=many))
    assert "targets/slip" in page.part("short").text


def test_totals_count_everything_and_lead_to_it(report: Report, page: Node) -> None:
    totals, short = report.impact.totals, page.part("short")
    (table,) = (n for n in short.all("table") if "totals" in n.classes)
    agree(table.one("caption").text, totals.questions, totals.ratings)
    told = {
        row.one("a").attributes["href"]: int(row.one("td").text)
        for row in table.one("tbody").all("tr")
    }
    known = counts(report)
    assert told == {f"#{part}": known[part] for part in PARTS if known[part]}
    (none,) = (n.text for n in short.all("p") if "none" in n.classes)
    assert none.count(";") == len([part for part in PARTS if not known[part]]) - 1
    assert "press targets with another cone or plate" in none


def test_every_doubt_tells_its_id_its_rows_and_what_to_do(report: Report, page: Node) -> None:
    assert report.strong
    for weight in ("strong", "weak"):
        wanted = [doubt for doubt in report.doubts if doubt.weight == weight]
        told = page.part(f"{weight}-doubts").all("article")
        assert len(told) == len(wanted)
        for doubt, article in zip(wanted, told, strict=True):
            codes = [n.text for n in article.all("code")]
            assert {doubt.id, *doubt.rows[:20]} <= set(codes)
            assert not doubt.column or doubt.column in codes
            in_order(
                article.text,
                doubt.kind,
                doubt.message.replace("`", ""),
                "What to do",
                doubt.remedy.replace("`", ""),
                doubt.id,
            )


def test_a_strong_doubt_has_a_line_to_write_on_until_its_reason_is_given(
    report: Report, page: Node
) -> None:
    def lines(told: Node) -> int:
        return sum("write" in n.classes for n in told.part("strong-doubts").all("p"))

    assert lines(page) == len(report.strong)
    assert not any("write" in n.classes for n in page.part("weak-doubts").all("p"))
    given = read(report, approvals=(approval(report),), state="approved")
    assert lines(given) == 0
    for doubt, article in zip(
        report.strong, given.part("strong-doubts").all("article"), strict=True
    ):
        assert f"Reason of jens seen: {doubt}" in article.text
    of_another = approval(report, report="sha256:" + "7" * 64)
    assert lines(read(report, approvals=(of_another,))) == len(report.strong)


def test_approvals_tell_who_when_why_and_of_which_report(report: Report) -> None:
    other = approval(
        report, n=2, by="ada", report="sha256:" + "7" * 64, against="sha256:" + "6" * 64
    )
    first, second = (
        read(report, approvals=(approval(report), other)).part("approvals").all("article")
    )
    in_order(first.text, "jens", "2026-03-03T07:00:00Z", "this one", "the same revision")
    assert "compared with the issue on paper" in first.text
    for doubt in report.strong:
        assert f"{doubt} seen: {doubt}" in first.text
    in_order(second.text, "ada", "another one", "sha256:" + "7" * 64, "sha256:" + "6" * 64)
    assert "None yet" in read(report).part("approvals").text


def test_ends_that_are_lost_or_gained_stand_there_whole(report: Report) -> None:
    lost = report.impact.coverage_lost
    swapped = structs.replace(report.impact, coverage_lost=(), coverage_gained=lost)
    assert lost
    told = (
        read(report).part("coverage-lost"),
        read(structs.replace(report, impact=swapped)).part("coverage-gained"),
    )
    for part in told:
        rows = part.one("tbody").all("tr")
        assert [list(cells(row).values()) for row in rows] == [
            [
                end.series,
                f"{end.od_mm:g}",
                f"{end.wall_mm:g}",
                end.material,
                end.ring_style,
                end.ring_material,
                end.ring,
                end.insert,
            ]
            for end in lost
        ]
    assert "coverage-gained" not in [n.attributes["id"] for n in read(report).all("h2")]


@pytest.mark.parametrize("kind", KINDS)
def test_every_changed_answer_stands_under_its_end_with_all_its_numbers(
    report: Report, page: Node, kind: str
) -> None:
    shown = [change for change in report.impact.changes if change.kind == kind][:200]
    if not shown:
        assert kind in {"tooling-changed", "cautions-changed", "grounds-changed"}
        return
    told = groups(page.part(kind))
    assert list(told) == list(dict.fromkeys(end_name(change.end) for change in shown))
    for change in shown:
        head, rows = told[end_name(change.end)]
        _compare(change, head, row_of(rows, change))


def _compare(change: TargetChange, head: Node, told: Node) -> None:
    """Fail unless a row, with the head of its group, tells all of a change."""
    old, new, row = change.before, change.after, cells(told)
    both = f"{head.text} {row['Verdict and codes']}"
    assert row["Verdict and codes"].startswith(
        old.verdict if old.verdict == new.verdict else f"{old.verdict} → {new.verdict}"
    )
    for code in {*old.codes, *new.codes}:
        assert re.search(rf"(^|[ ,]){re.escape(code)}( |,|$)", both), code
    pressing = head.of_class("pressing") + told.of_class("pressing")
    if not pressing:
        assert (old.force_kn, new.force_kn) == (None, None)
        return
    (numbers,) = [
        re.fullmatch("finish (.*); force (.*); band (.*); ceiling (.*)", p.text) for p in pressing
    ]
    assert numbers is not None
    finish, force, band, ceiling = numbers.groups()
    assert {old.finish or "none", new.finish or "none"} == set(finish.split(" → "))
    agree(force, *once(old.force_kn, new.force_kn))
    agree(ceiling, *once(old.ceiling_kn, new.ceiling_kn))
    agree(band, *_ends(old.force_low_kn, old.force_high_kn, new.force_low_kn, new.force_high_kn))
    agree(row["Marks in window"], *once(old.marks, new.marks))
    moves = change.stop_moves
    assert re.findall(r"[+-]?\d+", row["Mark to stop at"]) == ([f"{moves:+d}"] if moves else [])
    assert (row["Mark to stop at"] == "stays") == (moves == 0)
    by = [f"{move.by * 100:.3g}" for move in change.dial if move.by is not None]
    agree(row["On the dial"], *(float(share) for share in by))
    if "Largest change" in row:
        agree(row["Largest change"], float(f"{change.relative * 100:.3g}"))


def _ends(*values: float | None) -> list[float | None]:
    """Ends of windows as `once`; a window that is not there is one `none`."""
    return [v for i, v in enumerate(once(*values)) if v is not None or i % 2 == 0]


def test_an_end_is_not_repeated_for_each_pair_and_pairs_that_answer_alike_share_a_row(
    report: Report,
) -> None:
    change = changed(report, allowed(), press="press-b", gauge="gauge-b", stop_moves=1)
    other = structs.replace(change, gauge="gauge-c", stop_moves=2)
    twin = structs.replace(change, gauge="gauge-due")
    page = read(with_changes(report, change, other, twin))
    ((head, rows),) = groups(page.part("target-changed")).values()
    assert "3 press-gauge pairs" in head.text
    assert [cells(row)[""] for row in rows] == ["press-b: gauge-b, gauge-due", "press-b: gauge-c"]


def test_a_number_is_never_kinder_than_it_is_and_a_small_change_is_seen(report: Report) -> None:
    before = allowed(
        force_kn=30.0000001, force_low_kn=16.603361, force_high_kn=170.12649, ceiling_kn=197.58999
    )
    after = structs.replace(before, force_kn=30.0000002, force_high_kn=171.0, ceiling_kn=197.59)
    change = changed(report, after, before=before)
    ((head, _),) = groups(read(with_changes(report, change)).part("target-changed")).values()
    assert "force 30.0000001 kN → 30.0000002 kN" in head.text
    # Inward by hand: 16.603361 up to 16.604, 170.12649 down to 170.12.
    assert "band 16.604 to 170.12 kN → 16.604 to 171 kN" in head.text
    # Down by hand: 197.58999 to 197.58.
    assert "ceiling 197.58 kN → 197.59 kN" in head.text


def test_a_dial_of_another_scale_and_contact_are_told_as_they_are(report: Report) -> None:
    scale = (DialMove(of="low", by=-0.00031), DialMove(of="scale", by=None))
    base = changed(report, allowed(marks=8), gauge="other-dial", dial=scale)
    met = allowed(finish="at-contact", marks=None)
    came = (DialMove(of="low", by=None), DialMove(of="never-exceed", by=0.1234567))
    closed = structs.replace(base, gauge="closed", after=met, dial=came)
    ((head, rows),) = groups(
        read(with_changes(report, base, closed)).part("target-changed")
    ).values()
    assert "force" not in head.text  # the pairs are not pressed alike: each row tells its own
    first, second = (cells(row) for row in rows)
    assert first["Marks in window"] == "6 → 8"
    assert (first["Mark to stop at"], second["Mark to stop at"]) == ("", "")
    assert first["On the dial"] == "window from -0.031 % another scale"
    assert "finish at-pressure; force 27.5 kN" in first["Verdict and codes"]
    assert second["Marks in window"] == "6 → none"
    assert second["On the dial"] == "window from came or went never exceed +12.3 %"
    assert "finish at-pressure → at-contact; force 27.5 kN" in second["Verdict and codes"]


def test_no_field_of_a_changed_answer_is_left_off_the_page(report: Report) -> None:
    """Whatever an outcome says more one day: a change of it alone changes the page."""
    change = changed(report, allowed())
    plain = report_page(with_changes(report, change), "d", about=about(report))
    others = {"finish": "at-contact", "codes": ("x",), "verdict": "undetermined"}
    others |= {"cone": "cone-other", "plate": "plate-other"}
    told = [
        structs.replace(
            change,
            after=structs.replace(
                change.after, **{field: others.get(field) or getattr(change.after, field) + 1}
            ),
        )
        for field in Outcome.__struct_fields__
    ]
    told += [structs.replace(change, stop_moves=moves) for moves in (-1, 0, 1)]
    told += [structs.replace(change, dial=(DialMove(of=of, by=None),)) for of in get_args(DialPart)]
    for other in told:
        page = report_page(with_changes(report, other), "d", about=about(report))
        assert page != plain, other


def test_no_reading_of_any_size_stands_on_the_page(report: Report, page: Node) -> None:
    """No unit of a dial beside a number but of ratings, whose bars are of the line."""
    told = [page.part(kind).text for kind in KINDS if counts(report).get(kind)]
    assert told
    for text in (*told, page.part("short").text):
        assert not re.search(r"\d\s*(bar|psi|MPa)\b", text), text


def test_a_picture_shows_forces_before_and_after_on_one_scale(report: Report, page: Node) -> None:
    picture = picture_of(report.impact)
    assert picture is not None
    drawn = page.part("short").one("svg")
    assert len(picture.lines) == 24 < picture.count
    assert f"24 of {picture.count} tube ends" in page.part("short").text
    texts = [n.text for n in drawn.all("text")]
    assert all(line.label in texts for line in picture.lines)
    # 22L is raised by 8 %; ends that are not pressed any more lead, and have one side alone.
    zero = picture.ticks[0].x
    both = [line for line in picture.lines if line.old and line.new]
    assert picture.lines[0].new is None
    assert "not pressed any more" in drawn.text
    assert all(line.label.startswith("L 22 x") for line in both)
    for line in both:
        assert line.old is not None
        assert line.new is not None
        assert (line.new.x - zero) / (line.old.x - zero) == pytest.approx(1.08, rel=0.01)
    for line in picture.lines:
        for at in (line.old, line.new):
            assert at is None or zero < at.low < at.x < at.high < picture.width
    gone = changed(report, structs.replace(allowed(), verdict="rejected", force_kn=None))
    lost = structs.replace(report.impact, changes=(gone,), coverage_lost=(gone.end,))
    alone = picture_of(lost)
    assert alone is not None
    assert [(line.old is None, line.new is None) for line in alone.lines] == [(False, True)]
    assert [tick.text for tick in alone.ticks] == [f"{kn} kN" for kn in range(0, 31, 5)]
    # Another press can do it still: nothing is gone, and nothing is drawn.
    assert picture_of(structs.replace(lost, coverage_lost=())) is None
    assert not read(with_changes(report, changed(report, allowed(marks=5)))).all("svg")


def test_another_cone_and_the_rows_that_an_answer_warns_of_stand_there(report: Report) -> None:
    ground = Ground(row="targets/S/16", before=("demonstration",), after=("memory",))
    gone = Ground(row="cones/cone-S-16", before=("demonstration", "memory"), after=())
    change = changed(
        report,
        allowed(cone="cone-S-16-b"),
        kind="tooling-changed",
        relative=0.0,
        grounds=(ground, gone),
    )
    ((_, rows),) = groups(read(with_changes(report, change)).part("tooling-changed")).values()
    told = cells(rows[0])["Verdict and codes"]
    in_order(
        told,
        "tooling cone cone-S-16 → cone-S-16-b",
        "rests on targets/S/16 demonstration → memory; ",
        "cones/cone-S-16 demonstration and memory → none",
    )
    assert "plate" not in told


def test_every_changed_rating_stands_under_its_assembly(report: Report, page: Node) -> None:
    told = groups(page.part("ratings"))
    ratings = report.impact.ratings
    assert ratings
    assert list(told) == list(dict.fromkeys(assembly_name(change.end) for change in ratings))
    for change in ratings:
        _, rows = told[assembly_name(change.end)]
        (row,) = [cells(r) for r in rows if cells(r)[""] == f"{change.temp_c:g} °C"]
        old, new = change.before, change.after
        agree(row["Static bar"], *once(old.static_bar, new.static_bar))
        agree(row["Pulsating bar"], *once(old.pulsating_bar, new.pulsating_bar))
        governed = {old.static_governing or "none", new.static_governing or "none"}
        assert governed == set(row["Governed by"].split(" → "))
        agree(row["Largest change"], float(f"{change.relative * 100:.3g}"))
        assert change.moved
        moved = row["Limits moved, bar"]
        was, now = ({limit.of: limit.bar for limit in rated.limits} for rated in (old, new))
        for name in change.moved:
            assert name in moved
        agree(moved, *(v for name in change.moved for v in once(was.get(name), now.get(name))))


def test_a_limit_that_came_or_went_alone_says_so(report: Report) -> None:
    first = report.impact.ratings[0]
    rated = first.before
    sealed = structs.replace(rated, limits=(*rated.limits, RatedLimit(of="seal", bar=640.0)))
    for before, after, said, moved in (
        (rated, sealed, "now known", "seal none → 640"),
        (sealed, rated, "no longer known", "seal 640 → none"),
    ):
        change = structs.replace(first, before=before, after=after, relative=0.0, moved=("seal",))
        impact = structs.replace(report.impact, ratings=(change,))
        page = read(structs.replace(report, impact=impact))
        ((_, rows),) = groups(page.part("ratings")).values()
        row = cells(rows[0])
        assert (row["Largest change"], row["Limits moved, bar"]) == (said, moved)


def test_a_rating_that_is_known_no_more_says_so(report: Report) -> None:
    first = next(c for c in report.impact.ratings if c.before.static_governing == "fitting")
    nothing = structs.replace(first.after, static_bar=None, static_governing=None)
    gone = structs.replace(first, after=nothing, relative=0.0)
    impact = structs.replace(report.impact, ratings=(gone,))
    ((_, rows),) = groups(read(structs.replace(report, impact=impact)).part("ratings")).values()
    row = cells(rows[0])
    assert row["Largest change"] == "no longer known"
    assert row["Static bar"] == "180 → none"  # 250 bar at the 0.72 of 200 degC


def test_every_row_that_changed_stands_there_cell_by_cell(report: Report, page: Node) -> None:
    part = page.part("rows")
    told = {
        row.one("th").text: row
        for table in part.all("table")
        for row in table.one("tbody").all("tr")
    }
    assert list(told) == [change.row for change in report.rows]
    assert {change.kind for change in report.rows} == {"changed", "removed"}
    for change in report.rows:
        row = told[change.row]
        assert cells(row)["What"] == change.kind
        assert [n.text for n in row.all("li")] == [
            f"{c.column}: {c.before or '(empty)'} → {c.after or '(empty)'}"
            if change.kind == "changed"
            else f"{c.column}: {c.before}"
            for c in change.cells
        ]


def test_cells_stand_there_as_they_were_sent(report: Report) -> None:
    assert not report.converted
    cell = Conversion(
        table="targets",
        line=295,
        sent_column="force_lbf",
        sent="6182.4",
        column="force_kn",
        value=27.5006853141865,
    )
    page = read(structs.replace(report, converted=(cell,)))
    (row,) = page.part("converted").one("tbody").all("tr")
    in_order(row.text, "targets", "295", "force_lbf: 6182.4", "force_kn: 27.5006853141865")
    assert "cells sent in another unit or with a decimal comma 1" in page.part("short").text
    many = read(structs.replace(report, converted=(cell,) * 201))
    assert "section=converted&after=200" in many.part("converted").text


def test_an_added_row_shows_what_it_says_alone(report: Report) -> None:
    removed = next(change for change in report.rows if change.kind == "removed")
    turned = tuple(structs.replace(c, before="", after=c.before) for c in removed.cells)
    added = structs.replace(removed, kind="added", cells=turned)
    part = read(structs.replace(report, rows=(added,))).part("short")
    assert [n.text for n in part.all("li")] == [f"{c.column}: {c.after}" for c in turned]


def test_tables_that_are_not_replayed_are_named(report: Report, page: Node) -> None:
    assert report.impact.not_replayed == ("neighbours",)
    assert "say: neighbours." in page.part("not-replayed").text
    few = read(structs.replace(report, rows=report.rows[:1])).part("not-replayed")
    for part, where in ((page.part("not-replayed"), "#rows"), (few, "#cells")):
        assert part.one("a").attributes["href"] == where


def test_it_ends_with_the_usual_caution_and_tells_invented_values(
    report: Report, page: Node
) -> None:
    caution = page.part("caution").text
    in_order(caution, "data.demonstration", "must not be used on a real tube")
    in_order(caution, *SAFETY)
    real = changed(report, allowed(force_kn=28.0))
    assert "data.demonstration" not in read(with_changes(report, real)).text
    assert "cannot tell" in read(with_changes(report)).part("caution").text


def test_of_a_long_list_the_first_200_stand_there_and_where_the_rest_is(report: Report) -> None:
    refused = next(c for c in report.impact.changes if c.kind == "newly-refused")
    ends = [structs.replace(refused.end, od_mm=float(od)) for od in range(4, 4 + 67)]
    # Three pairs an end: the 200th change is the second of the 67th end.
    many = [
        structs.replace(refused, end=end, gauge=gauge)
        for end, gauge in ((end, gauge) for end in ends for gauge in ("g1", "g2", "g3"))
    ]
    doubts = tuple(
        structs.replace(report.doubts[0], id=f"doubt-{n:03d}", weight=weight)
        for weight, n in chain(
            (("strong", n) for n in range(205)), (("weak", n) for n in range(205))
        )
    )
    impact = structs.replace(
        report.impact,
        changes=tuple(many),
        coverage_lost=_ends_of_201(refused.end),
        ratings=report.impact.ratings[:1] * 201,
    )
    whole = structs.replace(report, impact=impact, doubts=doubts, rows=report.rows[:1] * 201)
    page = read(whole)
    path = f"GET /v1/revisions/{report.revision}/report?section="
    for part, of, rest in (
        ("newly-refused", 201, "changes&kind=newly-refused&after=200"),
        ("coverage-lost", 201, "coverage-lost&after=200"),
        ("ratings", 201, "ratings&after=200"),
        ("rows", 201, "rows&after=200"),
        ("strong-doubts", 205, "doubts&after=200"),
        ("weak-doubts", 205, "doubts&after=405"),  # behind 205 strong ones
    ):
        (note,) = [n for n in page.part(part).all("p") if "cut" in n.classes]
        in_order(note.text, f"The first 200 of {of} ", f"{path}{rest}")
        assert note.text.endswith(rest)
    told = groups(page.part("newly-refused"))
    assert len(told) == 67
    whole_end, cut_end = (told[end_name(end)][0].of_class("of") for end in (ends[0], ends[-1]))
    assert [n.text for n in whole_end] == ["3 press-gauge pairs"]
    assert [n.text for n in cut_end] == ["3 press-gauge pairs, 2 of them here"]
    assert len(page.part("coverage-lost").one("tbody").all("tr")) == 200
    assert len(page.part("strong-doubts").all("article")) == 200
    assert not any("cut" in n.classes for n in read(report).part("newly-refused").all("p"))


def _ends_of_201(end: End) -> tuple[End, ...]:
    return tuple(structs.replace(end, wall_mm=1 + n / 100) for n in range(201))
