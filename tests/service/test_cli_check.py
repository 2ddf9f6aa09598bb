"""`catalog check`: everything that is wrong with a folder of tables, at once, in words."""

from pathlib import Path

from catalog.seed import shipped_revision
from tests.service.commands import SHIPPED, call, run, tables_in


def test_the_shipped_tables_are_sound_and_their_gaps_are_told() -> None:
    told = run("catalog", "check", SHIPPED, code=0).stdout
    assert told.splitlines()[-1] == f"revision {shipped_revision().id}"
    # Series LL has sizes and no targets at all.
    assert "gap, which is legal: LL 8: no target at all" in told
    lines = sum(len(file.read_text().splitlines()) - 1 for file in SHIPPED.glob("*.csv"))
    # No cell of a shipped table holds a line break, so lines are rows.
    assert f" {lines} rows" in told


def test_every_bad_cell_of_every_table_is_told_at_once(tmp_path: Path) -> None:
    folder = tables_in(
        tmp_path,
        presses=lambda text: text.replace("press-a,8,", "press-a,8.0.0,"),
        gauges=lambda text: text.replace("gauge-b,bar,400,5,", 'gauge-b,atm,"4,00",5,'),
        series=lambda text: text.replace("id,", "ident,", 1),
    )
    told = call("catalog", "check", folder, code=1).stdout
    assert "`8.0.0` is not a number above 0" in told
    assert "`4,00` is not a number above 0" in told
    assert "`atm` is not" in told
    assert "no such column" in told
    assert "column is missing" in told
    assert "5 bad cells" in told
    assert "ram_area_cm2" in told


def test_every_fault_between_tables_is_told_at_once(tmp_path: Path) -> None:
    def without_cones(text: str) -> str:
        return "".join(
            line for line in text.splitlines(keepends=True) if not line.startswith("cone-S-16")
        )

    def doubled(text: str) -> str:
        lines = text.splitlines(keepends=True)
        return "".join([*lines, lines[1]])

    folder = tables_in(
        tmp_path,
        cones=without_cones,
        presses=lambda text: text.replace(";gauge-c", ";gauge-z"),
        strengths=doubled,
        neighbours=lambda text: text.replace(",sae-j526\n", ",hearsay\n", 1),
    )
    told = call("catalog", "check", folder, code=1).stdout
    for row, message in (
        ("sizes/S/16", "no forming cone of this series and od: add one"),
        ("presses/press-c", "`gauge-z` is not in gauges: add it there"),
        ("strengths/", "stands 2 times in strengths: keep one"),
        ("neighbours/", "`hearsay` is not in sources: add it there"),
    ):
        assert any(row in line and message in line for line in told.splitlines()), told
    assert "this is no revision yet" in told
    assert "revision sha256" not in told


def test_a_case_that_is_not_answered_as_by_hand_is_a_fault(tmp_path: Path) -> None:
    folder = tables_in(tmp_path, presses=lambda text: text.replace("press-b,20,", "press-b,21,"))
    told = call("catalog", "check", folder, code=1).stdout
    # On 21 cm2: (25.3 + 1) kN / 21 cm2 + 6.5 bar = 131.738; (34.3 + 1) kN / 21 cm2 - 6.5 = 161.595.
    assert "dial_low 131.738 bar, by hand 138" in told
    assert "never_exceed 161.595 bar, by hand 170" in told


def test_no_folder_is_told_and_ends_with_2(tmp_path: Path) -> None:
    told = run("catalog", "check", tmp_path / "nowhere", code=2).stderr
    assert "nowhere`: no such file or directory: name the folder" in told
    told = run("catalog", "check", SHIPPED / "cases.csv", code=2).stderr
    assert "cases.csv`: not a directory: name the folder" in told


def test_files_that_cannot_be_read_are_told_each(tmp_path: Path) -> None:
    folder = tables_in(tmp_path)
    folder.joinpath("plates.csv").write_bytes(b"id,system\n\xff\xfe")
    folder.joinpath("cones.csv").unlink()
    folder.joinpath("cones.csv").mkdir()
    folder.joinpath("gauges.csv").unlink()
    folder.joinpath("rings.csv").write_text('id,"never closed\n', encoding="utf-8")
    folder.joinpath("tubes.csv").write_bytes(b"")
    folder.joinpath("sizes.csv").write_bytes(b"\x00\x00")
    told = run("catalog", "check", folder, code=1).stdout
    assert "`plates.csv` is not UTF-8" in told
    assert "`cones.csv` is missing" in told
    assert "`gauges.csv` is missing" in told
    for table in ("rings", "tubes", "sizes"):
        assert any(line.startswith(table) for line in told.splitlines()), told


def test_brackets_in_a_cell_are_told_as_they_stand(tmp_path: Path) -> None:
    folder = tables_in(
        tmp_path, presses=lambda text: text.replace("press-a,8,", "press-a,[/bold]8,")
    )
    assert "`[/bold]8` is not a number" in run("catalog", "check", folder, code=1).stdout


def test_a_console_without_all_letters_is_told_what_it_can_show(tmp_path: Path) -> None:
    folder = tables_in(tmp_path, presses=lambda text: text.replace("press-a,8,", "press-a,8Å,"))
    told = run("catalog", "check", folder, code=1, PYTHONIOENCODING="ascii").stdout
    assert "`8?` is not a number above 0" in told
    told = run("catalog", "check", folder, code=1, PYTHONIOENCODING="utf-8").stdout
    assert "`8Å` is not a number above 0" in told
