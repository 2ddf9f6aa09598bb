"""Hook of schemathesis: what it makes up names a size, tools and a revision that are here.

Left alone it makes up every id and pins a revision of its own, so that nearly all it would ever see
is a 404 or *unknown*, and it would pass having seen little else.
"""

import copy
import json
from typing import Any, Final
from zlib import crc32

import schemathesis

from catalog.rows import Target
from catalog.seed import shipped_index

INDEX: Final = shipped_index()
TARGETS: Final = sorted(
    (row for rows in INDEX.targets.values() for row in rows),
    key=lambda row: (row.series, row.od_mm, row.family, row.ring_style, row.wall_min_mm),
)


@schemathesis.hook
def before_call(_context: Any, case: Any, **_options: Any) -> None:
    """Put real names into a body that is meant to be right; a wrong one stays as it is."""
    right = case.meta is not None and case.meta.generation.mode.is_positive
    if right and isinstance(case.body, dict) and case.meta.phase.name.value != "examples":
        case.body = with_real_names(case.body)


def with_real_names(body: dict[str, Any]) -> dict[str, Any]:
    """Body whose values are real where it has them; some keep what was made up.

    Nothing is added or taken away: which fields stand there is for schemathesis to vary.
    """
    draw = crc32(json.dumps(body, sort_keys=True).encode())
    body = copy.deepcopy(body)
    if "revision" in body and draw % 8:
        body["revision"] = INDEX.revision
    if draw // 8 % 4:
        for number, part in enumerate((body, *body.get("items", ()))):
            _name(part, TARGETS[(draw // 32 + number) % len(TARGETS)])
    return body


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
            "ring": INDEX.ring_sets[target.series, target.ring_style, target.family].id,
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
