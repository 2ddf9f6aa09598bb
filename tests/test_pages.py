"""Every path and command that the pages name is there."""

import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from msgspec import structs

from catalog.revision import revision_of, rows_of
from catalog.rows import Target
from catalog.seed import shipped_revision
from service.cli import command_line
from service.safety import SAFETY
from service.settings import PREFIX, Settings

ROOT = Path(__file__).parents[1]
PAGES = [
    "README.md",
    "DEVELOPERS.md",
    "catalog/README.md",
    "catalog/tables/README.md",
    "docker/README.md",
    "service/README.md",
]
NAMES = re.compile(r"`([A-Za-z0-9_.]+(?:/[A-Za-z0-9_.-]+)+)/?`|\]\(([^)#:]+)\)")
COMMANDS = re.compile(r"(?:uv run(?: --no-dev)?|[.]venv/bin/|`)\s?ringwright ([a-z][^`\n]*)")
PLACES = ("catalog", "service", "tests", "openapi", "docker")


def paths(page: str) -> list[str]:
    text = (ROOT / page).read_text(encoding="utf-8")
    found = [quoted or linked for quoted, linked in NAMES.findall(text)]
    return [path for path in found if path.split("/")[0] in PLACES or path.endswith(".md")]


@pytest.mark.parametrize("page", PAGES)
def test_every_path_is_there(page: str) -> None:
    folder = (ROOT / page).parent
    missing = [p for p in paths(page) if not ((ROOT / p).exists() or (folder / p).exists())]
    assert missing == []


def test_the_pages_name_paths_at_all() -> None:
    assert len(paths("DEVELOPERS.md")) > 15
    assert "catalog/tables/README.md" in paths("README.md")


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", "service/README.md"])
def test_every_command_is_taken(page: str) -> None:
    commands = COMMANDS.findall((ROOT / page).read_text(encoding="utf-8"))
    assert commands
    for command in commands:
        command_line().parse_args(shlex.split(command))


def test_the_job_stands_first_and_in_at_most_100_words() -> None:
    title, job, *_ = (ROOT / "README.md").read_text(encoding="utf-8").split("\n\n")
    assert title == "# Ringwright"
    assert 50 < len(job.split()) <= 100


def test_the_library_is_used_in_five_lines() -> None:
    text = (ROOT / "catalog" / "README.md").read_text(encoding="utf-8")
    (code,) = re.findall(r"```python\n(.*?)```", text, flags=re.DOTALL)
    assert len([line for line in code.splitlines() if line]) == 5
    said = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=True)
    assert f"prints `{said.stdout.decode().strip()}`" in text


def test_every_setting_stands_in_the_page_with_its_default() -> None:
    text = (ROOT / "service" / "README.md").read_text(encoding="utf-8")
    listed = dict(re.findall(rf"^[|] `{PREFIX}(\w+)` [|] ([^|]+) [|]", text, flags=re.MULTILINE))
    usual = {
        "RINGWRIGHT_DATA": "none",
        "RINGWRIGHT_DAY": "the clock's",
    }
    fields = {PREFIX + name.upper(): value for name, value in structs.asdict(Settings()).items()}
    assert {PREFIX + name: told for name, told in listed.items()} == {
        name: usual.get(name) or f"{int(value)}" for name, value in fields.items()
    }


def test_the_licence_is_there_and_packed() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert (project["license"], project["license-files"]) == ("Apache-2.0", ["catalog/LICENSE"])
    text = (ROOT / "catalog" / "LICENSE").read_text(encoding="utf-8")
    assert text.split()[:4] == ["Apache", "License", "Version", "2.0,"]
    assert "END OF TERMS AND CONDITIONS" in text


def test_every_module_that_is_run_is_there() -> None:
    texts = [(ROOT / page).read_text(encoding="utf-8") for page in (*PAGES, ".ci/run")]
    modules = re.findall(r"python -m ([a-z_.]+)", "".join(texts))
    assert len(modules) > 3
    places = {m: ROOT / m.replace(".", "/") for m in modules}
    run = {m: (at.with_suffix(".py"), at / "__main__.py") for m, at in places.items()}
    assert [m for m, files in run.items() if not any(file.is_file() for file in files)] == []


def test_every_file_of_a_command_of_tests_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = [
        word
        for command in re.findall(r"uv run pytest ([^`\n]*)", text)
        for word in command.split()
        if not word.startswith("-") and word != "FOLDER"
    ]
    assert len(named) >= 3
    assert [path for path in named if not (ROOT / path).exists()] == []


def test_what_the_tests_leave_out_is_a_step_of_its_own() -> None:
    options = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["pytest"]
    (left_out,) = (o for o in options["ini_options"]["addopts"] if o.startswith("-m"))
    assert left_out == "-m=not apart"
    step = "\nuv run --frozen pytest -m=apart\n"
    assert step in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    mark = re.compile(r"^\s*(@|pytestmark = )?pytest\.mark\.apart\b", re.MULTILINE)
    marked = {
        str(file.relative_to(ROOT))
        for file in (ROOT / "tests").rglob("*.py")
        if mark.search(file.read_text(encoding="utf-8"))
    }
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    (listed,) = re.findall(r"^These stand apart: (.*)$", text, re.MULTILINE)
    assert marked == set(re.findall("`([^`]+)`", listed))


def test_every_line_of_a_page_that_ci_runs_is_there() -> None:
    texts = [(ROOT / ".ci" / name).read_text(encoding="utf-8") for name in ("run", "bare-root")]
    lines = re.findall(r"grep -m1 -E '([^']+)' ([A-Z]+[.]md)", "".join(texts))
    assert {page for _, page in lines} == {"README.md", "DEVELOPERS.md"}
    pages = {page: (ROOT / page).read_text(encoding="utf-8") for _, page in lines}
    gone = [line for line, page in lines if not re.search(line, pages[page], re.MULTILINE)]
    assert gone == []


@pytest.mark.parametrize("page", ["README.md", "catalog/tables/README.md"])
def test_the_safety_lines_are_those_of_the_service(page: str) -> None:
    text = " ".join((ROOT / page).read_text(encoding="utf-8").split())
    assert [line for line in SAFETY if line not in text] == []


def test_the_safety_lines_name_each_danger() -> None:
    said = " ".join(SAFETY)
    for words in (
        "maker's prescription, local codes and licensed people outrank every number",
        "off while the ram moves",
        "glasses",
        "nut on a line with pressure in it",
        "low pressure first",
        "Every ring is looked at",
    ):
        assert words in said


def test_the_walk_of_the_readme_names_the_revision_that_its_edit_makes() -> None:
    revision = shipped_revision()
    edited = [
        structs.replace(row, force_kn=29.0, ceiling_kn=36.3)
        if row.ref == "targets/S/16/2.4/2.6/carbon-steel/metal/none"
        else row
        for row in rows_of(revision, Target)
    ]
    made = revision_of({**revision.tables, "targets": edited}).id
    text = (ROOT / "service" / "README.md").read_text(encoding="utf-8")
    named = re.findall(r"catalog (?:report|approve|activate|withdraw) ([0-9a-f]{8}) ", text)
    assert len(named) >= 3
    assert set(named) == {made.removeprefix("sha256:")[:8]}
