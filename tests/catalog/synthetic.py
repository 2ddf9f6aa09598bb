"""A catalog on which a right setup is simply allowed, and ways to change one thing about it.

Its rows are those of the demonstration with every source raised to the grade `standard`: nothing is
left to be cautious about. It exists to show that the refusals of the other tests come from the one
thing that each of them changes.
"""

import re
from collections.abc import Mapping
from functools import cache
from typing import Any, TypeVar

import msgspec
from msgspec import structs

from catalog.compiling import compile_revision
from catalog.index import Index
from catalog.questions import SetupCheckQuestion
from catalog.revision import Revision, revision_of
from catalog.rows import TABLES, AnyRow, Source
from catalog.seed import shipped_revision

Asked = TypeVar("Asked")
Tables = dict[str, list[AnyRow]]
Changes = tuple[tuple[str, str, tuple[tuple[str, Any], ...] | None], ...]
"""Table, row, and the columns to change; None drops the row."""

CONTROL: dict[str, Any] = {
    "tube": {
        "od": {"value": 16, "unit": "mm"},
        "wall": {"value": 2, "unit": "mm"},
        "material": "e235-n",
        "measured_od": {"value": 16, "unit": "mm"},
        "seam": "seamless",
        "coating": "none",
        "bend": "none",
    },
    "fitting": {
        "series": "S",
        "ring_style": "metal",
        "ring_material": "carbon-steel",
        "ring_condition": "new",
        "ring_source": "store 4",
        "nut_source": "store 4",
        "other_end": "same",
    },
    "service": {
        "working_pressure": {"value": 200, "unit": "bar"},
        "peak_pressure": {"value": 200, "unit": "bar"},
        "proof_factor": 1.5,
        "temperature": {"value": 60, "unit": "degC"},
        "least_temperature": {"value": 10, "unit": "degC"},
        "pulsating": False,
        "fluid": "mineral-oil",
        "corrosion_allowance": {"value": 0, "unit": "mm"},
    },
    "tooling": {"cone": "cone-S-16", "plate": "plate-metric-16"},
    "press": "press-b",
    "gauge": "gauge-b",
    "intended_reading": {"value": 140, "unit": "bar"},
    "preparation": {
        "cut_method": "toothed-saw",
        "out_of_square": {"value": 0.6, "unit": "deg"},
        "deburred_inside": True,
        "deburred_outside": True,
        "cleaned": True,
        "lubricated": ["ring", "cone", "thread"],
        "ring_edge_towards": "tube-end",
        "nut_thread_towards": "tube-end",
        "tube_bottomed": True,
    },
    "on": "2026-03-02",
    "tool_state": {"cone_uses_since_check": 12, "gauge_calibration_due": "2026-09-30"},
    "detail": "full",
}
"""A whole setup of 16S x 2 on press-b with gauge-b, every fact stated, to be answered in full."""


@cache
def _shipped() -> Revision:
    return shipped_revision()


def standard_tables() -> Tables:
    """Tables of the synthetic catalog."""
    tables: Tables = {}
    for name, rows in _shipped().tables.items():
        tables[name] = [_raised(row) for row in rows]
    return tables


def _raised(row: AnyRow) -> AnyRow:
    if isinstance(row, Source):
        return structs.replace(row, grade="standard")
    return row


def changed(tables: Tables, changes: Changes) -> Tables:
    """Tables with some rows changed or dropped, each named as an answer names it."""
    for table, ref, columns in changes:
        rows = tables[table]
        at = [n for n, row in enumerate(rows) if row.ref == f"{table}/{ref}"]
        if not at:
            message = f"no row {table}/{ref}"
            raise KeyError(message)
        for number in reversed(at):
            if columns is None:
                del rows[number]
            else:
                values = {**msgspec.to_builtins(rows[number]), **dict(columns)}
                rows[number] = msgspec.convert(values, TABLES[table])
    return tables


@cache
def synthetic_index(changes: Changes = ()) -> Index:
    """Compiled synthetic catalog, with some rows changed."""
    return compile_revision(revision_of(changed(standard_tables(), changes)))


@cache
def shipped_with(changes: Changes = ()) -> Index:
    """Compiled shipped catalog, with some rows changed."""
    tables: Tables = {name: list(rows) for name, rows in _shipped().tables.items()}
    return compile_revision(revision_of(changed(tables, changes)))


def as_changes(written: Mapping[str, Any] | None) -> Changes:
    """Changes as a case writes them: `table/row: {column: value}`, or `drop`."""
    found = []
    for name, columns in (written or {}).items():
        table, _, ref = name.partition("/")
        what = None if columns == "drop" else tuple((c, _frozen(v)) for c, v in columns.items())
        found.append((table, ref, what))
    return tuple(found)


def _frozen(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


_QUANTITY = re.compile(r"(-?[0-9.]+) (mm|in|bar|MPa|psi|degC|degF|deg)")


def asked(start: Mapping[str, Any], changes: Mapping[str, Any] | None) -> dict[str, Any]:
    """Question with values put at pointers; `out` takes a field out, `2 mm` is a quantity."""
    question: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(start))
    for pointer, value in (changes or {}).items():
        *groups, name = pointer[1:].split("/")
        part = question
        for group in groups:
            part = part.setdefault(group, {})
        if value == "out":
            part.pop(name, None)
        else:
            part[name] = _quantity(value)
    return question


def _quantity(value: Any) -> Any:
    match = _QUANTITY.fullmatch(value) if isinstance(value, str) else None
    return {"value": float(match[1]), "unit": match[2]} if match else value


def in_full(question: Mapping[str, Any], kind: type[Asked]) -> Asked:
    """Question of a kind that asks for every detail, unless it says which."""
    return msgspec.convert({"detail": "full", **question}, kind)


def control(changes: Mapping[str, Any] | None = None) -> SetupCheckQuestion:
    """The control, with some facts changed."""
    return msgspec.convert(asked(CONTROL, changes), SetupCheckQuestion)
