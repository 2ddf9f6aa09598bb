"""A page that no browser shows to axe-core ends the clients with a sentence and no traceback."""

from pathlib import Path

import pytest

from tests.contract.clients.__main__ import NotShownError, barriers

PAGE = '<html lang="en"><body></body></html>'


@pytest.mark.parametrize(
    ("chromium", "told"),
    [
        (None, "`chromium` is not installed: install it"),
        ("no program", "does not show the report to axe"),
        ("#!/bin/sh\necho no display >&2\nexit 3\n", "exit status 3.\n.*no display"),
        ("#!/bin/sh\necho '<html></html>'\n", "axe said nothing of the page"),
    ],
    ids=["no browser", "not a program", "one that ends", "one that shows nothing"],
)
def test_a_page_that_no_browser_shows(
    chromium: str | None, told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    axe = tmp_path / "axe.min.js"
    axe.touch()
    if chromium is not None:
        program = tmp_path / "chromium"
        program.write_text(chromium)
        program.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(NotShownError, match=told):
        barriers(PAGE, axe, tmp_path, 390)


def test_a_page_that_a_browser_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    axe = tmp_path / "axe.min.js"
    axe.touch()
    program = tmp_path / "chromium"
    program.write_text("#!/bin/sh\necho '<pre id=\"axe\">label: &lt;input&gt;</pre>'\n")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert barriers(PAGE, axe, tmp_path, 390) == ["label: <input>"]
