"""`catalog propose`: files in; every refusal as a table, or the report in short."""

import re
import shlex
from pathlib import Path

import pytest

from catalog.loading import tables_from_files, workbook_from_rows
from catalog.seed import shipped_revision
from service.cli import command_line
from service.cli.opening import opened
from service.cli.revisions import read
from service.cli.telling import DeskError
from tests.service.commands import SHIPPED, tables_in
from tests.service.desk.office import HIGHER, LINE, ROW, Office, newest, steps_of, targets_in

PROPOSE = ("catalog", "propose")
BASE = ("--base", "current", "--note", "measured anew")
DIGEST = re.compile(r"report (sha256:[0-9a-f]{64})\n")


def test_files_are_read_by_name_and_a_folder_for_its_tables(tmp_path: Path) -> None:
    room = tmp_path / "room"
    file = targets_in(room)
    for name in ("manifest.json", "targets.jsonl", "letter.txt"):
        room.joinpath(name).write_text("{}", encoding="utf-8")
    room.joinpath("Tables.XLSX").write_bytes(b"book")
    assert read([file], 10**6) == {"targets.csv": file.read_bytes()}
    assert set(read([room], 10**6)) == {"targets.csv", "Tables.XLSX"}
    # One byte more than may be, so that whoever reads it knows that it is too long.
    assert read([file], 10)["targets.csv"] == file.read_bytes()[:11]


def test_what_cannot_be_read_is_not_understood(tmp_path: Path) -> None:
    file = targets_in(tmp_path / "a")
    empty = tmp_path / "empty"
    empty.mkdir()
    for given, told in (
        ([file, targets_in(tmp_path / "b")], "`targets.csv` is given twice"),
        ([file, file], "`targets.csv` is given twice"),
        ([tmp_path / "no.csv"], r"no.csv`: no such file or directory: name CSV files"),
        ([empty], "holds no CSV file and no workbook"),
    ):
        with pytest.raises(DeskError, match=told) as error:
            read(given, 10**6)
        assert error.value.code == 2


