"""What a service that only answers does not load, since it would take half of its start."""

import subprocess
import sys
from pathlib import Path

import pytest

from service.settings import PREFIX
from tests.service.commands import call

SCRIPT = (
    "import sys, service.serving; from service.app import create_served_app, shipped_revision;"
    "create_served_app(); print(shipped_revision.cache_info().currsize);"
    "print(*sorted({'filelock', 'jinja2', 'numpy', 'pint', 'sqlite_utils'} & set(sys.modules)))"
)


@pytest.mark.parametrize("kept", [False, True])
def test_what_a_report_or_a_new_store_needs_is_waited_for(
    *, kept: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if kept:
        call("key", "make", "erp", "--scope", "read", "--data", tmp_path, code=0)
        monkeypatch.setenv(f"{PREFIX}DATA", str(tmp_path))
    ended = subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, check=True)
    # The shipped tables are read where nothing is kept, and take an eighth of the start.
    assert ended.stdout == (b"0\n\n" if kept else b"1\n\n")
