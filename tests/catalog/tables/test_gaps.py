"""Where the shipped tables have no target is exactly what the README of the folder says."""

from catalog.rows import Size, Target
from tests.catalog.tables.shipped import FOLDER, rows

README = " ".join((FOLDER / "README.md").read_text(encoding="utf-8").split())


def test_the_sizes_without_any_target() -> None:
    pressed = {(t.series, t.od_mm) for t in rows(Target)}
    bare = {(s.series, s.od_mm) for s in rows(Size)} - pressed
    # 5/16, 7/8, 1 1/4, 1 1/2 and 2 in; 1 in = 25.4 mm exactly.
    inch = {("flareless", od_mm) for od_mm in (7.9375, 22.225, 31.75, 38.1, 50.8)}
    assert bare == inch | {("LL", 4.0), ("LL", 6.0), ("LL", 8.0)}
    assert "flareless 5/16, 7/8, 1 1/4, 1 1/2 and 2 in," in README
    assert "series LL," in README


def test_the_pairs_of_ring_and_family_without_any_target() -> None:
    families = ("carbon-steel", "stainless-steel", "nickel-copper")
    pairs = {
        (s, style, f)
        for s in ("L", "S")
        for style in ("metal", "elastomer-sealed")
        for f in families
    }
    pairs |= {("flareless", "metal", f) for f in families}
    pressed = {(t.series, t.ring_style, t.family) for t in rows(Target)}
    assert pairs - pressed == {
        ("L", "elastomer-sealed", "nickel-copper"),
        ("S", "elastomer-sealed", "nickel-copper"),
        ("flareless", "metal", "nickel-copper"),
    }
    assert pressed <= pairs
    assert "flareless in nickel-copper, elastomer-sealed rings on nickel-copper," in README
