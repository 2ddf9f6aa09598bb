"""The demonstration world's worked numbers, from the question to the answer of the shipped tables.

Every expected number is worked by hand beside it; none is taken from an answer.
"""

from typing import Any

import msgspec
import pytest
from msgspec import UNSET

from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.shapes import PressTarget, PressTargetAnswer, SetupCheckAnswer
from catalog.questions import PressTargetQuestion, SetupCheckQuestion
from tests.catalog.synthetic import CONTROL, asked, in_full, shipped_with

SIZE_16S = {
    "tube": {
        "od": {"value": 16, "unit": "mm"},
        "wall": {"value": 2, "unit": "mm"},
        "material": "e235-n",
    },
    "fitting": {"series": "S", "ring_style": "metal", "ring_material": "carbon-steel"},
}


def target_of(press: str, gauge: str, **more: Any) -> PressTargetAnswer:
    question = {**SIZE_16S, "press": press, "gauge": gauge, **more}
    return press_target(shipped_with(), in_full(question, PressTargetQuestion))


def told(answer: PressTargetAnswer | SetupCheckAnswer) -> PressTarget:
    assert answer.target is not UNSET
    return answer.target


def check(changes: dict[str, Any] | None = None) -> SetupCheckAnswer:
    return setup_check(shipped_with(), msgspec.convert(asked(CONTROL, changes), SetupCheckQuestion))


# 16S x 2, carbon steel, metal ring: 27.5 kN +-8 %, so 25.3 to 29.7 kN; ceiling 34.3 kN.
# press-b: 20 cm2, 1 kN back, so (F + 1) x 100 / 20 = (F + 1) x 5 bar:
#   nominal 28.5 x 5 = 142.5, band 26.3 x 5 = 131.5 to 30.7 x 5 = 153.5
#   gauge-b: 1 % of 400 + 5 / 2 = 6.5      -> 138 to 147; marks 140, 145; the one below 142.5: 140
#            never exceed 35.3 x 5 - 6.5 = 170
#   gauge-psi: 1 % of 6000 + 50 / 2 = 85 psi; x 14.503774: 1907.246 + 85 = 1992.246,
#            2226.329 - 85 = 2141.329; nominal 2066.788; mark below it 2050
#            never exceed 176.5 x 14.503774 - 85 = 2474.916
# press-a: 8 cm2, 0.5 kN back, so (F + 0.5) x 12.5 bar: nominal 350, band 322.5 to 377.5
#   gauge-a: 1 % of 600 + 10 / 2 = 11      -> 333.5 to 366.5; mark 350 is the nominal itself
#            never exceed 34.8 x 12.5 - 11 = 424
# press-c: 50 cm2, 2.5 kN back, so (F + 2.5) x 2 bar: nominal 60, band 55.6 to 64.4
#   gauge-c: 0.6 % of 160 + 1 / 2 = 1.46; the press 2 % of 27.5 kN x 2 = 1.1: 2.56
#            -> 58.16 to 61.84; mark 60; never exceed 36.8 x 2 - 2.56 = 71.04
@pytest.mark.parametrize(
    ("press", "gauge", "unit", "low", "high", "stop_at", "marks", "never_exceed"),
    [
        ("press-b", "gauge-b", "bar", 138.0, 147.0, 140.0, 2, 170.0),
        ("press-a", "gauge-a", "bar", 333.5, 366.5, 350.0, 3, 424.0),
        ("press-c", "gauge-c", "bar", 58.16, 61.84, 60.0, 3, 71.04),
        ("press-b", "gauge-psi", "psi", 1992.246, 2141.329, 2050.0, 3, 2474.916),
    ],
)
def test_the_dial_windows(
    press: str,
    gauge: str,
    unit: str,
    low: float,
    high: float,
    stop_at: float,
    marks: int,
    never_exceed: float,
) -> None:
    target = told(target_of(press, gauge))
    assert target.force.value == 27.5
    assert target.force_band.low.value == pytest.approx(25.3)
    assert target.force_band.high.value == pytest.approx(29.7)
    assert target.dial is not UNSET
    assert target.never_exceed is not UNSET
    # Windows count in whole pascals: 0.001 psi is 7 Pa.
    assert target.dial.low.value == pytest.approx(low, abs=1e-3)
    assert target.dial.high.value == pytest.approx(high, abs=1e-3)
    assert target.dial.stop_at.value == stop_at
    assert target.dial.marks == marks
    assert target.never_exceed.value == pytest.approx(never_exceed, abs=1e-3)
    units = (target.dial.low, target.dial.high, target.dial.stop_at, target.never_exceed)
    assert {each.unit for each in units} == {unit}


def test_the_fifth_window_is_a_point_and_a_point_is_empty() -> None:
    # 131.5 + 11 = 142.5 and 153.5 - 11 = 142.5: nothing to aim at, and no target is told.
    answer = target_of("press-b", "gauge-a")
    assert answer.verdict == "rejected"
    assert "gauge.too-coarse" in {finding.code for finding in answer.findings}
    assert answer.target is UNSET


def test_oil_for_the_stroke() -> None:
    # 20 cm2 x 30 mm = 60 cm3 of 300 usable, at 2 cm3 a full stroke of the pump: 30 strokes.
    target = told(target_of("press-b", "gauge-b"))
    assert target.oil_volume is not UNSET
    assert (target.oil_volume.value, target.oil_volume.unit) == (60.0, "cm3")
    assert target.pump_strokes == 30


