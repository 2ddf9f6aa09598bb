"""The page that shows the contract works in a shop without internet, under a strict policy."""

import gzip
import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

import httpx
import pytest

from service.edge.contract import PATH
from tests.service.serving import served

pytestmark = pytest.mark.apart

PAGE = files("service").joinpath("edge", "docs")
CHROMIUM = shutil.which("chromium")


def loaded(html: str) -> list[str]:
    """Addresses that a page loads."""
    return re.findall(r'(?:src|href)="([^"]+)"', html)


def test_the_page_loads_from_this_service_alone(client: httpx.Client) -> None:
    page = client.get("/docs")
    assert page.headers["content-type"] == "text/html; charset=utf-8"
    addresses = loaded(page.text)
    assert len(addresses) == 3
    for address in addresses:
        assert address.startswith("/docs/")
        assert client.get(address).status_code == 200
    assert "<script>" not in page.text  # the policy forbids a script in the page
    start = client.get("/docs/start.js").text
    assert "validatorUrl: null" in start
    assert 'url: "/openapi.json"' in start
    assert "http" not in start


def test_the_policy_lets_nothing_in_from_elsewhere(client: httpx.Client) -> None:
    policy = dict(
        part.strip().split(" ", 1)
        for part in client.get("/docs").headers["content-security-policy"].split(";")
    )
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == "'self'"
    assert policy["connect-src"] == "'self'"
    for name, sources in policy.items():
        assert "*" not in sources, name
        assert "http" not in sources, name
        assert "unsafe" not in sources, name
    api = client.get("/v1/vocabulary").headers["content-security-policy"]
    assert "script-src" not in api
    assert "default-src 'none'" in api


def test_what_is_not_ours_names_its_version_and_its_licence() -> None:
    note = PAGE.joinpath("README.md").read_text(encoding="utf-8")
    version = re.search(r"swagger-ui-dist (\d+\.\d+\.\d+)", note)
    assert version is not None
    assert "Apache-2.0" in note
    assert "Apache License" in PAGE.joinpath("LICENSE").read_text(encoding="utf-8")
    bundle = gzip.decompress(PAGE.joinpath("swagger-ui-bundle.js.gz").read_bytes()).decode()
    assert f'"{version[1]}"' in bundle or f"v{version[1]}" in bundle or version[1] in bundle


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str, httpx.Client]]:
    """The page as a browser has built it, the browser's log, and the service."""
    if CHROMIUM is None:
        pytest.skip("chromium is not installed: no browser to look at the page with")
    log = tmp_path_factory.mktemp("browser") / "chromium.log"
    with served() as client, tempfile.TemporaryDirectory() as profile:
        command = [
            CHROMIUM,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            f"--user-data-dir={profile}",
            # Every name but ours leads nowhere, so that a page that needs the net shows it here.
            "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
            "--enable-logging",
            f"--log-file={log}",
            f"--log-net-log={profile}/net.json",
            "--virtual-time-budget=20000",
            "--dump-dom",
            # An operation laid open draws what the folded page does not: editors, samples, tables.
            f"{client.base_url}/docs#/questions/press_target",
        ]
        run = subprocess.run(
            command,
            capture_output=True,
            text=True,
            timeout=120,
            check=True,
            env={**os.environ, "HOME": profile},
        )
        told = log.read_text(encoding="utf-8", errors="replace") if log.is_file() else ""
        net = Path(profile, "net.json").read_text(encoding="utf-8", errors="replace")
        yield run.stdout, told + run.stderr + net, client


def test_a_browser_shows_every_operation(seen: tuple[str, str, httpx.Client]) -> None:
    page, _, _ = seen
    for operation in ("press_target", "tooling_pick", "setup_check", "tube_rating", "vocabulary"):
        assert f'id="operations-questions-{operation}"' in page
    assert "/v1/press-targets" in page
    assert "Request body" in page
    assert "e235-n" in page  # the sample of the operation laid open
    assert "Failed to load API definition" not in page


def test_a_browser_asks_nobody_else_and_breaks_no_policy(
    seen: tuple[str, str, httpx.Client],
) -> None:
    _, log, client = seen
    asked = set(re.findall(r'"url":"(https?://[^"]+)"', log))
    own = f"http://127.0.0.1:{client.base_url.port}/"
    assert f"{own}openapi.json" in asked
    # The browser itself calls its maker, page or no page; those names lead nowhere here. What the
    # page asks of anybody else is against its policy, and the browser says so in the log.
    browsers_own = re.compile(r"https?://[a-z0-9.-]+\.(google|googleapis)\.com/")
    others = {url for url in asked if not url.startswith(own)}
    assert {url for url in others if not browsers_own.match(url)} == set()
    assert "Content Security Policy" not in log


def test_the_contract_of_the_page_is_the_committed_one(client: httpx.Client) -> None:
    assert client.get("/openapi.json").content == PATH.read_bytes()
