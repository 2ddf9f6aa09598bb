"""One thing wrong at a time: what is changed on the right setup, and the code that must answer it.

The right setup is 16S x 2 in E235+N on press-b with gauge-b, of `tests.catalog.synthetic`.
"""

from collections.abc import Mapping
from typing import Any, NamedTuple

_SIZE = ("/tube/od", "/tube/wall", "/tube/material")
_LIMITS = ("/tube/od", "/fitting/series")
_RING = ("/fitting/series", "/fitting/ring_style", "/fitting/ring_material", "/fitting/ring")
_TARGET = (*_SIZE, "/tube/insert", "/fitting/series", "/fitting/ring_style")
_WINDOW = (*_TARGET, "/press", "/gauge", "/intended_reading", "/tooling/cone", "/tooling/plate")
_COUNTED = ("/service/working_pressure", "/service/peak_pressure")
_PREPARED = "/preparation/"


class SingleFault(NamedTuple):
    """A change, its code, and the other facts that the code cannot be seen without."""

    name: str
    set: Mapping[str, Any]
    code: str
    needs: tuple[str, ...] = ()


_NO: Any = False


def _one(name: str, at: str, value: Any, code: str, *needs: str) -> SingleFault:
    return SingleFault(name, {at: value}, code, needs)


def _service(name: str, pressure: str, code: str, *needs: str) -> SingleFault:
    return SingleFault(name, dict.fromkeys(_COUNTED, pressure), code, needs)


