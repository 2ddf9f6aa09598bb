"""Every path and command that the pages name is there."""

import re
import shlex
from pathlib import Path

import pytest
from msgspec import structs

from catalog.revision import revision_of, rows_of
from catalog.rows import Target
from catalog.seed import shipped_revision
from service.cli import command_line
from service.safety import SAFETY

ROOT = Path(__file__).parents[1]
PAGES = ["README.md", "DEVELOPERS.md", "docker/README.md", "catalog/tables/README.md"]
NAMES = re.compile(r"`([A-Za-z0-9_.]+(?:/[A-Za-z0-9_.-]+)+)/?`|\]\(([^)#:]+)\)")
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


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_every_command_is_taken(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    commands = re.findall(r"uv run ringwright ([a-z][^`\n]*)", text)
    assert commands
    for command in commands:
        command_line().parse_args(shlex.split(command))


def test_every_module_that_is_run_is_there() -> None:
    texts = [(ROOT / page).read_text(encoding="utf-8") for page in ("DEVELOPERS.md", ".ci/run")]
    modules = re.findall(r"python -m ([a-z_.]+)", "".join(texts))
    assert len(modules) > 3
    places = {m: ROOT / m.replace(".", "/") for m in modules}
    run = {m: (at.with_suffix(".py"), at / "__main__.py") for m, at in places.items()}
    assert [m for m, files in run.items() if not any(file.is_file() for file in files)] == []


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
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = re.findall(r"catalog (?:report|approve|activate|withdraw) ([0-9a-f]{8}) ", text)
    assert len(named) >= 3
    assert set(named) == {made.removeprefix("sha256:")[:8]}
