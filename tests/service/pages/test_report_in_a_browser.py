"""A real browser shows and prints the page under its policy, with no network, at any width."""

import os
import re
import shutil
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from catalog.publishing import Report, report_digest
from service.pages.report import PAGE_CSP, report_page
from tests.service.pages.reports import about

CHROMIUM = shutil.which("chromium")
WRONG = PAGE_CSP.replace("sha256-", "sha256-AAAA")
A4_PT = (595, 842)
"""210 x 297 mm (ISO 216) in points of 1/72 in."""

# Lays the page in a frame as wide as a phone, and tells how wide it has become.
MEASURE = b"""<!doctype html><iframe src="/unguarded" width="360" height="800"></iframe><script>
document.querySelector("iframe").onload = e => {
  const page = e.target.contentDocument.documentElement;
  document.title = `${page.clientWidth} wide, scrolls to ${page.scrollWidth}`;
};
</script>"""

pytestmark = [
    pytest.mark.apart,
    pytest.mark.skipif(
        CHROMIUM is None, reason="chromium is not installed: no browser to look at the page with"
    ),
]


class Site:
    """A tiny server of one page; `asked` keeps the paths that anybody asked it for."""

    def __init__(self, content: bytes) -> None:
        self.asked: list[str] = []
        pages = {
            "/": (content, PAGE_CSP),
            "/wrong": (content, WRONG),
            "/unguarded": (content, None),
            "/phone": (MEASURE, None),
        }

        class Handler(BaseHTTPRequestHandler):
            def do_GET(handler) -> None:  # noqa: N805 (its own self is the site)
                self.asked.append(handler.path)
                body, policy = pages.get(handler.path, (b"", None))
                handler.send_response(200 if body else 404)
                handler.send_header("content-type", "text/html; charset=utf-8")
                handler.send_header("content-length", str(len(body)))
                if policy is not None:
                    handler.send_header("content-security-policy", policy)
                handler.end_headers()
                handler.wfile.write(body)

            def log_message(handler, *_: object) -> None:  # noqa: N805 (nobody reads it)
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.address = f"http://127.0.0.1:{self.server.server_port}"

    @contextmanager
    def running(self) -> Iterator["Site"]:
        """Serve until the block ends."""
        thread = threading.Thread(target=self.server.serve_forever, daemon=True)
        thread.start()
        try:
            yield self
        finally:
            self.server.shutdown()
            self.server.server_close()
            thread.join(10)


@pytest.fixture(scope="module")
def site(report: Report) -> Iterator[Site]:
    content = report_page(report, report_digest(report), about=about(report))
    with Site(content).running() as running:
        yield running


def looked_at(site: Site, path: str, folder: Path, *how: str) -> tuple[str, str, set[str]]:
    """What the browser wrote, its log, and the addresses of others that it asked."""
    assert CHROMIUM is not None
    net = folder / "net.json"
    run = subprocess.run(
        [
            CHROMIUM,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            f"--user-data-dir={folder / 'profile'}",
            # Every name but ours leads nowhere.
            "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
            "--enable-logging=stderr",
            f"--log-net-log={net}",
            "--virtual-time-budget=10000",
            *how,
            f"{site.address}{path}",
        ],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
        env={**os.environ, "HOME": str(folder)},
    )
    asked = set(re.findall(r'"url":"(https?://[^"]+)"', net.read_text(errors="replace")))
    # The browser itself calls its maker, page or no page; those names lead nowhere here.
    browsers_own = re.compile(r"https?://[a-z0-9.-]+\.(google|googleapis)\.com/")
    others = {u for u in asked if not u.startswith(site.address) and not browsers_own.match(u)}
    return run.stdout, run.stderr, others


def complaints(log: str) -> list[str]:
    """Lines in which a page complains, or the policy refuses something."""
    return [
        line for line in log.splitlines() if ":CONSOLE" in line or "Content Security Policy" in line
    ]


def test_it_is_shown_with_its_style_and_breaks_no_policy(site: Site, tmp_path: Path) -> None:
    site.asked.clear()
    shot = tmp_path / "page.png"
    (tmp_path / "right").mkdir()
    _, log, others = looked_at(
        site, "/", tmp_path / "right", "--window-size=1280,2000", f"--screenshot={shot}"
    )
    assert complaints(log) == []
    assert others == set()
    assert site.asked == ["/"]  # one page, and nothing more to fetch
    right = shot.read_bytes()
    assert right.startswith(b"\x89PNG")
    # Under a policy with another hash the browser complains and shows the page without its style:
    # so the page above had it.
    (tmp_path / "wrong").mkdir()
    _, log, _ = looked_at(
        site, "/wrong", tmp_path / "wrong", "--window-size=1280,2000", f"--screenshot={shot}"
    )
    assert any("Content Security Policy" in line for line in complaints(log))
    assert shot.read_bytes() != right


def test_it_prints_on_a4_and_numbers_its_sheets(site: Site, tmp_path: Path) -> None:
    paper = tmp_path / "page.pdf"
    _, log, others = looked_at(
        site, "/", tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={paper}"
    )
    assert complaints(log) == []
    assert others == set()
    printed = paper.read_bytes()
    assert printed.startswith(b"%PDF-")
    boxes = re.findall(rb"/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]", printed)
    assert len(boxes) > 5
    for width, height in boxes:
        assert (round(float(width)), round(float(height))) == A4_PT


def test_on_a_phone_nothing_has_to_be_pushed_sideways(site: Site, tmp_path: Path) -> None:
    page, _, _ = looked_at(site, "/phone", tmp_path, "--window-size=1000,1000", "--dump-dom")
    found = re.search(r"<title>([0-9]+) wide, scrolls to ([0-9]+)</title>", page)
    assert found is not None
    wide, scrolled = map(int, found.groups())
    assert 300 < wide <= 360
    assert scrolled <= wide