def test_every_bad_cell_is_a_line_of_a_table(
    office: Office, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    office.sits(monkeypatch, "office")
    line = HIGHER.replace(",29,8,", ',"29,5",800,')
    said, complained = office.run(*PROPOSE, targets_in(tmp_path, line), *BASE, code=1)
    comma = next(row for row in said.splitlines() if "29,5" in row)
    assert comma.split()[:4] == ["line", "295", "force_kn", "29,5"]
    for word in ("[decimal-comma]", "write it with a", "tolerance_percent", "[out-of-bounds]"):
        assert word in said
    assert said.startswith("targets\n")
    assert complained == "2 things to mend: nothing was stored\n"
    assert max(map(len, said.splitlines())) <= 80
    assert ("office", "propose") not in steps_of(office.folder)


@pytest.mark.parametrize("columns", ["40", "69", "70", "80", "200"])
def test_refusals_fit_every_terminal(
    office: Office, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    file = targets_in(tmp_path, HIGHER.replace(",29,8,", ",29,800,"))
    said, _ = office.run(*PROPOSE, file, *BASE, "--validate-only", code=1)
    assert max(map(len, said.splitlines())) <= int(columns)
    told = re.sub(r"\s+", " ", said)
    assert "out-of-bounds" in told
    assert ("row column value" in told) is (int(columns) >= 70)


def test_what_tables_say_of_each_other_is_told_by_row(office: Office, tmp_path: Path) -> None:
    line = HIGHER.replace(",demo", ",hearsay")
    said, _ = office.run(*PROPOSE, targets_in(tmp_path, line), *BASE, "--validate-only", code=1)
    told = re.sub(r"\s+", "", said)
    assert "`hearsay`isnotinsources" in told
    assert "[source-unknown]" in told
    assert any(line.startswith("S/16/2.4/2.6/carbon-") for line in said.splitlines())


def test_missing_tables_are_told_once_each(office: Office, tmp_path: Path) -> None:
    file = targets_in(tmp_path)
    said, complained = office.run(*PROPOSE, file, "--note", "no base", "--validate-only", code=1)
    missing = [line.split()[0] for line in said.splitlines() if not line.startswith(" ")][1:]
    assert missing == [name for name in shipped_revision().tables if name != "targets"]
    assert complained == f"{len(missing)} things to mend: nothing was stored\n"


def test_what_is_active_already_is_a_conflict(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    office.sits(monkeypatch, "office")
    said, complained = office.run(*PROPOSE, SHIPPED, "--note", "all of them", code=1)
    assert (said, complained) == (
        "",
        "these are the tables that are active: nothing differs\n",
    )


def test_a_base_that_is_not_stored_is_told(office: Office, tmp_path: Path) -> None:
    file, why = targets_in(tmp_path), ("--note", "new", "--validate-only")
    told = office.run(*PROPOSE, file, "--base", "0" * 12, *why, code=1)[1]
    assert "no revision `000000000000` is stored here" in told
    office.run(*PROPOSE, file, "--base", "latest", *why, code=2)


def test_only_looking_tells_the_same_and_stores_nothing(proposed: Office, tmp_path: Path) -> None:
    before = steps_of(proposed.folder)
    file = targets_in(tmp_path)
    said, _ = proposed.run(*PROPOSE, file, *BASE, "--validate-only")
    assert "only looked at: nothing was stored" in said.splitlines()[0]
    assert "next: propose it without --validate-only" in said
    looked = DIGEST.search(said)
    assert looked is not None
    with opened(proposed.folder) as store, store.reading() as records:
        (kept,) = records.reports()
    assert looked[1] == kept.digest
    assert steps_of(proposed.folder) == before


def test_the_same_tables_again_stay_with_who_came_first(
    proposed: Office, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Else the first could approve what is their own.
    proposed.sits(monkeypatch, "both")
    said, _ = proposed.run(*PROPOSE, targets_in(tmp_path), *BASE)
    assert "was proposed before, by office at" in said.splitlines()[0]
    with opened(proposed.folder) as store, store.reading() as records:
        assert [each.by for each in records.proposals()] == ["ringwright", "office"]


def test_a_proposal_tells_what_it_changes_and_what_comes_next(slipped: Office) -> None:
    said, _ = slipped.run("catalog", "report", newest(slipped))
    for told in (
        "STRONG DOUBTS, each to be acknowledged:",
        f"  ten-times:{ROW}:force_kn",
        "coverage lost:",
        "S 16 x 2.5 e235-n, ring-S-metal-carbon-steel",
        "newly refused:",
        "tooling.force-rating",
        "1 row changed:",
        f"--acknowledge 'ten-times:{ROW}:force_kn=REASON'",
    ):
        assert told in said, told
    commands = [line for line in said.splitlines() if line.startswith("  ringwright ")]
    assert commands
    for command in commands:
        command_line().parse_args(shlex.split(command)[1:])
    assert said.index("STRONG DOUBTS") < said.index("\ncoverage lost:") < said.index("\nnewly ref")


def test_a_workbook_is_looked_at_like_a_folder(office: Office, tmp_path: Path) -> None:
    # A source that is not there is seen by comparing tables, so all of both were read.
    line = HIGHER.replace(",demo", ",hearsay")
    folder = tables_in(tmp_path, targets=lambda text: text.replace(LINE, line))
    tables, bad_cells = tables_from_files(read([folder], 10**6))
    assert bad_cells == []
    book = tmp_path / "tables.xlsx"
    book.write_bytes(workbook_from_rows(tables))
    told = [
        office.run(*PROPOSE, sent, "--note", "new", "--validate-only", code=1)
        for sent in (book, folder)
    ]
    assert told[0] == told[1]
    assert "hearsay" in told[0][0]


def test_cells_that_were_converted_are_told_and_read_again(
    office: Office, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A pound-force is 4.4482216152605 N (0.45359237 kg x 9.80665 m/s2, exact by definition).
    def in_pounds(text: str) -> str:
        head, *lines = (line.split(",") for line in text.replace(LINE, HIGHER).splitlines())
        at = head.index("force_kn")
        head[at] = "force_lbf"
        for line in lines:
            line[at] = f"{float(line[at]) / 0.0044482216152605:.15g}"
        return "".join(",".join(line) + "\n" for line in (head, *lines))

    file = tables_in(tmp_path, targets=in_pounds) / "targets.csv"
    sent = len(file.read_text(encoding="utf-8").splitlines()) - 1
    office.sits(monkeypatch, "office")
    said, _ = office.run(*PROPOSE, file, *BASE)
    assert f"{sent} cells sent in another unit or with a decimal comma:" in said
    assert "see `catalog report` with `--section converted`" in " ".join(said.split())
    told, _ = office.run("catalog", "report", newest(office), "--section", "converted")
    assert f"converted: {sent} lines" in told
    assert told.count("force_lbf") == sent
