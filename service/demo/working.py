"""A step of the working as a fitter writes it: formula, the same with its numbers, result."""

import re
from typing import Any, Final

Quantity = dict[str, Any]

_FUNCTIONS: Final = frozenset({"ln", "min", "sqrt", "exp", "tan"})
_WORDS: Final = _FUNCTIONS | {"x", "pi", "at", "least", "rounded", "up"}
"""Words that may stand in a formula and are no names of inputs."""


def told(quantity: Quantity) -> str:
    """Number with its unit.

    >>> told({"value": 142.5, "unit": "bar"})
    '142.5 bar'
    >>> told({"value": 8, "unit": "percent"})
    '8 %'
    """
    number = f"{quantity['value']:.6g}"
    if quantity["unit"] == "1":
        return number
    return f"{number} {'%' if quantity['unit'] == 'percent' else quantity['unit']}"


def step_line(step: dict[str, Any]) -> str:
    """Formula, numbers and result of a step in one line, with its source and the grade of that.

    >>> step_line({"formula": "p = F / A", "source": "mechanics", "grade": "common-practice",
    ...            "inputs": {"F": {"value": 20, "unit": "kN"}, "A": {"value": 10, "unit": "cm2"}},
    ...            "result": {"value": 200, "unit": "bar"}})
    'p = F / A = 20 kN / 10 cm2 = 200 bar   [mechanics, common-practice]'
    """
    middle = with_numbers(step["formula"], step["inputs"])
    if middle is None:
        listed = ", ".join(f"{name} = {told(each)}" for name, each in step["inputs"].items())
        middle = f"   with {listed}:"
    else:
        middle = f" = {middle} ="
    basis = f"[{step['source']}, {step['grade']}]"
    return f"{step['formula']}{middle} {told(step['result'])}   {basis}"


def with_numbers(formula: str, inputs: dict[str, Quantity]) -> str | None:
    """Right-hand side with numbers for names, None where the two do not match one to one.

    >>> with_numbers("F = p pi D^2 / 4", {"p": {"value": 200, "unit": "bar"},
    ...                                   "D": {"value": 16, "unit": "mm"}})
    '200 bar x pi x (16 mm)^2 / 4'
    """
    left, _, right = formula.partition(" = ")
    if not re.fullmatch(r"\w+(, \w+)*", left) or "=" in right:
        return None
    names = "".join(f"{re.escape(name)}|" for name in sorted(inputs, key=len, reverse=True))
    parts = list(re.finditer(rf"(?<!\w)(?:{names}[^\W\d]\w*|[0-9.]+)(?!\w)|\S", right))
    words = {part[0] for part in parts if part[0][0].isalpha()}
    if not set(inputs) <= words or not words <= set(inputs) | _WORDS:
        return None
    return _joined(right, parts, inputs)


def _joined(right: str, parts: list[re.Match[str]], inputs: dict[str, Quantity]) -> str:
    """Parts with their numbers; a product that is only written side by side gets its `x`."""
    text, end, multiplies = "", 0, False
    for part in parts:
        what = part[0]
        value = what in inputs or what == "pi" or what[0].isdigit()
        gap = right[end : part.start()]
        if multiplies and gap and (value or what == "(" or what in _FUNCTIONS):
            gap = " x "
        powered = right[part.end() : part.end() + 1] == "^"
        text += gap + (_number(inputs[what], powered=powered) if what in inputs else what)
        end, multiplies = part.end(), value or what == ")"
    return text


def _number(quantity: Quantity, *, powered: bool) -> str:
    # Formulas divide percents by 100 themselves.
    text = f"{quantity['value']:.6g}" if quantity["unit"] == "percent" else told(quantity)
    return f"({text})" if text.startswith("-") or (powered and " " in text) else text
