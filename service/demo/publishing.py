"""The office in the demonstration: a row is revised, approved by another, used, taken back."""

from collections.abc import Mapping
from typing import Any, Final

from rich.console import Console

from service.demo.asking import send

ROW: Final = {"series": "S", "od_mm": 16, "wall_min_mm": 2.4, "wall_max_mm": 2.6}
FAMILY: Final = "carbon-steel"
STYLE: Final = "metal"
BEFORE_KN: Final = 28.5
AFTER_KN: Final = 29.0
CEILING_KN: Final = 36.3
"""1.25 x 29.0 = 36.25 kN, rounded up."""

PICK: Final[dict[str, Any]] = {
    "detail": "full",
    "items": [
        {
            "client_ref": "line 10",
            "tube": {
                "od": {"value": 16, "unit": "mm"},
                "wall": {"value": 2.5, "unit": "mm"},
                "material": "e235-n",
            },
            "fitting": {"series": "S", "ring_style": "metal", "ring_material": "carbon-steel"},
        }
    ],
}


def publish(console: Console, port: int, keys: Mapping[str, str]) -> int:
    """Walk through a publication over HTTP; how many steps were not as expected."""
    walk = _Walk(console, port, keys)
    try:
        _steps(console, walk)
    except _StoppedError as stopped:
        console.print(f"NOT AS EXPECTED: {stopped}", style="bold red")
        return walk.wrong + 1
    return walk.wrong


def _steps(console: Console, walk: "_Walk") -> None:
    console.rule("office: one row of one table is measured anew, 28.5 -> 29 kN", characters="-")
    first = walk.ask("erp", "GET", "/v1/active", None, "what answers now", 200)
    walk.force("the pick before", BEFORE_KN)
    rows = walk.ask(
        "office", "GET", "/v1/revisions/current/tables/targets", None, "the table", 200
    )["rows"]
    question = {
        "note": "16 S x 2.5 measured anew",
        "base": "current",
        "tables": {"targets": [_revised(row) for row in rows]},
    }
    console.print("  making the report: seconds of a free core, minutes of a busy machine")
    proposal = walk.ask("office", "POST", "/v1/revisions", question, "proposes it", 201)
    report, place = proposal["report"], f"/v1/revisions/{proposal['revision']}"
    totals = ", ".join(f"{name} {count}" for name, count in report["totals"].items() if count)
    console.print(f"  report: {totals}; strong doubts {len(report['strong'])}")
    approval = {"report": report["digest"], "note": "read, agrees with the measurement"}
    walk.ask("office", "POST", f"{place}/approvals", approval, "may not approve its own", 403)
    walk.ask("lead", "POST", f"{place}/approvals", approval, "has read and approves it", 201)
    new = {"revision": proposal["revision"], "note": "in use", "expected_activation": first["n"]}
    walk.ask("lead", "PUT", "/v1/active", new, "activates it", 200)
    walk.force("the next pick", AFTER_KN)
    walk.ask("lead", "PUT", "/v1/active", new, "is late with the same again", 409)
    back = {
        "revision": first["revision"],
        "note": "taken back",
        "expected_activation": first["n"] + 1,
    }
    walk.ask("lead", "PUT", "/v1/active", back, "goes back to the one before", 200)
    walk.force("the pick after that", BEFORE_KN)


class _StoppedError(Exception):
    """A step that came out otherwise: those after it would only tell of the same."""


class _Walk:
    """Steps over HTTP, told one by one."""

    def __init__(self, console: Console, port: int, keys: Mapping[str, str]) -> None:
        self.console = console
        self.port = port
        self.keys = keys
        self.wrong = 0

    def ask(self, who: str, method: str, path: str, body: Any, told: str, status: int) -> Any:
        """Answer to one request, which must have this status."""
        given, answer = send(self.console, self.port, method, path, body, self.keys[who])
        self.console.print(f"  {who:<7} {told}: {method} {path.split('sha256')[0]} -> {given}")
        if given != status:
            message = f"{given}, expected {status}: {answer}"
            raise _StoppedError(message)
        return answer

    def force(self, told: str, expected_kn: float) -> None:
        """Have the pick asked, whose force must be this one."""
        answer = self.ask("erp", "POST", "/v1/tooling-picks", PICK, told, 200)
        item = answer["items"][0]
        force = item.get("target", {}).get("force", {}).get("value")
        dial = item.get("target", {}).get("dial", {}).get("stop_at", {})
        self.console.print(
            f"          {force} kN, stop at {dial.get('value')} {dial.get('unit')}"
            f" on {item['pairs'][0]['press']}, revision {answer['revision'][:15]}"
        )
        if force != expected_kn:
            self.wrong += 1
            self.console.print(f"NOT AS EXPECTED: {force} kN, expected {expected_kn} kN")


def _revised(row: dict[str, Any]) -> dict[str, Any]:
    asked = {**ROW, "family": FAMILY, "grade": None, "ring_style": STYLE}
    if all(row.get(name) == value for name, value in asked.items()):
        return {**row, "force_kn": AFTER_KN, "ceiling_kn": CEILING_KN}
    return row
