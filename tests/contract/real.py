"""Hook of schemathesis: what it makes up names a size, tools, rows and revisions that are here.

Left alone it makes up every id and pins a revision of its own, so that nearly all it would ever see
is a 404 or *unknown*, and it would pass having seen little else.
"""

import copy
import io
import json
import os
import sqlite3
import zipfile
from collections.abc import Mapping
from typing import Any, Final
from zlib import crc32

import httpx
import schemathesis

from catalog.compiling import compile_revision
from catalog.rows import TABLES, Target
from tests.service.publishing.tables import as_json, doubtful, revised, small

INDEX: Final = compile_revision(small())
TARGETS: Final = sorted(
    (row for rows in INDEX.targets.values() for row in rows),
    key=lambda row: (row.series, row.od_mm, row.family, row.ring_style, row.wall_min_mm),
)
STORED: Final = (small().id, revised().id, doubtful().id)
"""Revisions of the store that is attacked: one active, one approved, one proposed."""
ADDRESS: Final = "ATTACKED_ADDRESS"
KEY: Final = "ATTACKED_KEY"
"""Names in the environment: where the service is, and a key for it."""
SPARE: Final = tuple(row.ref for row in doubtful().tables["targets"] if row.od_mm == 20)  # type: ignore[union-attr]
"""Rows that may be withdrawn: questions about the other size are answered all the same."""


@schemathesis.hook
def before_call(_context: Any, case: Any, **_options: Any) -> None:
    """Put real names into a question that is meant to be right; a wrong one stays as it is."""
    right = case.meta is not None and case.meta.generation.mode.is_positive
    asked = case.operation.definition.raw.get("operationId", "")
    # Examples are asked as they stand; those of the office are steps that this office is not at.
    if not right or (case.meta.phase.name.value == "examples" and asked not in OFFICE):
        return
    if case.path_parameters:
        case.path_parameters = with_real_path(dict(case.path_parameters), asked)
    if asked == "table" and case.query:
        case.query = with_real_columns(dict(case.query), str(case.path_parameters["table"]))
    if (
        asked == "propose"
        and case.media_type == "multipart/form-data"
        and drawn(str(case.body)) % 4
    ):
        # Made-up files have no names, so that all would be refused; walks send real ones.
        case.media_type, case.body = "application/json", {"note": "measured anew", "tables": {}}
    if isinstance(case.body, dict) and case.media_type == "application/json":
        body = with_real_names(case.body)
        body = OFFICE.get(asked, lambda told, _draw: told)(body, drawn(case.body))
        case.body = with_lines_that_are_seen(body) if asked in OFFICE else body
    if asked == "propose" and case.query and case.meta.phase.name.value == "stateful":
        # A link from a proposal reads what was kept; what was only looked at is nowhere.
        case.query.pop("validate_only", None)
    if asked == "activate" and case.headers and drawn(case.body) % 8:
        case.headers.pop("If-Match", None)  # the number in the body says what was seen


@schemathesis.deserializer("application/vnd.sqlite3")
def sqlite_tables(_context: Any, response: Any) -> str:
    """Bytes, as text, of a file that must be a database with tables."""
    with sqlite3.connect(":memory:") as database:
        database.deserialize(response.content)
        found = database.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")
        assert found.fetchone() is not None
    return str(response.content, "latin-1")