TUBE = (
    _one("no bore", "/tube/wall", "8 mm", "tube.wall-impossible", "/tube/od"),
    _one("wall not listed", "/tube/wall", "2.05 mm", "tube.size-not-listed", *_SIZE),
    _one("no row for the wall", "/tube/wall", "1.5 mm", "target.no-row", *_TARGET),
    _one("wall too thin", "/tube/wall", "0.4 mm", "tube.wall-too-thin", *_SIZE),
    _one("insert?", "/tube/wall", "1 mm", "tube.insert-unknown", *_SIZE, "/tube/insert"),
    SingleFault(
        "insert needed",
        {"/tube/wall": "1 mm", "/tube/insert": "none"},
        "tube.insert-needed",
        _SIZE,
    ),
    _one("needless insert", "/tube/insert", "fitted", "tube.insert-not-called-for", *_SIZE),
    _one("no such size", "/tube/od", "17 mm", "fitting.no-such-size", "/fitting/series"),
    _one("0.63 in", "/tube/od", "0.63 in", "fitting.no-such-size", "/fitting/series"),
    _one("copper", "/tube/material", "copper-r220", "tube.material-not-preset"),
    _one("unknown grade", "/tube/material", "st-37", "tube.material-unknown"),
    _one(
        "two sizes",
        "/tube/measured_od",
        "15.95 mm",
        "tube.near-size-ambiguous",
        *_SIZE,
        "/tube/identified_by",
    ),
    _one("another size", "/tube/measured_od", "15.9 mm", "tube.near-size", *_SIZE),
    _one("no size", "/tube/measured_od", "16.3 mm", "tube.od-out-of-tolerance", *_SIZE),
    _one("wrong seam", "/tube/seam", "welded-cold-drawn", "tube.standard-contradiction", _SIZE[2]),
    _one("weld bead", "/tube/seam", "welded-as-is", "tube.weld-bead"),
    _one("seam?", "/tube/seam", "unknown", "tube.weld-bead-unknown"),
    _one("paint", "/tube/coating", "painted", "tube.coating", "/tube/material"),
    _one("coating?", "/tube/coating", "chromate", "tube.coating-unknown"),
    SingleFault(
        "bend too near",
        {
            "/tube/bend": "near-end",
            "/tube/bends": [{"radius": {"value": 100, "unit": "mm"}}],
            "/tube/straight_length": "59.9 mm",
        },
        "tube.straight-length",
        _LIMITS,
    ),
    _one(
        "bend too tight",
        "/tube/bends",
        [{"radius": {"value": 20, "unit": "mm"}}],
        "tube.bend-too-tight",
        "/tube/od",
    ),
)
FITTING = (
    _one("series without 16", "/fitting/series", "L", "fitting.no-such-size", "/tube/od"),
    _one("unknown series", "/fitting/series", "XL", "fitting.series-unknown"),
    _one("inch series", "/fitting/series", "flareless", "tooling.cone-series", "/tooling/cone"),
    _one(
        "ring of another metal",
        "/fitting/ring_material",
        "stainless-steel",
        "fitting.ring-material",
        "/tube/material",
        "/fitting/ring",
    ),
    _one("unknown ring", "/fitting/ring", "ring-9", "fitting.ring-unknown"),
    _one(
        "ring of another series",
        "/fitting/ring",
        "ring-L-metal-carbon-steel",
        "fitting.ring-contradiction",
        "/fitting/series",
    ),
    _one(
        "elastomer seal, lubricated",
        "/fitting/ring_style",
        "elastomer-sealed",
        "preparation.lubricated-elastomer",
        *_RING,
        "/preparation/lubricated",
    ),
    _one("used ring", "/fitting/ring_condition", "used", "fitting.ring-reused"),
    _one("two makers", "/fitting/nut_source", "store 9", "fitting.mixed-sources"),
)
SERVICE = (
    _service("tube", "245 bar", "service.over-tube-rating", *_SIZE, "/service/temperature"),
    _service("yield", "380 bar", "tube.yield-margin", *_SIZE, "/service/proof_factor"),
    _service(
        "fitting",
        "401 bar",
        "service.over-fitting-rating",
        "/tube/od",
        "/service/temperature",
        *_RING,
    ),
    _one(
        "peak",
        "/service/peak_pressure",
        "245 bar",
        "service.over-tube-rating",
        *_SIZE,
        "/service/temperature",
    ),
    _one(
        "peak below",
        "/service/peak_pressure",
        "199 bar",
        "service.peak-below-working",
        "/service/working_pressure",
    ),
    _one("proof", "/service/proof_factor", 3.0, "tube.yield-margin", *_SIZE, *_COUNTED),
    _one(
        "corrosion",
        "/service/corrosion_allowance",
        "0.5 mm",
        "service.over-tube-rating",
        *_SIZE,
        *_COUNTED,
        "/service/temperature",
    ),
    _one("hot", "/service/temperature", "121 degC", "service.temperature", "/tube/material"),
    _one("cold", "/service/temperature", "-41 degC", "service.temperature", "/tube/material"),
    _one("gas", "/service/fluid", "gas", "service.fluid"),
    _one("fluid?", "/service/fluid", "glycol", "service.fluid-unknown"),
    SingleFault(
        "other end",
        {"/fitting/other_end": "rated", "/fitting/other_end_rating": "199 bar"},
        "service.over-other-end",
        _COUNTED,
    ),
)
PREPARATION = (
    _one("wheel", _PREPARED + "cut_method", "wheel-cutter", "preparation.cut-method", *_LIMITS),
    _one("disc", _PREPARED + "cut_method", "abrasive-wheel", "preparation.cut-method", *_LIMITS),
    _one("laser", _PREPARED + "cut_method", "laser", "preparation.cut-method-unknown", *_LIMITS),
    _one("askew", _PREPARED + "out_of_square", "1.1 deg", "preparation.out-of-square", *_LIMITS),
    _one("burr inside", _PREPARED + "deburred_inside", _NO, "preparation.burr"),
    _one("burr outside", _PREPARED + "deburred_outside", _NO, "preparation.burr"),
    _one("chips", _PREPARED + "cleaned", _NO, "preparation.not-clean"),
    _one("dry", _PREPARED + "lubricated", [], "preparation.not-lubricated", *_RING),
    _one("dry cone", _PREPARED + "lubricated", ["ring"], "preparation.not-lubricated", *_RING),
    _one("ring reversed", _PREPARED + "ring_edge_towards", "nut", "preparation.ring-reversed"),
    _one("nut reversed", _PREPARED + "nut_thread_towards", "away", "preparation.nut-reversed"),
    _one("not bottomed", _PREPARED + "tube_bottomed", _NO, "preparation.not-bottomed"),
)
TOOLS = (
    _one("cone of 14", "/tooling/cone", "cone-S-14", "tooling.cone-od", "/tube/od"),
    _one(
        "inch cone", "/tooling/cone", "cone-flareless-10", "tooling.cone-series", "/fitting/series"
    ),
    _one("unknown cone", "/tooling/cone", "cone-9", "tooling.cone-unknown"),
    _one("plate of 15", "/tooling/plate", "plate-metric-15", "tooling.plate-od", "/tube/od"),
    _one(
        "inch plate", "/tooling/plate", "plate-inch-10", "tooling.plate-system", "/fitting/series"
    ),
    _one("unknown plate", "/tooling/plate", "plate-9", "tooling.plate-unknown"),
    _one(
        "51st press",
        "/tool_state/cone_uses_since_check",
        50,
        "tooling.cone-check-overdue",
        "/tooling/cone",
        "/tube/material",
    ),
    _one("small ram", "/press", "press-a", "press.outside-window", *_WINDOW),
    _one("unknown press", "/press", "press-9", "press.unknown"),
    _one("coarse gauge", "/gauge", "gauge-a", "gauge.too-coarse", *_TARGET, "/press"),
    _one("gauge elsewhere", "/gauge", "gauge-c", "gauge.not-for-press", "/press"),
    _one("stop pin", "/gauge", "gauge-coarse", "gauge.zero-unknown"),
    _one("psi dial", "/gauge", "gauge-psi", "press.reading-unit", "/intended_reading"),
    _one("unknown gauge", "/gauge", "gauge-9", "gauge.unknown"),
    _one(
        "past its due day",
        "/tool_state/gauge_calibration_due",
        "2026-03-01",
        "gauge.calibration-overdue",
        "/on",
        "/gauge",
    ),
    _one(
        "late in the year",
        "/on",
        "2026-10-01",
        "gauge.calibration-overdue",
        "/tool_state/gauge_calibration_due",
        "/gauge",
    ),
    _one("too little", "/intended_reading", "137 bar", "press.outside-window", *_WINDOW),
    _one("too much", "/intended_reading", "148 bar", "press.outside-window", *_WINDOW),
    _one("crushing", "/intended_reading", "171 bar", "press.above-ceiling", *_WINDOW),
    _one("off the dial", "/intended_reading", "401 bar", "gauge.above-span", "/gauge"),
    _one("past the press", "/intended_reading", "631 bar", "press.above-press-rating", "/press"),
    _one("not of the dial", "/intended_reading", "14 MPa", "press.reading-unit", "/gauge"),
)

SINGLE_FAULTS: tuple[SingleFault, ...] = (*TUBE, *FITTING, *SERVICE, *PREPARATION, *TOOLS)
"""Each of them alone keeps the setup from being allowed."""
