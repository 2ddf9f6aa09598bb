"""Our formulas against the worked examples of their sources."""

from collections import Counter

import pytest

from catalog.calc.asme import asme_b31_3_mpa
from catalog.calc.tube_section import effective_wall_mm
from tests.catalog.calc import published
from tests.catalog.calc.published import CHECKS, CONFLICTS, PublishedCheck, main, table


@pytest.mark.parametrize(
    "check", [c for c in CHECKS if c.standing != "conflict"], ids=lambda c: c.id
)
def test_agrees_with_its_source(check: PublishedCheck) -> None:
    assert check.got() == pytest.approx(check.expected, rel=check.relative, abs=0.0)


def test_the_only_conflict_is_named() -> None:
    assert {check.id for check in CHECKS if check.standing == "conflict"} == CONFLICTS
    assert all(check.note for check in CHECKS if check.id in CONFLICTS)


def test_conflict_k1_one_wall_gives_less_than_printed() -> None:
    # W04: S 16000 psi, E 0.8, D 4.5 in, t 0.237 in less 12.5 % = 0.207375 in, Y 0.4.
    # One wall throughout: 2 x 16000 x 0.8 x 0.207375 / (4.5 - 0.8 x 0.207375)
    #                    = 5308.8 / 4.3341 = 1224.9 psi.
    # As printed, with the nominal wall below the line: 5308.8 / (4.5 - 0.8 x 0.237) = 1231.6 psi.
    wall_in = effective_wall_mm(0.237, 12.5)
    ours_psi = asme_b31_3_mpa(16000.0, 4.5, wall_in, quality=0.8)
    mixed_psi = 2.0 * 16000.0 * 0.8 * wall_in / (4.5 - 2.0 * 0.4 * 0.237)

    assert ours_psi == pytest.approx(1224.9, abs=0.05)
    assert mixed_psi == pytest.approx(1232.0, abs=4.0)
    assert ours_psi < 1232.0 - 4.0, "one wall is the lower, safer side, outside the printed +-4"


def test_each_formula_has_two_examples() -> None:
    read = Counter(c.formula for c in CHECKS if c.standing in {"published", "worked"})
    for formula in ("ASME B31.3 (3a)", "ASME B31.3 (3a) wall", "Barlow", "Lamé"):
        assert read[formula] >= 2, formula
    assert read["Lamé field, hoop"] >= 2


def test_ids_are_unique_and_the_table_prints_each() -> None:
    ids = [check.id for check in CHECKS]
    assert len(set(ids)) == len(ids)
    lines = list(table())
    assert [line.split()[0] for line in lines[1:] if not line.startswith(" ")] == ids
    # W04 is the one line that may say so.
    assert [line.split()[0] for line in lines if " differs " in line] == ["W04"]


def test_the_table_fails_where_one_differs(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main() == 0
    # Twice the printed value is outside every tolerance of the list.
    slipped = CHECKS[0]._replace(expected=2.0 * CHECKS[0].expected)
    monkeypatch.setattr(published, "CHECKS", (slipped, *CHECKS[1:]))
    assert main() == 1
    assert capsys.readouterr().err == f"not as they must be: {slipped.id}\n"


def test_the_table_fails_where_a_conflict_is_none_any_more(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    agreeing = [c._replace(expected=c.got()) if c.id in CONFLICTS else c for c in CHECKS]
    monkeypatch.setattr(published, "CHECKS", agreeing)
    assert main() == 1
