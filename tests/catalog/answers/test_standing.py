"""What the office has since said of a revision reaches every answer that rests on it, and no other.

Which rows an answer rests on is learnt in `read_rows`, by changing the tables and asking again.
"""

import re
from collections.abc import Callable
from functools import cache
from typing import Any

import msgspec
import pytest
from msgspec import structs

from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tooling_pick import tooling_pick
from catalog.answers.tube_rating import tube_rating
from catalog.compiling import compile_revision
from catalog.index import Index
from catalog.questions import (
    PressTargetQuestion,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from catalog.revision import Revision, revision_of, rows_of
from catalog.rows import Neighbour, Row, Size, Target, Tube
from catalog.seed import shipped_revision
from catalog.standing import Standing, State, Withdrawn
from tests.catalog.answers.read_rows import Answer, answer_bytes, read_rows
from tests.catalog.rules.test_cases import OF_STANDING
from tests.catalog.synthetic import CONTROL, asked, in_full
from tests.catalog.whole_item import whole_items

pytestmark = pytest.mark.apart

WHY = Withdrawn(reason="read from the wrong page", by="office-2", on="2026-03-02")
TOLD = "was withdrawn by office-2 on 2026-03-02: read from the wrong page"
END: dict[str, Any] = {
    "tube": {
        "od": {"value": 16, "unit": "mm"},
        "wall": {"value": 2, "unit": "mm"},
        "material": "e235-n",
    },
    "fitting": {"series": "S", "ring_style": "metal", "ring_material": "carbon-steel"},
}
PAIRED = {**END, "press": "press-b", "gauge": "gauge-b"}
SERVICE = {
    "working_pressure": {"value": 200, "unit": "bar"},
    "temperature": {"value": 60, "unit": "degC"},
    "pulsating": True,
}
METHODS = [
    *("barlow", "boardman", "lame", "iso-10763"),
    *("din-2413-static", "din-2413-pulsating", "asme-b31.3"),
]
STRESS = {"value": 100, "unit": "MPa"}
UNTOOLED = {"/tooling/cone": "out", "/tooling/plate": "out"}
SOFT = {"/fitting/ring_style": "elastomer-sealed", "/preparation/lubricated": []}


def _ask(answer: Callable[[Index, Any], Any], kind: Any, body: Any) -> Answer:
    question = in_full(body, kind)
    return lambda index: answer(index, question)


def _target(changes: dict[str, Any]) -> Answer:
    return _ask(press_target, PressTargetQuestion, asked(PAIRED, changes))


def _setup(changes: dict[str, Any]) -> Answer:
    return _ask(setup_check, SetupCheckQuestion, asked(CONTROL, changes))


def _pick(*items: dict[str, Any]) -> Answer:
    return _ask(tooling_pick, ToolingPickQuestion, {"items": items})


def _rating(tube: dict[str, Any], **more: Any) -> Answer:
    return _ask(tube_rating, TubeRatingQuestion, {"tube": tube, **more})


QUESTIONS: dict[str, Answer] = {
    "press target": _target({}),
    "press target, force alone": _target({"/press": "out", "/gauge": "out"}),
    "press target, wall without a row": _target({"/tube/wall": "1.5 mm"}),
    "press target, insert": _target({"/tube/wall": "1 mm", "/tube/insert": "fitted"}),
    "press target, insert left out": _target({"/tube/wall": "1 mm"}),
    "press target, od of no size": _target({"/tube/od": "0.63 in"}),
    "press target, od not listed": _target({"/tube/od": "5.5 mm", "/fitting/series": "LL"}),
    "press target, ring of another metal": _target({"/fitting/ring_material": "stainless-steel"}),
    "press target, gauge of another press": _target({"/gauge": "gauge-c"}),
    "press target, contact": _target({"/tube/od": "0.625 in", "/fitting/series": "flareless"}),
    "setup": _setup({}),
    "setup, tooling left out": _setup(UNTOOLED),
    "setup, elastomer seal": _setup(SOFT),
    "setup, pulsating": _setup({"/service/pulsating": True}),
    "setup, two sizes": _setup({"/tube/measured_od": "15.95 mm"}),
    "setup, another size": _setup({"/tube/measured_od": "15.9 mm"}),
    "pick": _pick(END),
    "pick, rated": _pick({**END, "service": SERVICE, "quantity": 5}),
    "pick, one of two refused": _pick(END, asked(END, {"/tube/wall": "8 mm"})),
    "rating by grade": _rating(END["tube"], methods=METHODS, pressure=STRESS),
    "rating by stress and grade": _rating(END["tube"], allowable_stress=STRESS),
    "rating by stress": _rating(
        {name: END["tube"][name] for name in ("od", "wall")}, allowable_stress=STRESS
    ),
}
MEASURED = {name for name in QUESTIONS if name.startswith("setup")}
NAMED = MEASURED - {"setup, tooling left out"}
NO_SIZE = {"press target, od of no size": "S", "press target, od not listed": "LL"}


@cache
def tables() -> Revision:
    """Shipped tables, and for 16S a second cone, the stronger, and a second plate, as strong."""
    shipped = dict(shipped_revision().tables)
    for table, ref, columns in (
        ("cones", "cones/cone-S-16", {"id": "cone-S-16-b", "rated_force_kn": 999.0}),
        ("plates", "plates/plate-metric-16", {"id": "plate-metric-16-b"}),
    ):
        row = next(row for row in shipped[table] if row.ref == ref)
        shipped[table] = (*shipped[table], structs.replace(row, **columns))
    return revision_of(shipped)


@cache
def active() -> Index:
    return compile_revision(tables())


def standing(state: State = "active", whole: Withdrawn | None = None, *rows: str) -> Index:
    said = Standing(state=state, whole=whole, rows=dict.fromkeys(rows, WHY))
    return structs.replace(active(), standing=said)


@cache
def told(name: str) -> bytes:
    return answer_bytes(active(), QUESTIONS[name])


@cache
def shown() -> tuple[set[str], dict[str, set[str]]]:
    """Rows that were changed, and those that each answer shows."""
    beside = {f"cautions/{code}" for name in QUESTIONS for code in _codes(told(name))}
    ends: tuple[Target | Tube, ...] = (*rows_of(tables(), Target), *rows_of(tables(), Tube))
    beside |= {row.ref for row in ends if abs(row.od_mm - 16) < 1}
    return read_rows(tables(), QUESTIONS, beside)


@cache
def rejecting(name: str) -> frozenset[str]:
    """Rows whose withdrawal changes the answer, each checked to reject it.

    All at once they name themselves; each of those alone rejects, and the rest together do nothing.
    """
    every = [row.ref for rows in tables().tables.values() for row in rows]
    all_gone = _parts(answer_bytes(standing("active", None, *every), QUESTIONS[name]))
    found = {
        ref
        for part in all_gone
        for finding in part["findings"]
        if finding["code"] == "revision.withdrawn"
        for ref in finding["basis"]
    } - {f"cautions/{code}" for code in OF_STANDING}
    rest = standing("active", None, *(ref for ref in every if ref not in found))
    assert answer_bytes(rest, QUESTIONS[name]) == told(name)
    for ref in found:
        _is_rejected(answer_bytes(standing("active", None, ref), QUESTIONS[name]), ref)
    return frozenset(found)


def _parts(answer: bytes) -> list[dict[str, Any]]:
    """The answer, or its items where it is a pick."""
    whole = msgspec.json.decode(answer)
    parts = whole_items(whole) if "items" in whole else [whole]
    return [
        {
            **part,
            "working": part.get("working", []),
            "findings": [{"basis": [], "sources": [], **each} for each in part["findings"]],
        }
        for part in parts
    ]


def _codes(answer: bytes) -> set[str]:
    return {finding["code"] for part in _parts(answer) for finding in part["findings"]}


def _is_rejected(answer: bytes, ref: str) -> None:
    """One part at least is rejected by the row, and gives nothing to press by."""
    assert msgspec.json.decode(answer)["verdict"] == "rejected"
    by_row = [
        (part, finding)
        for part in _parts(answer)
        for finding in part["findings"]
        if finding["code"] == "revision.withdrawn"
    ]
    assert by_row
    for part, finding in by_row:
        assert finding["basis"] == [ref]
        assert finding["message"] == f"`{ref}` {TOLD}"
        assert part["verdict"] == "rejected"
        assert "target" not in part
        assert not part.get("pairs")
        assert not part.get("excluded")


@pytest.mark.parametrize("name", QUESTIONS)
def test_every_row_that_an_answer_shows_rejects_it_once_withdrawn(name: str) -> None:
    assert shown()[1][name] - rejecting(name) == set()
    assert len(shown()[1][name]) >= (3 if name == "rating by stress" else 10)


@pytest.mark.parametrize("name", QUESTIONS)
def test_what_is_not_shown_and_rejects_was_looked_at(name: str) -> None:
    tried, rows = shown()
    silent = {ref for ref in rejecting(name) - rows[name] if ref in tried}
    looked_at = _looked_at(name)
    assert {ref for ref in silent if not ref.startswith("sources/")} <= looked_at
    of_rows = {f"sources/{source}" for ref in looked_at for source in _row(ref).sources}
    assert {ref for ref in silent if ref.startswith("sources/")} <= of_rows


def _looked_at(name: str) -> set[str]:
    """Rows that were held against the question and found to be no match: they show in nothing."""
    found: set[str] = set()
    if name not in NAMED and not name.startswith("rating"):
        found |= {"cones/cone-S-16", "cones/cone-S-16-steel"}
        found |= {"plates/plate-metric-16", "plates/plate-metric-16-b"}
    for rows in tables().tables.values():
        for row in rows:
            # No tolerance is wider than 10 mm, so only a size within 10 mm can be mistaken.
            near = isinstance(row, Neighbour | Tube) and 0 < abs(row.od_mm - 16) <= 10.2
            of_series = isinstance(row, Size) and row.series == NO_SIZE.get(name)
            if (near and name in MEASURED) or of_series:
                found.add(row.ref)
    return found


def _row(ref: str) -> Row:
    (row,) = (row for row in tables().tables[ref.partition("/")[0]] if row.ref == ref)
    assert isinstance(row, Row)
    return row


@pytest.mark.parametrize("name", ["pick", "pick, rated"])
def test_every_press_and_gauge_that_was_tried_is_rested_on(name: str) -> None:
    pairs = {row.ref for press, gauge in active().pairs for row in (press, gauge)}
    assert len(pairs) >= 8
    assert pairs <= rejecting(name)


def test_tooling_that_is_named_was_not_picked_among_others() -> None:
    rivals = {"cones/cone-S-16-b", "cones/cone-S-16-steel", "plates/plate-metric-16-b"}
    assert rivals & rejecting("setup") == set()
    assert {"cones/cone-S-16", "plates/plate-metric-16"} <= rejecting("setup")
    assert rivals <= rejecting("setup, tooling left out")


def test_near_sizes_are_rested_on_and_those_of_the_own_od_or_far_away_are_not() -> None:
    rows = rejecting("setup")
    assert "neighbours/inch/15.875" in rows
    assert "tubes/en-10305-4/16/2" in rows
    assert not {"neighbours/metric/16", "tubes/en-10305-4/16/3", "neighbours/metric/38"} & rows


def test_another_band_of_the_size_is_not_rested_on() -> None:
    thicker = "targets/S/16/2.4/2.6/carbon-steel/metal/none"
    assert thicker not in rejecting("press target")
    # It is one of the two that are named where no row is for the wall.
    assert thicker in rejecting("press target, wall without a row")


def test_an_item_that_does_not_rest_on_the_row_stays_as_it_was() -> None:
    # The second item leaves no bore, and has no target to try presses on.
    answer = answer_bytes(
        standing("active", None, "gauges/gauge-c"), QUESTIONS["pick, one of two refused"]
    )
    first, second = _parts(answer)
    assert "revision.withdrawn" in {finding["code"] for finding in first["findings"]}
    assert second == _parts(told("pick, one of two refused"))[1]


def _without(answer: bytes, code: str) -> Any:
    """Answer less the findings of a code, and less its verdict."""
    whole = msgspec.json.decode(answer)
    for part in (whole, *whole.get("items", ())):
        del part["verdict"]
        if "findings" in part:
            part["findings"] = [f for f in part["findings"] if f["code"] != code]
    return whole


@pytest.mark.parametrize("name", QUESTIONS)
def test_superseded_adds_a_caution_and_changes_nothing_else(name: str) -> None:
    answer = answer_bytes(standing("superseded"), QUESTIONS[name])
    assert "revision.superseded" in _codes(answer)
    was, now = msgspec.json.decode(told(name)), msgspec.json.decode(answer)
    # No question here is allowed without a caution, so one more decides nothing.
    assert now["verdict"] == was["verdict"]
    encode = msgspec.json.encode
    # The one line of an answer counts it, too.
    fewer = re.sub(rb"(?<=to read: )\d+", lambda n: b"%d" % (int(n[0]) - 1), answer)
    assert (fewer != answer) == (b"cautions to read" in told(name))
    without = _without(fewer, "revision.superseded")
    assert encode(without) == encode(_without(told(name), "revision.superseded"))


@pytest.mark.parametrize("name", QUESTIONS)
def test_the_sources_that_findings_name_are_listed(name: str) -> None:
    stale = structs.replace(active(), standing=Standing(stale=True))
    for index in (active(), stale, standing("not-active-yet")):
        answer = answer_bytes(index, QUESTIONS[name])
        listed = {source["id"] for source in msgspec.json.decode(answer)["sources"]}
        findings = [f for part in _parts(answer) for f in part["findings"]]
        assert {source for f in findings for source in f["sources"]} - listed == set()


def _refused_whole(index: Index, name: str, code: str, message: str) -> None:
    answer = answer_bytes(index, QUESTIONS[name])
    assert msgspec.json.decode(answer)["verdict"] == "rejected"
    for part, was in zip(_parts(answer), _parts(told(name)), strict=True):
        (finding,) = (f for f in part["findings"] if f["code"] == code)
        assert (finding["severity"], finding["at"]) == ("reject", "/revision")
        assert finding["message"] == message
        assert part["verdict"] == "rejected"
        assert "target" not in part
        assert not part.get("pairs")
        assert "loads" not in part
        if code == "revision.withdrawn":
            assert part["findings"][0] == finding
            assert part["working"] == []
            assert "assembly" not in part
            assert not part.get("ratings")
        else:
            # What was told of the tube and the fitting stays; forces and readings do not.
            kept = [s for s in was["working"] if s["name"] in {t["name"] for t in part["working"]}]
            assert part["working"] == kept
            assert not {"least force", "gauge reading"} & {s["name"] for s in part["working"]}
        others = [f["code"] for f in part["findings"] if f["code"] != code]
        told_before = [f["code"] for f in was["findings"]]
        if code == "revision.withdrawn":
            # What a row was needed for is not judged, since the tables are all withdrawn.
            assert others == [c for c in told_before if c in others]
            rowless = [f["code"] for f in was["findings"] if not f["basis"]]
            assert set(others) == {c for c in told_before if c[:5] == "data." or c in rowless}
        else:
            assert others == told_before


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_revision_that_is_withdrawn_whole_rejects_every_answer(name: str) -> None:
    _refused_whole(standing("active", WHY), name, "revision.withdrawn", f"the revision {TOLD}")


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_revision_that_was_never_active_rejects_every_answer(name: str) -> None:
    message = "this revision was never active: no ring may be pressed by it"
    _refused_whole(standing("not-active-yet"), name, "revision.not-active-yet", message)


@pytest.mark.parametrize("name", QUESTIONS)
@pytest.mark.parametrize("state", ["active", "superseded"])
def test_what_is_stale_is_undetermined_at_best_and_tells_no_number_to_press_to(
    name: str, state: State
) -> None:
    said = structs.replace(standing(state).standing, stale=True)
    answer = answer_bytes(structs.replace(active(), standing=said), QUESTIONS[name])
    for part, was in zip(_parts(answer), _parts(told(name)), strict=True):
        (finding,) = (f for f in part["findings"] if f["code"] == "data.stale")
        assert (finding["severity"], finding["at"]) == ("unknown", "/revision")
        assert finding["remedy"].startswith("press nothing by it; ask again")
        refused = was["verdict"] == "rejected"
        assert part["verdict"] == ("rejected" if refused else "undetermined")
        # Forces are told beside what is not known, what is read off a dial is not.
        assert set(part.get("target", {})) <= {
            "finish",
            "insert",
            "conditions",
            "force",
            "force_band",
        }
        assert ("target" in part) == ("target" in was and not refused)
        assert "loads" not in part
        assert "gauge reading" not in {step["name"] for step in part["working"]}
        others = {f["code"] for f in part["findings"]} - {"data.stale", "revision.superseded"}
        assert others == {f["code"] for f in was["findings"]}


@pytest.mark.parametrize("name", QUESTIONS)
def test_the_text_of_stale_is_rested_on_where_it_is_shown(name: str) -> None:
    ref = "cautions/data.stale"
    assert ref not in rejecting(name)
    withdrawn = Standing(rows={ref: WHY}, stale=True)
    _is_rejected(answer_bytes(structs.replace(active(), standing=withdrawn), QUESTIONS[name]), ref)


@pytest.mark.parametrize("state", ["active", "superseded", "not-active-yet"])
@pytest.mark.parametrize("whole", [WHY, None])
def test_withdrawing_wins_whether_pinned_or_not(state: State, whole: Withdrawn | None) -> None:
    ref = "gauges/gauge-b"
    withdrawn = standing(state, whole, *(() if whole else (ref,)))
    pinned = {"revision": active().revision}
    for question, answer, kind in (
        (PAIRED, press_target, PressTargetQuestion),
        (CONTROL, setup_check, SetupCheckQuestion),
        ({"items": [END]}, tooling_pick, ToolingPickQuestion),
    ):
        free = answer_bytes(withdrawn, _ask(answer, kind, question))
        assert answer_bytes(withdrawn, _ask(answer, kind, {**question, **pinned})) == free
        assert msgspec.json.decode(free)["verdict"] == "rejected"
        assert "revision.withdrawn" in _codes(free)


def test_a_whole_withdrawal_and_rows_are_told_apart() -> None:
    both = standing("active", WHY, "gauges/gauge-b", "presses/press-b", "gauges/gauge-c")
    answer = press_target(both, in_full(PAIRED, PressTargetQuestion))
    found = [f for f in answer.findings if f.code == "revision.withdrawn"]
    assert [f.basis for f in found] == [(), ("presses/press-b",), ("gauges/gauge-b",)]


@pytest.mark.parametrize("name", QUESTIONS)
def test_the_text_of_superseded_is_rested_on_where_it_is_shown(name: str) -> None:
    ref = "cautions/revision.superseded"
    assert ref not in rejecting(name)
    _is_rejected(answer_bytes(standing("superseded", None, ref), QUESTIONS[name]), ref)


def test_the_codes_of_standing_are_raised_here_and_nowhere_else() -> None:
    raised: set[str] = set()
    stale = structs.replace(active(), standing=Standing(stale=True))
    for index in (standing("superseded", WHY), standing("not-active-yet"), stale):
        raised |= _codes(answer_bytes(index, QUESTIONS["press target"]))
    raised -= _codes(told("press target"))
    assert raised == OF_STANDING
    for name in QUESTIONS:
        assert not _codes(told(name)) & OF_STANDING
