"""Entries of a report in words: what differs is always shown."""

from typing import Any

import pytest
from msgspec import structs

from catalog.differences import CellChange, RowChange
from catalog.impact import (
    DialMove,
    End,
    Ground,
    Outcome,
    Rated,
    RatedLimit,
    RatingChange,
    TargetChange,
)
from service.cli.wording import change_texts, grouped_cells, rating_cells, row_cells, share_text

BEFORE = Outcome(
    verdict="allowed-with-cautions",
    codes=("data.assumed",),
    cone="cone-S-16",
    plate="plate-16",
    finish="at-pressure",
    force_kn=28.5,
    force_low_kn=26.22,
    force_high_kn=30.78,
    ceiling_kn=35.6,
    marks=2,
)
REFUSED = Outcome(
    verdict="rejected",
    codes=("gauge.too-coarse", "tooling.force-rating", "press.too-small", "data.memory"),
    cone="cone-S-16",
    plate="plate-16",
)


END = End(
    series="S",
    od_mm=16,
    wall_mm=2,
    material="e235-n",
    ring_style="metal",
    ring_material="carbon-steel",
    ring="ring-S-metal-carbon-steel",
    insert="fitted",
)


def changed(before: Outcome, after: Outcome, **more: Any) -> TargetChange:
    said = {"stop_moves": None, "dial": (), "grounds": (), **more}
    return TargetChange(
        kind="target-changed",
        end=END,
        press="press-b",
        gauge="gauge-b",
        relative=0.0175,
        before=before,
        after=after,
        **said,
    )


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"force_kn": 29.0}, ("28.5 kN\n2 marks", "29 kN\n2 marks")),
        (
            {"ceiling_kn": 36.3},
            ("28.5 kN\n2 marks\nceiling 35.6 kN", "28.5 kN\n2 marks\nceiling 36.3 kN"),
        ),
        ({"codes": ("data.assumed", "data.memory")}, ("without", "data.memory")),
        ({"codes": ()}, ("data.assumed", "without")),
        ({"marks": 1}, ("28.5 kN\n2 marks", "28.5 kN\n1 mark")),
        (
            {"marks": None, "finish": "at-contact"},
            ("28.5 kN\n2 marks", "28.5 kN\nat-contact"),
        ),
        ({"cone": "cone-b"}, ("cone cone-S-16", "cone cone-b")),
        ({"plate": None, "codes": ()}, ("plate plate-16\ndata.assumed", "plate none\nwithout")),
        (
            {"cone": "cone-b", "force_kn": 29.0},
            ("28.5 kN\n2 marks\ncone cone-S-16", "29 kN\n2 marks\ncone cone-b"),
        ),
    ],
    ids=[
        "force",
        "ceiling",
        "a caution more",
        "a caution less",
        "marks",
        "at contact",
        "cone",
        "plate and a caution",
        "cone and force",
    ],
)
def test_numbers_and_cautions_that_differ_are_shown(
    changes: dict[str, object], told: tuple[str, str]
) -> None:
    assert change_texts(changed(BEFORE, structs.replace(BEFORE, **changes))) == told


def test_a_dial_is_told_by_graduations_or_by_shares() -> None:
    limit = DialMove(of="never-exceed", by=-0.021)
    for moves, told in (
        (2, "mark to stop at +2 graduations"),
        (-1, "mark to stop at -1 graduation"),
        (0, "never exceed -2.1 %"),
        (None, "never exceed -2.1 %"),
    ):
        change = changed(BEFORE, BEFORE, stop_moves=moves, dial=(limit,))
        assert change_texts(change) == ("28.5 kN\n2 marks", f"28.5 kN\n2 marks\n{told}")
    scale, came = DialMove(of="scale", by=None), DialMove(of="low", by=None)
    _, after = change_texts(changed(BEFORE, BEFORE, dial=(came, scale)))
    assert after.endswith("window from came or went\nanother scale")


