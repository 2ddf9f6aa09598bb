"""Clients that generators make of the contract: compiled strictly, and run against the service.

`uv run --group clients python -m tests.contract.clients`: TypeScript, two Python generators, two
linters, and Kotlin and Swift, whose unions are read, since no compiler of theirs is at hand. Each
is generated with default flags; what is set stands in the files of this folder, with its reason.
The report, which persons read, is held against axe-core here, whose package comes with the others.
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from catalog.publishing import report_digest, report_on, review
from catalog.seed import shipped_revision
from service.edge.contract import PATH
from service.pages.report import report_page
from tests.service.pages.axe import violations
from tests.service.pages.reports import about, edited
from tests.service.publishing.shop import opened, seeded

BESIDE: Final = Path(sys.executable).parent
HERE: Final = Path(__file__).parent
CLOSED_SETS: Final = {"Verdict": "undetermined", "Bend": "near-end", "OtherEnd": "rated"}
"""Sets of which a mobile client must be able to say this word."""


Asked = dict[str, str]
"""Environment of a client: where the service is, and a key for it."""


class NotShownError(Exception):
    """A client that cannot be made, does not compile, or is answered otherwise."""


def run(folder: Path, command: Sequence[str], **environment: str) -> str:
    """What a command prints. Errors: `NotShownError` with all of it where it fails."""
    ended = subprocess.run(
        command,
        cwd=folder,
        env={**os.environ, "PATH": f"{BESIDE}:{os.environ['PATH']}", **environment},
        check=False,
        capture_output=True,
        text=True,
    )
    if ended.returncode:
        told = f"{ended.stdout}{ended.stderr}"
        message = f"{' '.join(command[:3])} ended with {ended.returncode}\n{told}"
        raise NotShownError(message)
    return ended.stdout


def tool(name: str) -> str:
    """Path of a tool of the dependency group `clients`, or of this machine."""
    found = shutil.which(name, path=f"{BESIDE}:{os.environ['PATH']}")
    if found is None:
        where = "install it" if name == "chromium" else "run this by `uv run --group clients`"
        message = f"`{name}` is not installed: {where}"
        raise NotShownError(message)
    return found


def packages(folder: Path) -> None:
    """Install the npm packages of the lock file."""
    tool("node")
    try:
        run(folder, [tool("npm"), "ci", "--no-audit", "--no-fund", "--ignore-scripts"])
    except NotShownError as error:
        message = f"the packages of package-lock.json cannot be had: is there a network?\n{error}"
        raise NotShownError(message) from error


def bin_of(folder: Path, name: str) -> str:
    """Path of a tool of the npm packages."""
    return str(folder / "node_modules" / ".bin" / name)


def linted(folder: Path, _asked: Asked) -> None:
    """Spectral and Redocly find nothing; what is waived is named in their files."""
    rules = ["--ruleset", "spectral.yaml", "--fail-severity", "hint", "openapi.json"]
    run(folder, [bin_of(folder, "spectral"), "lint", *rules])
    run(folder, [bin_of(folder, "redocly"), "lint", "--config", "redocly.yaml", "openapi.json"])


def typescript(folder: Path, asked: Asked) -> None:
    """openapi-typescript and openapi-fetch."""
    run(folder, [bin_of(folder, "openapi-typescript"), "openapi.json", "-o", "api.d.ts"])
    run(folder, [bin_of(folder, "tsc"), "--project", "tsconfig.json"])
    for name in ("erp.ts", "bench.ts"):
        sys.stdout.write(run(folder, [tool("node"), name], **asked))


def python_client(folder: Path, asked: Asked) -> None:
    """openapi-python-client, without a warning."""
    options = ["--output-path", "ringwright_client", "--meta", "none", "--fail-on-warning"]
    config = ["--config", "python-client.yaml"]
    command = [tool("openapi-python-client"), "generate", "--path", "openapi.json"]
    run(folder, [*command, *options, *config])
    _checked(folder, asked, "erp_client.py", "bench_client.py")


def python_models(folder: Path, asked: Asked) -> None:
    """datamodel-code-generator, for both libraries that its users decode with."""
    command = [tool("datamodel-codegen"), "--input", "openapi.json", "--input-file-type", "openapi"]
    for kind, file in (
        ("pydantic_v2.BaseModel", "ringwright_models.py"),
        ("msgspec.Struct", "ringwright_structs.py"),
    ):
        # Without it bounds are calls in annotations, which no type checker reads.
        run(folder, [*command, "--use-annotated", "--output-model-type", kind, "--output", file])
    _checked(folder, asked, "erp_models.py", "bench_models.py", also=("ringwright_structs.py",))


def _checked(folder: Path, asked: Asked, *clients: str, also: tuple[str, ...] = ()) -> None:
    """Types of the clients and of what they import, then the clients themselves."""
    strictly = [sys.executable, "-m", "mypy", "--strict", "--config-file", os.devnull]
    run(folder, [*strictly, *clients, *also])
    for name in clients:
        sys.stdout.write(run(folder, [sys.executable, name], **asked))


def mobile(folder: Path, _asked: Asked) -> None:
    """Kotlin and Swift: no type of a closed set, or of a field that has one, has lost its words."""
    generator = tool("openapi-generator-cli")
    for language, suffix in (("kotlin", "kt"), ("swift6", "swift")):
        out = folder / language
        run(folder, [generator, "generate", "-i", "openapi.json", "-g", language, "-o", str(out)])
        models = {file.stem: file.read_text(encoding="utf-8") for file in out.rglob(f"*.{suffix}")}
        for name, word in CLOSED_SETS.items():
            if f'"{word}"' not in models.get(name, ""):
                message = f"{language}: `{name}` cannot say `{word}`"
                raise NotShownError(message)
        bend = re.search(r"\bbend\b[^\n]*\bBend\?", models.get("TubeFacts", ""))
        length = re.search(r"\bstraightLength\b[^\n]*\bLength\?", models.get("TubeFacts", ""))
        if bend is None or length is None:
            message = f"{language}: `TubeFacts` has lost `bend` or `straight_length`"
            raise NotShownError(message)
        if merged := sorted(name for name in models if re.search(r"(AnyOf|OneOf|AllOf)", name)):
            message = f"{language}: unions were made into types of their own: {merged}"
            raise NotShownError(message)
        sys.stdout.write(f"{language}: {len(models)} files, every union as it is\n")


def accessible(folder: Path, _asked: Asked) -> None:
    """The report, wide and on a phone: axe-core finds nothing; a page with a lapse is found out."""
    shipped = shipped_revision()
    revision = review(edited(shipped), [], shipped, shipped).revision
    if revision is None:
        message = "there is no revision to look at"
        raise NotShownError(message)
    report = report_on(revision, shipped)
    page = report_page(report, report_digest(report), about=about(report)).decode()
    axe = folder / "node_modules" / "axe-core" / "axe.min.js"
    if not barriers(page.replace('<html lang="en">', "<html>"), axe, folder, 1280):
        message = "axe passes a page without a language"
        raise NotShownError(message)
    for width_px in (1280, 390):
        if found := barriers(page, axe, folder, width_px):
            message = "\n".join([f"the report, {width_px} px wide:", *found])
            raise NotShownError(message)


def barriers(page: str, axe: Path, folder: Path, width_px: int) -> list[str]:
    """What axe-core finds in a page. Errors: `NotShownError` where it cannot look at it."""
    browser = tool("chromium")
    try:
        return violations(browser, page, axe, folder, width_px)
    except (OSError, ValueError, subprocess.SubprocessError) as error:
        told = getattr(error, "stderr", None) or ""
        message = f"{browser} does not show the report to axe: {error}\n{told}"
        raise NotShownError(message) from error


CLIENTS: Final[tuple[Callable[[Path, Asked], None], ...]] = (
    linted,
    typescript,
    python_client,
    python_models,
    mobile,
    accessible,
)


def main() -> int:
    """Make every client, compile it and ask the service with it; 1 where one fails."""
    with tempfile.TemporaryDirectory() as room:
        store, folder = Path(room) / "store", Path(room) / "clients"
        shutil.copytree(HERE, folder)
        shutil.copy(PATH, folder)
        keys = seeded(store, shipped_revision())
        with opened(store, keys) as shop:
            base = str(shop.client.base_url).rstrip("/")
            return _made(folder, {"RINGWRIGHT": base, "RINGWRIGHT_KEY": keys["erp"]})


def _made(folder: Path, asked: Asked) -> int:
    try:
        packages(folder)
        for make in CLIENTS:
            sys.stdout.write(f"-- {make.__name__}\n")
            sys.stdout.flush()
            make(folder, asked)
    except NotShownError as error:
        sys.stderr.write(f"{error}\n")
        return 1
    sys.stdout.write(f"{len(CLIENTS)} kinds hold: what the contract says, and the report\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