def test_the_tube_governs_at_244_5_bar() -> None:
    # ISO 10763: S = 340 / 4 = 85 MPa; ln(16 / 12) = 0.2876821; 85 x 0.2876821 = 24.45298 MPa.
    # Fitting 16S: 400 bar x 1.0. The bore yields at 235 / sqrt 3 x (1 - (12.4 / 16)^2), for a wall
    # of 2 mm less 10 %: 135.677 x 0.399375 = 54.1861 MPa; at proof 1.5: 361.24 bar.
    answer = check()
    assert answer.verdict == "allowed-with-cautions"
    assembly = answer.assembly
    assert assembly is not UNSET
    assert assembly.governing == "tube"
    assert assembly.pressure.value == pytest.approx(244.53, abs=0.005)
    assert assembly.margin == pytest.approx(244.53 / 200, abs=1e-4)
    by_hand = {"tube": 244.53, "tube-yield": 361.24, "fitting": 400.0}
    assert {limit.of: limit.pressure.value for limit in assembly.limits} == pytest.approx(
        by_hand, abs=0.005
    )
    (method,) = [limit.method for limit in assembly.limits if limit.of == "tube"]
    assert method == "iso-10763"


def test_the_same_answer_in_inches_and_psi() -> None:
    # 244.530 bar x 14.503774 = 3546.61 psi; 27.5 kN / 4.4482216 N = 6182.24 lbf. The dial is in
    # bar, and stays so.
    units = {"length": "in", "pressure": "psi", "force": "lbf", "temperature": "degF"}
    answer = check({"/answer_in": units})
    target, assembly = told(answer), answer.assembly
    assert assembly is not UNSET
    assert target.dial is not UNSET
    assert (assembly.pressure.unit, target.force.unit) == ("psi", "lbf")
    assert assembly.pressure.value == pytest.approx(3546.61, abs=0.01)
    assert target.force.value == pytest.approx(6182.24, abs=0.01)
    assert (target.dial.stop_at.value, target.dial.stop_at.unit) == (140.0, "bar")


def test_a_question_in_inches_and_psi_is_the_same_question() -> None:
    # 16 mm = 0.62992126 in, within a tenth of a micrometre.
    inches = {
        "/tube/od": {"value": 16 / 25.4, "unit": "in"},
        "/tube/wall": {"value": 2 / 25.4, "unit": "in"},
        "/tube/straight_length": {"value": 60 / 25.4, "unit": "in"},
        "/service/temperature": {"value": 140, "unit": "degF"},
    }
    metric, inch = check(), check(inches)
    assert inch.verdict == metric.verdict
    assert [f.code for f in inch.findings] == [f.code for f in metric.findings]
    assert msgspec.json.encode(inch.target) == msgspec.json.encode(metric.target)


def test_separation_force_and_nut_load_at_6_mm() -> None:
    # 100 bar = 10 N/mm2. Tube: 10 x pi / 4 x 6^2 = 282.74 N. Nut: on the seal diameter of
    # 6 + 1.6 = 7.6 mm, 10 x pi / 4 x 7.6^2 = 453.65 N: (7.6 / 6)^2 = 1.6 times as much.
    answer = check(
        {
            "/tube/od": "6 mm",
            "/tube/wall": "1 mm",
            "/tube/measured_od": "6 mm",
            "/tooling/cone": "cone-S-6",
            "/tooling/plate": "plate-metric-6",
            "/service/working_pressure": "100 bar",
            "/service/peak_pressure": "100 bar",
            # 10.7 kN on 8 cm2 with 0.5 kN back: 11.2 x 12.5 = 140 bar.
            "/press": "press-a",
            "/intended_reading": "140 bar",
        }
    )
    loads = answer.loads
    assert loads is not UNSET
    assert loads.separation_force.value == pytest.approx(0.28274, abs=5e-6)
    assert loads.nut_load.value == pytest.approx(0.45365, abs=5e-6)
    assert loads.nut_load.value / loads.separation_force.value == pytest.approx(1.604, abs=5e-4)
    assert loads.design_factor == 4
    assert loads.separation_force_at_design_factor.value == pytest.approx(1.13097, abs=5e-6)
    assert loads.nut_load_at_design_factor.value == pytest.approx(1.81458, abs=5e-6)


def test_contact_has_a_ceiling_and_no_window() -> None:
    # 5/8 x 0.065 in, flareless: 25.8 kN expected, ceiling 33.5 kN; press-b: 26.8 x 5 = 134 bar
    # expected, never exceed 34.5 x 5 - 6.5 = 166 bar.
    question = {
        "tube": {
            "od": {"value": 0.625, "unit": "in"},
            "wall": {"value": 0.065, "unit": "in"},
            "material": "j524",
        },
        "fitting": {"series": "flareless", "ring_style": "metal", "ring_material": "carbon-steel"},
    }
    target = told(target_of("press-b", "gauge-b", **question))
    assert target.finish == "at-contact"
    assert target.dial is UNSET
    assert target.expected_reading is not UNSET
    assert target.never_exceed is not UNSET
    assert target.expected_reading.value == pytest.approx(134.0)
    assert target.never_exceed.value == pytest.approx(166.0)


def test_a_target_without_press_and_gauge_is_a_force_alone() -> None:
    answer = press_target(shipped_with(), msgspec.convert(SIZE_16S, PressTargetQuestion))
    target = told(answer)
    assert target.force.value == 27.5
    assert target.ceiling.value == 34.3
    assert target.dial is UNSET
    assert target.never_exceed is UNSET
