"""`catalog report`, `revisions`, `diff`: in short, part by part, as files, as JSON."""

import hashlib
import json
from pathlib import Path

import pytest

from catalog.seed import revision_from_folder, shipped_revision
from service.cli.opening import opened, short
from service.cli.report import SECTIONS
from tests.service.desk.office import HIGHER, ROW, Office, newest, steps_of

HEADS = {
    "rows": "row ",
    "doubts": "5 doubts",
    "ratings": "ratings: 0 lines",
    "converted": "converted: 0 lines",
    "coverage-lost": "tube end",
    "coverage-gained": "coverage-gained: 0 lines",
    "newly-allowed": "newly-allowed: 0 lines",
    "target-changed": "target-changed: 0 lines",
    "tooling-changed": "tooling-changed: 0 lines",
    "cautions-changed": "cautions-changed: 0 lines",
    "grounds-changed": "grounds-changed: 0 lines",
}


@pytest.mark.parametrize("section", SECTIONS)
def test_every_section_is_told_whole(slipped: Office, section: str) -> None:
    said, _ = slipped.run("catalog", "report", newest(slipped), "--section", section)
    assert said.startswith(HEADS.get(section, "tube end, press, gauge"))
    with opened(slipped.folder) as store, store.reading() as records:
        kept = records.report(records.reports()[-1].digest)
    impact = json.loads(kept)["impact"]
    kinds = [change["kind"] for change in impact["changes"]]
    counts = {
        "changes": len(kinds),
        "newly-refused": kinds.count("newly-refused"),
        "refused-otherwise": kinds.count("refused-otherwise"),
        "coverage-lost": len(impact["coverage_lost"]),
        "rows": 2,  # force and ceiling of one row, a line each
    }
    if section in counts:
        assert counts[section] > 0
        assert (
            said.splitlines()[-1]
            == f"{section}: {counts[section]} line{'s' * (counts[section] > 1)}"
        )


def test_the_file_has_the_digest_that_is_approved(proposed: Office, tmp_path: Path) -> None:
    file, page = tmp_path / "report.json", tmp_path / "report.html"
    said, _ = proposed.run("catalog", "report", newest(proposed), "--json", file, "--html", page)
    digest = "sha256:" + hashlib.sha256(file.read_bytes()).hexdigest()
    assert f"\nreport {digest}\n" in said
    assert f"--report {digest} " in said
    assert said.splitlines()[-2:] == [f"written to {file}", f"written to {page}"]
    text = page.read_text(encoding="utf-8")
    assert text.lower().startswith("<!doctype html>")
    assert digest in text
    assert "measured anew" in text


def test_a_kept_report_is_told_without_another_step(proposed: Office) -> None:
    before = steps_of(proposed.folder)
    proposed.run("catalog", "report", newest(proposed))
    assert steps_of(proposed.folder) == before


def test_a_place_that_takes_no_file_is_told(proposed: Office, tmp_path: Path) -> None:
    for option in ("--json", "--html"):
        file = tmp_path / "no" / "report"
        told = proposed.run("catalog", "report", newest(proposed), option, file, code=1)[1]
        assert told == f"cannot write `{file}`: no such file or directory: name another place\n"


def test_the_active_revision_is_compared_with_nothing(office: Office) -> None:
    told = office.run("catalog", "report", "current", code=1)[1]
    assert told.startswith("this revision is the active one")


def test_revisions_are_told_with_what_holds(proposed: Office) -> None:
    said, _ = proposed.run("catalog", "revisions")
    first, second = said.splitlines()[1:3]
    assert first.split()[:2] == [short(shipped_revision().id), "active"]
    assert second.split()[:2] == [short(newest(proposed)), "proposed"]
    assert "activation 1 holds: " in said
    assert max(map(len, said.splitlines())) <= 80
    listed = json.loads(proposed.run("catalog", "revisions", "--json")[0])
    assert [(each["revision"], each["state"]) for each in listed] == [
        (shipped_revision().id, "active"),
        (newest(proposed), "proposed"),
    ]


def test_a_difference_is_told_cell_by_cell_in_its_direction(proposed: Office) -> None:
    new = short(newest(proposed))
    said, _ = proposed.run("catalog", "diff", "current", new)
    lines = [line.split() for line in said.splitlines()]
    assert lines[0][-3:] == ["1", "row", "differs"]
    assert lines[2:] == [[ROW, "force_kn", "28.5", "29"], ["ceiling_kn", "35.6", "36.3"]]
    back, _ = proposed.run("catalog", "diff", new, "current")
    assert [ROW, "force_kn", "29", "28.5"] in [line.split() for line in back.splitlines()]
    told = json.loads(proposed.run("catalog", "diff", "current", new, "--json")[0])
    assert (told["before"], told["after"]) == (shipped_revision().id, newest(proposed))
    assert told["count"] == len(told["rows"]) == 1
    assert told["rows"][0]["row"] == ROW


def test_a_difference_of_one_table_alone(proposed: Office) -> None:
    new = newest(proposed)
    assert (
        "1 row differs" in proposed.run("catalog", "diff", "current", new, "--table", "targets")[0]
    )
    said, _ = proposed.run("catalog", "diff", "current", new, "--table", "gauges")
    assert said.endswith(": 0 rows differ\n")
    told = proposed.run("catalog", "diff", "current", new, "--table", "forces", code=2)[1]
    assert told.startswith("`forces` is no table: the tables are sources, ")


@pytest.mark.parametrize("columns", ["40", "80", "160"])
def test_a_report_fits_every_terminal_but_for_what_is_copied(
    slipped: Office, monkeypatch: pytest.MonkeyPatch, columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    said, _ = slipped.run("catalog", "report", newest(slipped))
    wide = [line for line in said.splitlines() if len(line) > int(columns)]
    copied = ("revision sha256:", "report sha256:", "  ringwright ", "  ten-times:", "  relation:")
    assert [line for line in wide if not line.startswith(copied)] == []


def test_exported_tables_of_the_store_are_those_that_were_proposed(
    proposed: Office, tmp_path: Path
) -> None:
    new = newest(proposed)
    proposed.run("catalog", "export", "--to", tmp_path / "current")
    proposed.run("catalog", "export", "--revision", new[7:17], "--to", tmp_path / "new")
    assert revision_from_folder(tmp_path / "current").id == shipped_revision().id
    assert revision_from_folder(tmp_path / "new").id == new
    assert HIGHER in tmp_path.joinpath("new", "targets.csv").read_text(encoding="utf-8").split()
    told = proposed.run("catalog", "export", "--revision", "0" * 8, code=1)[1]
    assert "no revision `00000000` is stored here" in told
