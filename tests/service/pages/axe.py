"""What axe-core finds in a page that a browser shows: barriers to those who cannot see or point."""

import html
import re
import subprocess
from pathlib import Path

_ASK = """<script>axe.run().then(found => {
  const told = document.createElement("pre");
  told.id = "axe";
  told.textContent = found.violations.map(v => `${v.id}: ${v.nodes[0].html}`).join("\\n");
  document.body.append(told);
});</script></body>"""


def violations(browser: str, page: str, axe: Path, folder: Path, width_px: int) -> list[str]:
    """Rules of axe-core that the page breaks, each with the first element that does.

    Errors: `ValueError` where axe said nothing at all, those of `subprocess.run` where the browser
    shows nothing.
    """
    script = f"<script>{axe.read_text(encoding='utf-8')}</script>"
    file = folder / "page.html"
    file.write_text(page.replace("</body>", script + _ASK), encoding="utf-8")
    command = [browser, "--headless", "--no-sandbox", "--disable-gpu", "--dump-dom"]
    size = [f"--window-size={width_px},900", "--virtual-time-budget=30000"]
    shown = subprocess.run(
        [*command, *size, f"--user-data-dir={folder / 'profile'}", file.as_uri()],
        capture_output=True,
        text=True,
        timeout=300,
        check=True,
    ).stdout
    told = re.search(r'<pre id="axe">(.*?)</pre>', shown, re.DOTALL)
    if told is None:
        message = "axe said nothing of the page"
        raise ValueError(message)
    return html.unescape(told[1]).splitlines()
