"""Where the shipped tables have no target is exactly what the README of the folder says."""

from catalog.rows import Size, Target
from tests.catalog.tables.shipped import FOLDER, rows

README = " ".join((FOLDER / "README.md").read_text(encoding="utf-8").split())


def test_the_sizes_without_any_target() -> None:
    pressed = {(t.series, t.od_mm) for t in rows(Target)}
    bare = {(s.series, s.od_mm) for s in rows(Size)} - pressed
    # 5/16, 7/8, 1 1/4, 1 1/2 and 2 in; 1 in = 25.4 mm exactly.
    inch = {("J514", od_mm) for od_mm in (7.9375, 22.225, 31.75, 38.1, 50.8)}
    assert bare == inch | {("LL", 4.0), ("LL", 6.0), ("LL", 8.0)}
    assert "J514 5/16, 7/8, 1 1/4, 1 1/2 and 2 in," in README
    assert "series LL," in README


def test_the_pairs_of_ring_and_family_without_any_target() -> None:
    families = ("carbon-steel", "stainless-steel", "nickel-copper")
    pairs = {
        (s, style, f) for s in ("L", "S") for style in ("metal", "soft-seal") for f in families
    }
    pairs |= {("J514", "metal", f) for f in families}
    pressed = {(t.series, t.ring_style, t.family) for t in rows(Target)}
    assert pairs - pressed == {
        ("L", "soft-seal", "nickel-copper"),
        ("S", "soft-seal", "nickel-copper"),
        ("J514", "metal", "nickel-copper"),
    }
    assert pressed <= pairs
    assert "J514 in nickel-copper, soft-seal rings on nickel-copper," in README