@pytest.mark.parametrize("outcome", [BEFORE, REFUSED], ids=["allowed", "refused"])
def test_where_only_the_grounds_differ_they_are_told(outcome: Outcome) -> None:
    rows = ("targets/S/16", "gauges/gauge-b", "presses/press-b")
    grounds = [Ground(row=row, before=("demonstration",), after=("memory",)) for row in rows]
    grounds[1] = structs.replace(grounds[1], after=())
    assert change_texts(changed(outcome, outcome, grounds=tuple(grounds))) == (
        "targets/S/16: demonstration\ngauges/gauge-b: demonstration\nand 1 more",
        "targets/S/16: memory\ngauges/gauge-b: no caution\nand 1 more",
    )
    other = structs.replace(outcome, cone="cone-b")
    assert change_texts(changed(outcome, other, grounds=tuple(grounds))) == (
        "cone cone-S-16",
        "cone cone-b",
    )


def test_pairs_that_change_alike_stand_together_and_no_other_is_hidden() -> None:
    one = changed(BEFORE, BEFORE, stop_moves=1)
    twin = structs.replace(one, gauge="gauge-due")
    other = structs.replace(one, gauge="gauge-c", stop_moves=2)
    first, second = grouped_cells([one, twin, other])
    assert first[0].endswith("press-b, gauge-b\npress-b, gauge-due")
    assert first[2].endswith("mark to stop at +1 graduation")
    assert second[0].endswith("insert fitted\npress-b, gauge-c")
    assert second[2].endswith("mark to stop at +2 graduations")


def test_of_a_refusal_the_codes_are_shown_that_are_new() -> None:
    before, after = change_texts(
        changed(structs.replace(REFUSED, codes=("gauge.too-coarse", "data.memory")), REFUSED)
    )
    assert before == "rejected:\ngauge.too-coarse"
    # Cautions do not refuse, and are not counted.
    assert after == "rejected:\ntooling.force-rating\npress.too-small\nand 1 more"
    assert change_texts(changed(BEFORE, REFUSED))[0] == "28.5 kN\n2 marks"


def test_a_target_at_contact_has_no_marks() -> None:
    contact = Outcome(
        verdict="allowed", codes=(), cone="c", plate="p", finish="at-contact", force_kn=12.5
    )
    before, after = change_texts(changed(contact, structs.replace(contact, force_kn=13.0)))
    assert (before, after) == ("12.5 kN", "13 kN")


def test_a_row_that_came_or_went_is_one_line() -> None:
    cells = (
        CellChange(column="od_mm", before="", after="16"),
        CellChange(column="force_kn", before="", after="29"),
    )
    added = RowChange(table="targets", row="targets/S/16", kind="added", cells=cells)
    assert row_cells(added) == [("targets/S/16", "(added)", "", "od_mm 16, force_kn 29")]
    gone = tuple(CellChange(column=c.column, before=c.after, after="") for c in cells)
    removed = RowChange(table="targets", row="targets/S/16", kind="removed", cells=gone)
    assert row_cells(removed) == [("targets/S/16", "(removed)", "od_mm 16, force_kn 29", "")]


def test_ratings_are_told_with_what_governs_them() -> None:
    none = Rated(static_bar=None, static_governing=None, pulsating_bar=None, limits=())
    some = Rated(
        static_bar=245.0,
        static_governing="tube",
        pulsating_bar=160.0,
        limits=(RatedLimit(of="tube-static", bar=245.0), RatedLimit(of="fitting", bar=400.0)),
    )
    change = RatingChange(
        end=END, temp_c=20, relative=0, moved=("tube-static", "fitting"), before=none, after=some
    )
    assert rating_cells(change) == (
        "S 16 x 2 e235-n\nring-S-metal-carbon-steel\ninsert fitted\nat 20 degC",
        "no rating\ntube-static not known\nfitting not known",
        "245 bar (tube)\npulsating 160 bar\nfitting 400 bar",
        "",
    )


@pytest.mark.parametrize(("share", "told"), [(0.0345, "3.45 %"), (9.0, "900 %"), (0.0, "")])
def test_shares(share: float, told: str) -> None:
    assert share_text(share) == told
