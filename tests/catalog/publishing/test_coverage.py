"""Targets that no press and gauge of the shop does well are doubted, strongly where that is new."""

from typing import Any

from catalog.index import Index
from catalog.publishing.coverage import bare_targets, coverage_doubts
from catalog.publishing.reviewing import doubts_on
from catalog.revision import revision_of
from catalog.seed import shipped_revision
from tests.catalog.synthetic import as_changes, changed, shipped_with

TARGET = "targets/S/16/1.9/2.1/carbon-steel/metal/none"


def with_rows(rows: dict[str, Any]) -> Index:
    return shipped_with(as_changes(rows))


def test_every_target_of_the_demonstration_has_a_good_pair() -> None:
    assert bare_targets(shipped_with()) == {}


def test_a_target_that_every_pair_is_too_small_for() -> None:
    # 400 kN: on the 50 cm2 of press-c (400 + 2.5) x 2 = 805 bar of 400, on the others more.
    heavy = with_rows({TARGET: {"force_kn": 400, "ceiling_kn": 500}})
    bare = bare_targets(heavy)
    assert set(bare) == {TARGET}
    assert "press.too-small" in bare[TARGET]
    (found,) = coverage_doubts(heavy, shipped_with())
    assert (found.kind, found.weight, found.rows) == ("no-good-pair", "strong", (TARGET,))
    assert f"`{TARGET}` (" in found.message
    # What was so before is told, and wants no reason again.
    (again,) = coverage_doubts(heavy, heavy)
    assert (again.weight, again.rows) == ("weak", (TARGET,))
    assert again.id != found.id


def test_a_pair_that_does_it_with_a_caution_alone_is_not_a_good_one() -> None:
    # Press-b alone, whose relief of 401 bar is above the span of gauge-b, and below 1.15 times it.
    shop: dict[str, Any] = {
        "presses/press-a": "drop",
        "presses/press-c": "drop",
        "presses/press-b": {"gauges": ["gauge-b"], "relief_setting_bar": 401},
    }
    bare = bare_targets(with_rows(shop))
    assert bare[TARGET] == ("press.relief-above-span",)
    below = {**shop, "presses/press-b": {"gauges": ["gauge-b"], "relief_setting_bar": 400}}
    assert TARGET not in bare_targets(with_rows(below))
    # A protector of the gauge is a note, and a note is nothing against it.
    protected = {**shop, "gauges/gauge-b": {"protected_to": 390, "protected_tolerance": 5}}
    assert TARGET not in bare_targets(with_rows(protected))


def test_a_shop_without_a_pair_has_none_for_any_target() -> None:
    none = with_rows({f"presses/press-{p}": {"gauges": []} for p in "abc"})
    assert set(bare_targets(none).values()) == {("press.no-pair",)}
    assert len(bare_targets(none)) == 423


def test_a_report_has_the_doubt() -> None:
    before = shipped_revision()
    tables = {name: list(rows) for name, rows in before.tables.items()}
    heavy = as_changes({TARGET: {"force_kn": 400, "ceiling_kn": 500}})
    after = revision_of(changed(tables, heavy))
    found = [d for d in doubts_on(after, before, ()) if d.kind == "no-good-pair"]
    assert [d.rows for d in found] == [(TARGET,)]
