"""Revisions whose every number of the dial has digits of its own, which no answer meets by chance.

There are two of them, alike but in their digits: a number that an answer tells of both at the same
place follows from press, gauge and target; one that is met in one of them alone was met by chance.
"""

from functools import cache
from typing import Any, Final

import msgspec
import pytest
from msgspec import structs

from catalog import compiling
from catalog.checking import faults_of
from catalog.compiling import compile_revision
from catalog.index import Index
from catalog.revision import Revision, revision_of
from catalog.rows import TABLES, AnyRow
from catalog.seed import shipped_revision

WORLDS: Final = (0, 1)

_PRESSES: Final[dict[str, dict[str, float]]] = {
    "press-a": {
        "ram_area_cm2": 8.0137,
        "return_force_kn": 0.5173,
        "return_force_tolerance_kn": 0.0117,
        "friction_percent": 0.173,
        "rated_pressure_bar": 701.371,
        "relief_setting_bar": 398.713,
        "stroke_mm": 25.319,
        "pump_full_stroke_cm3": 1.0173,
        "usable_oil_cm3": 151.39,
    },
    "press-b": {
        "ram_area_cm2": 20.0391,
        "return_force_kn": 1.0379,
        "return_force_tolerance_kn": 0.0231,
        "friction_percent": 0.137,
        "rated_pressure_bar": 631.517,
        "relief_setting_bar": 381.139,
        "stroke_mm": 30.173,
        "pump_full_stroke_cm3": 2.0139,
        "usable_oil_cm3": 302.71,
    },
    "press-c": {
        "ram_area_cm2": 50.0719,
        "return_force_kn": 2.5173,
        "return_force_tolerance_kn": 0.0371,
        "friction_percent": 1.137,
        "rated_pressure_bar": 401.713,
        "relief_setting_bar": 361.319,
        "stroke_mm": 40.171,
        "pump_full_stroke_cm3": 5.0173,
        "usable_oil_cm3": 603.17,
    },
}
_GAUGES: Final[dict[str, dict[str, float | str]]] = {
    "gauge-a": {"span": 601.93, "graduation": 10.0273},
    "gauge-b": {"span": 401.57, "graduation": 5.0171},
    "gauge-c": {
        "span": 161.71,
        "graduation": 1.00937,
        "protected_to": 160.39,
        "protected_tolerance": 4.1371,
    },
    "gauge-coarse": {"span": 1002.7, "graduation": 50.0713},
    # Not to be driven off its dial by the relief of press-b.
    "gauge-d": {"span": 250.91, "graduation": 2.00573, "overload": 413.17},
    # A dial in MPa, and one that a protector guards, are not among the shipped gauges.
    "gauge-due": {"unit": "MPa", "span": 40.1571, "graduation": 0.501713},
    "gauge-old": {
        "span": 401.93,
        "graduation": 5.03917,
        "protected_to": 301.37,
        "protected_tolerance": 7.1317,
    },
    "gauge-psi": {"span": 6007.3, "graduation": 50.07137},
}
_AS_THEY_ARE: Final = {"ram_area_cm2", "friction_percent", "protected_tolerance"}
"""Alike in both revisions: were area and force apart by one share, a reading would not be."""
_COLUMNS: Final = {
    "targets": ("force_kn", "tolerance_percent", "ceiling_kn"),
    "cones": ("rated_force_kn",),
    "plates": ("rated_force_kn",),
}


@cache
def odd_index(world: int) -> Index:
    """Compiled odd revision; no dial is graduated so, since real marks have no own digits."""
    unfit = {fault.rule for fault in faults_of(odd_revision(world))}
    assert unfit == {"no-such-dial"}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(compiling, "faults_of", lambda _: [])
        return compile_revision(odd_revision(world))


def odd_revision(world: int) -> Revision:
    """Shipped tables with odd numbers, every source trusted, and no cases of its own."""
    tables: dict[str, list[AnyRow]] = {
        name: [_odd(row, number, world) for number, row in enumerate(rows)]
        for name, rows in shipped_revision().tables.items()
    }
    return revision_of({**tables, "cases": []})


def _odd(row: AnyRow, number: int, world: int) -> AnyRow:
    if row.table == "sources":
        return structs.replace(row, grade="standard")
    if row.table in {"presses", "gauges"}:
        given: dict[str, Any] = (_PRESSES | _GAUGES)[row.ref.partition("/")[2]]
        # A thousandth apart, so that what is sound in one world is sound in the other.
        more = {
            column: value
            if isinstance(value, str) or column in _AS_THEY_ARE
            else apart(value, world)
            for column, value in given.items()
        }
        return _with(row, more)
    columns = _COLUMNS.get(row.table, ())
    # No two rows alike: each has its own share of up to a hundredth.
    share = 1.00137 + 0.00173 * (number * 7 % 5) + 0.0000171 * number
    return _with(row, {c: round(apart(getattr(row, c) * share, world), 5) for c in columns})


def apart(value: float, world: int) -> float:
    """A value as it is in one world: the fourth digit differs, and what is sound stays sound."""
    return round(value * (1 + 0.00117 * world), 6)


def _with(row: AnyRow, columns: dict[str, Any]) -> AnyRow:
    if not columns:
        return row
    return msgspec.convert({**msgspec.to_builtins(row), **columns}, TABLES[row.table])
