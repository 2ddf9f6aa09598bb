"""Doubts about one cell told once, many of one kind told together."""

from catalog.plausibility.doubt import Doubt, DoubtKind, doubt, in_order
from catalog.plausibility.folding import folded


def _doubt(kind: DoubtKind, *rows: str, column: str = "force_kn", message: str = "") -> Doubt:
    return doubt(kind, "strong", rows, column, message or kind, "look")


def test_the_slip_is_named_and_the_change_told_with_it() -> None:
    found = folded([_doubt("changed", "t/1", message="was 5"), _doubt("unit-slip", "t/1")])
    assert [d.kind for d in found] == ["unit-slip"]
    assert found[0].message == "unit-slip; also: was 5"


def test_another_column_and_another_row_stay() -> None:
    found = folded(
        [_doubt("unit-slip", "t/1"), _doubt("changed", "t/1", column="x"), _doubt("ratio", "t/2")]
    )
    assert len(found) == 3


def test_a_row_that_another_doubt_only_compares_with_is_not_folded_into_it() -> None:
    # t/2 falls against t/1, t/1 against t/0: two rows are wrong, and both are told.
    falls = [
        _doubt("force-falls-with-od", "t/1", "t/0"),
        _doubt("force-falls-with-od", "t/2", "t/1"),
    ]
    assert len(folded(falls)) == 2


def test_thirty_one_are_told_together_with_every_row() -> None:
    many = [_doubt("out-of-line", f"t/{n}") for n in range(31)]
    assert len(folded(many[:30])) == 30
    (told,) = folded(many)
    assert set(told.rows) == {f"t/{n}" for n in range(31)}
    assert "31 doubts" in told.message


def test_ids_that_meet_are_numbered_apart() -> None:
    found = in_order([_doubt("ratio", "t/1", message="b"), _doubt("ratio", "t/1", message="a")])
    assert [(d.id, d.message) for d in found] == [
        ("ratio:t/1:force_kn#1", "a"),
        ("ratio:t/1:force_kn#2", "b"),
    ]
