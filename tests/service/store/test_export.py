"""A revision as one SQLite file: typed, keyed, every number with its unit."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from catalog.seed import shipped_revision
from service.store.export import ExportError, holds_revision, write_sqlite

REVISION = shipped_revision()


@pytest.fixture(scope="module")
def database(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    file = tmp_path_factory.mktemp("export") / "catalog.sqlite"
    write_sqlite(REVISION, file)
    with closing(sqlite3.connect(file)) as connection:
        yield connection


def test_every_row_is_there(database: sqlite3.Connection) -> None:
    for name, rows in REVISION.tables.items():
        told = database.execute(f"SELECT count(*) FROM {name}").fetchone()  # noqa: S608
        assert told == (len(rows),)
        assert rows
    assert database.execute("SELECT revision FROM about").fetchall() == [(REVISION.id,)]


def test_a_row_reads_as_it_stands_in_the_table(database: sqlite3.Connection) -> None:
    # press-b as the demonstration world has it: 20 cm2, 1 kN back, 630 bar, 30 mm.
    asked = (
        "SELECT ram_area_cm2, return_force_kn, rated_pressure_bar, stroke_mm, gauges"
        " FROM presses WHERE id = 'press-b'"
    )
    gauges = "gauge-a;gauge-b;gauge-coarse;gauge-psi;gauge-old;gauge-due;gauge-d"
    assert database.execute(asked).fetchone() == (20.0, 1.0, 630.0, 30.0, gauges)
    asked = (
        "SELECT force_kn, ceiling_kn FROM targets WHERE series = 'S' AND od_mm = 16"
        " AND wall_min_mm <= 2 AND wall_max_mm >= 2 AND family = 'carbon-steel'"
        " AND grade = '' AND ring_style = 'metal'"
    )
    assert database.execute(asked).fetchall() == [(27.5, 34.3)]


def test_tables_are_strict_keyed_and_refer_to_their_sources(database: sqlite3.Connection) -> None:
    assert database.execute("PRAGMA foreign_key_check").fetchall() == []
    for name in REVISION.tables:
        ((made,),) = database.execute("SELECT sql FROM sqlite_master WHERE name = ?", (name,))
        assert made.rstrip().endswith("STRICT")
        columns = database.execute(f"PRAGMA table_info({name})").fetchall()
        assert any(key for *_, key in columns), name
        referred = {row[2] for row in database.execute(f"PRAGMA foreign_key_list({name})")}
        assert referred == (set() if name == "sources" else {"sources"})


def test_what_a_row_must_say_cannot_be_null(database: sqlite3.Connection) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="NOT NULL"):
        database.execute("UPDATE targets SET ceiling_kn = NULL")
    database.rollback()
    database.execute("UPDATE strengths SET endurance_mpa = NULL")
    database.rollback()


def test_every_number_has_a_unit(database: sqlite3.Connection) -> None:
    plain = set()
    for name in REVISION.tables:
        for _, column, kind, *_ in database.execute(f"PRAGMA table_info({name})").fetchall():
            unit = database.execute(
                "SELECT unit FROM units WHERE table_name = ? AND column_name = ?", (name, column)
            ).fetchone()
            assert (unit is not None) == (kind in {"REAL", "INTEGER"}), (name, column)
            if unit == ("1",):
                plain.add(f"{name}.{column}")
    # A new column that is no plain number needs its unit in its name.
    assert plain == {
        "materials.preset",
        "series.preset",
        "series.design_factor",
        "derating.factor",
        "gauges.stop_pin",
        "cones.presses_between_checks_carbon_steel",
        "cones.presses_between_checks_stainless_steel",
        "cones.presses_between_checks_nickel_copper",
        "rings.oil_thread",
        "preparation.tightest_bend_ods",  # multiples of the od
        "cut_methods.accepted",
        "coatings.zinc",
        "fluids.gas",
        "fluids.attacks_zinc",
    }
    asked = "SELECT unit FROM units WHERE table_name = 'targets' AND column_name = ?"
    assert database.execute(asked, ("force_kn",)).fetchone() == ("kN",)
    assert database.execute(asked, ("od_mm",)).fetchone() == ("mm",)


def test_only_an_export_is_known_as_one(tmp_path: Path) -> None:
    file = tmp_path / "catalog.sqlite"
    write_sqlite(REVISION, file)
    assert holds_revision(file)
    file.write_bytes(b"no database at all, but a text that is somewhat longer than a head")
    assert not holds_revision(file)
    assert not holds_revision(tmp_path / "nowhere")
    assert not tmp_path.joinpath("nowhere").exists()


def test_a_file_that_cannot_be_written_is_an_export_error(tmp_path: Path) -> None:
    with pytest.raises(ExportError):
        write_sqlite(REVISION, tmp_path / "nowhere" / "catalog.sqlite")
