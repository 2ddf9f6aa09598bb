"""A step of the working in one line: numbers stand where the formula has names, or beside it."""

from typing import Any

import pytest

from catalog.formulas import FORMULAS
from service.demo.telling import step_line, told, with_numbers


def quantities(**values: tuple[float, str]) -> dict[str, Any]:
    return {name: {"value": value, "unit": unit} for name, (value, unit) in values.items()}


FORCE = quantities(F=(27.5, "kN"), F_return=(1, "kN"), A=(20, "cm2"))


@pytest.mark.parametrize(
    ("formula", "inputs", "expected"),
    [
        ("p = (F + F_return) / A", FORCE, "(27.5 kN + 1 kN) / 20 cm2"),
        ("V = A s", quantities(A=(20, "cm2"), s=(30, "mm")), "20 cm2 x 30 mm"),
        ("d = D - 2 t", quantities(D=(16, "mm"), t=(2, "mm")), "16 mm - 2 x 2 mm"),
        (
            "t = t_nominal (1 - u / 100) - c",
            quantities(t_nominal=(2, "mm"), u=(10, "percent"), c=(0, "mm")),
            "2 mm x (1 - 10 / 100) - 0 mm",
        ),
        (
            "F = p pi D_seal^2 / 4",
            quantities(p=(200, "bar"), D_seal=(17.6, "mm")),
            "200 bar x pi x (17.6 mm)^2 / 4",
        ),
        (
            "p = p_yield / proof factor",
            {**quantities(p_yield=(541.861, "bar")), "proof factor": {"value": 1.5, "unit": "1"}},
            "541.861 bar / 1.5",
        ),
        (
            "n = V / V_pump, rounded up",
            quantities(V=(60, "cm3"), V_pump=(2, "cm3")),
            "60 cm3 / 2 cm3, rounded up",
        ),
    ],
)
def test_numbers_stand_where_the_names_stood(
    formula: str, inputs: dict[str, Any], expected: str
) -> None:
    assert with_numbers(formula, inputs) == expected


@pytest.mark.parametrize(
    ("formula", "inputs"),
    [
        # d is worked out elsewhere
        ("p = S ln(D / d)", quantities(S=(85, "MPa"), D=(16, "mm"), t=(2, "mm"))),
        # an input that the formula does not name would be lost
        ("p = F / A", FORCE),
        ("highest mark in the window at or below nominal", quantities(p=(142.5, "bar"))),
        ("p = 2 S t / (D - 2 F t), F = 0.4 for t / D <= 1/6", quantities(S=(85, "MPa"))),
        ("p_low <= n x graduation <= p_high, n = 1, 2", quantities(graduation=(5, "bar"))),
    ],
)
def test_a_formula_that_does_not_match_its_inputs_is_left_alone(
    formula: str, inputs: dict[str, Any]
) -> None:
    assert with_numbers(formula, inputs) is None
    step = {"formula": formula, "inputs": inputs, "source": "s", "grade": "memory"}
    line = step_line({**step, "result": {"value": 1, "unit": "bar"}})
    assert line.startswith(f"{formula}   with ")
    assert line.endswith(": 1 bar   [s, memory]")
    for name, each in inputs.items():
        assert f"{name} = {told(each)}" in line


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.text)
def test_no_formula_of_the_catalog_trips_it(formula: Any) -> None:
    assert with_numbers(formula.text, {}) is None or "=" not in formula.text.split(" = ")[1]


def test_a_negative_number_is_bracketed() -> None:
    assert with_numbers("y = a - b", quantities(a=(1, "degC"), b=(-40, "degC"))) == (
        "1 degC - (-40 degC)"
    )