@schemathesis.deserializer("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
def workbook_parts(_context: Any, response: Any) -> str:
    """Bytes, as text, of a file that must be a workbook."""
    with zipfile.ZipFile(io.BytesIO(response.content)) as book:
        assert book.testzip() is None
    return str(response.content, "latin-1")


def drawn(told: Any) -> int:
    """A number that is the same for the same value."""
    return crc32(json.dumps(told, sort_keys=True).encode())


def with_real_path(parts: dict[str, Any], asked: str) -> dict[str, Any]:
    """Parts of a path that name a stored revision and a table of it, most of the time."""
    draw = drawn(parts)
    for number, name in enumerate(("revision", "other")):
        # Of two that are made up at times, few paths would be left that are real.
        if name in parts and ("other" in parts or draw // 5**number % 5):
            parts[name] = ("current", *STORED)[draw // (7 + number) % 4]
    # What answers is not withdrawn whole, and has no report on itself.
    if draw % 5 and asked in {"withdraw", "report", "whole_report", "report_page"}:
        parts["revision"] = STORED[2]
    # Every case of some phases has one path, so that a draw would be all of them or none.
    if asked == "approve":
        parts["revision"] = _not_active()
    if "table" in parts and draw % 4:
        parts["table"] = sorted(TABLES)[draw % len(TABLES)] + (".csv" if draw % 3 == 0 else "")
    return parts


def with_real_names(body: dict[str, Any]) -> dict[str, Any]:
    """Body whose values are real where it has them; some keep what was made up.

    Nothing is added or taken away: which fields stand there is for schemathesis to vary.
    """
    draw = drawn(body)
    body = copy.deepcopy(body)
    if "revision" in body and draw % 8:
        body["revision"] = STORED[draw // 8 % 3] if draw % 2 else INDEX.revision
    if draw // 8 % 4:
        for number, part in enumerate((body, *body.get("items", ()))):
            _name(part, TARGETS[(draw // 32 + number) % len(TARGETS)])
    return body


def with_real_columns(query: dict[str, Any], table: str) -> dict[str, Any]:
    """Query of a table: both halves of a filter on a column that is there, and no page of a CSV."""
    if "column" in query or "equals" in query:
        fields = TABLES.get(table.removesuffix(".csv"), Target).__struct_fields__
        column = fields[drawn(query) % len(fields)]
        query = {**query, "column": column, "equals": query.get("equals", "demo")}
    if table.endswith(".csv"):
        query = {name: value for name, value in query.items() if name in {"column", "equals"}}
    return query


def with_lines_that_are_seen(part: Any) -> Any:
    """Body whose notes and reasons have no letters that cannot be seen, nor only blanks.

    Which letters those are is in tables of Unicode, and in no pattern of a schema.
    """
    if isinstance(part, list):
        return [with_lines_that_are_seen(each) for each in part]
    if not isinstance(part, dict):
        return part
    return {
        name: _seen(value) if name in {"note", "reason"} else with_lines_that_are_seen(value)
        for name, value in part.items()
        if name != "tables"
    } | {name: value for name, value in part.items() if name == "tables"}


def a_withdrawal(body: dict[str, Any], draw: int) -> dict[str, Any]:
    """Body of a withdrawal: rows or the whole, which no schema of a Struct can say."""
    if body.get("rows"):
        rows = [SPARE[(draw + number) % len(SPARE)] for number in range(len(body["rows"]))]
        return {**body, "rows": rows, "whole": False}
    return {**body, "rows": [], "whole": True}


def an_approval(body: dict[str, Any], draw: int) -> dict[str, Any]:
    """Body of an approval of the report as it is by now, with its strong doubts acknowledged.

    Some approve a report that never was: a link may bring the digest of a real one, and that an
    approval of it lacks an acknowledgement is in no schema.
    """
    if draw % 8 == 0:
        return {**body, "report": f"sha256:{draw:064x}"}
    report = _asked(f"/v1/revisions/{_not_active()}/report")
    doubts = [{"doubt": d, "reason": "because"} for d in report["summary"]["strong"]]
    return {**body, "report": report["digest"], "acknowledged": doubts}


def an_activation(body: dict[str, Any], draw: int) -> dict[str, Any]:
    """Body of an activation over the one that holds: back and forth between two revisions."""
    if draw % 8 == 0:
        return body
    seen = _asked("/v1/active")["n"]
    return {**body, "expected_activation": seen, "revision": _not_active()}


def a_proposal(body: dict[str, Any], draw: int) -> dict[str, Any]:
    """Body of a proposal: a real table, one force of it another, on top of what is active."""
    rows = as_json(revised(draw % 40).tables["targets"])
    return {**body, "base": "current", "tables": {"targets": rows}} if draw % 16 else body


OFFICE: Final[Mapping[str, Any]] = {
    "withdraw": a_withdrawal,
    "approve": an_approval,
    "activate": an_activation,
    "propose": a_proposal,
}


def _seen(line: str) -> str:
    text = "".join(letter for letter in line if letter.isprintable())
    return text if text.strip() else "because"


def _asked(path: str) -> Any:
    """What the service that is attacked says."""
    headers = {"Authorization": f"Bearer {os.environ[KEY]}"}
    return httpx.get(os.environ[ADDRESS] + path, headers=headers, timeout=60).json()


def _not_active() -> str:
    """The one of two revisions that does not answer: what answers has no report on itself."""
    return STORED[1] if _asked("/v1/active")["revision"] == STORED[0] else STORED[0]


def _name(part: dict[str, Any], target: Target) -> None:
    for group, values in _real(target).items():
        inner = part if group == "" else part.get(group, {})
        inner.update({name: value for name, value in values.items() if name in inner})


def _real(target: Target) -> dict[str, dict[str, Any]]:
    od = {"value": target.od_mm, "unit": "mm"}
    wall = {"value": (target.wall_min_mm + target.wall_max_mm) / 2, "unit": "mm"}
    material = next(m.id for m in INDEX.materials.values() if m.family == target.family)
    press, gauge = INDEX.pairs[0]
    system = INDEX.series[target.series].system
    return {
        "": {"press": press.id, "gauge": gauge.id},
        "tube": {"od": od, "measured_od": od, "wall": wall, "material": material},
        "fitting": {
            "series": target.series,
            "ring_style": target.ring_style,
            "ring_material": target.family,
            "ring": target.ring
            or INDEX.ring_sets[target.series, target.ring_style, target.family][0].id,
        },
        "service": {
            "working_pressure": {"value": 100, "unit": "bar"},
            "temperature": {"value": 20, "unit": "degC"},
        },
        "tooling": {
            "cone": next(c.id for c in INDEX.cones.values() if c.od_mm == target.od_mm),
            "plate": next(
                p.id for p in INDEX.plates.values() if (p.system, p.od_mm) == (system, target.od_mm)
            ),
        },
    }
