"""The command line itself: help, version, what is not understood, what it imports."""

import subprocess
import sys
from importlib.metadata import version

import pytest

from tests.service.commands import SHIPPED, run


def test_version() -> None:
    assert run("--version", code=0).stdout.strip() == version("ringwright")


def test_help_names_every_command_and_the_exit_codes() -> None:
    told = run("--help", code=0).stdout
    for word in ("serve", "demo", "catalog", "exit codes"):
        assert word in told
    assert "--force" in run("catalog", "export", "--help", code=0).stdout


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("sing",),
        ("catalog",),
        ("catalog", "check"),
        ("serve", "--port", "65536"),
        ("serve", "--port", "-1"),
        ("serve", "--port", "eighty"),
        ("catalog", "export", "--to", "a", "--sqlite", "b"),
    ],
    ids=" ".join,
)
def test_what_is_not_understood_ends_with_2(arguments: tuple[str, ...]) -> None:
    assert "ringwright" in run(*arguments, code=2).stderr


def test_a_port_that_is_none_is_told_in_words() -> None:
    told = run("serve", "--port", "65536", code=2).stderr
    assert "`65536` is no port: give a number from 0 to 65535" in told


@pytest.mark.parametrize("verb", ["check", "export"])
def test_tables_are_checked_and_exported_without_a_server(verb: str, tmp_path: object) -> None:
    arguments = ["check", str(SHIPPED)] if verb == "check" else ["export", "--to", f"{tmp_path}/to"]
    program = (
        "import sys\nfrom service.cli import main\n"
        f"assert main(['catalog', *{arguments!r}]) == 0\n"
        "print('SERVERS', sorted({'litestar', 'uvicorn', 'httpx'} & set(sys.modules)))\n"
    )
    ended = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=True
    )
    assert ended.stdout.splitlines()[-1] == "SERVERS []"
