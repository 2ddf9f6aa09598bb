"""Every path and command that the pages name is there."""

import re
import shlex
from pathlib import Path

import pytest

from service.cli import command_line

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
    missing = [m for m in modules if not (ROOT / (m.replace(".", "/") + ".py")).is_file()]
    assert missing == []
