"""An answer as a fitter reads it: verdict, numbers, findings, remedies, working.

A step of the working is its formula, the same with its numbers, and the result.
"""

import re
from typing import Any, Final

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

Quantity = dict[str, Any]

_FUNCTIONS: Final = frozenset({"ln", "min", "sqrt", "exp", "tan"})
_WORDS: Final = _FUNCTIONS | {"x", "pi", "at", "least", "rounded", "up"}
"""Words that may stand in a formula and are no names of inputs."""

_STYLE: Final = {
    "allowed": "bold green",
    "allowed-with-cautions": "bold yellow",
    "undetermined": "bold magenta",
    "rejected": "bold red",
}
_MARK: Final = {
    "reject": ("NO", "bold red"),
    "unknown": ("?", "bold magenta"),
    "caution": ("!", "yellow"),
    "note": ("i", "dim"),
}


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


def tell_answer(console: Console, answer: Any) -> None:
    """Print one answer of any kind."""
    if "verdict" not in answer:
        _tell_problem(console, answer)
        return
    console.print(Text("verdict: ").append(answer["verdict"], _STYLE[answer["verdict"]]))
    if "items" in answer:
        before: set[str] = set()
        for item in answer["items"]:
            _tell_item(console, item, before)
        console.print("\nof the tables, for every line:")
        _tell_findings(console, answer["findings"], before)
        return
    console.print(f"  {answer['headline']}", style="bold")
    _tell_target(console, answer.get("target"))
    _tell_assembly(console, answer)
    for rating in answer.get("ratings", ()):
        governs = "   governs" if rating["method"] == answer.get("governing") else ""
        console.print(f"  {rating['method']:<18} {told(rating['pressure'])}{governs}")
    if "steps" in answer:
        steps = ",  ".join(f"{step['id']} {step['state']}" for step in answer["steps"])
        _tell_behind(console, "steps:", steps)
    if answer.get("next_fields"):
        _tell_behind(console, "still to state:", ", ".join(answer["next_fields"]))
    _tell_findings(console, answer["findings"], set())
    if "working" in answer:
        console.print("  working:")
        for step in answer["working"]:
            console.print(f"    {step['name']}")
            console.print(Padding(Text(step_line(step), "dim"), (0, 0, 0, 6)))


def tell_vocabulary(console: Console, answer: Any) -> None:
    """Print how much the vocabulary holds."""
    console.print(f"  revision {answer['revision']}, rules {answer['rules']}")
    console.print(f"  {len(answer['codes'])} codes, {len(answer['enums'])} closed lists")


def _tell_problem(console: Console, problem: Any) -> None:
    console.print(Text("problem: ").append(f"{problem['title']}", "bold red"))
    console.print(f"  {problem['detail']}")
    for error in problem.get("errors", ()):
        console.print(f"  {error['pointer']}: {error['detail']}")


def _tell_item(console: Console, item: Any, before: set[str]) -> None:
    line = Text(f"\n{item.get('client_ref', 'item')}: ")
    console.print(line.append(item["verdict"], _STYLE[item["verdict"]]))
    console.print(f"  {item['headline']}", style="bold")
    parts = [f"{name} {item[name]}" for name in ("cone", "plate", "ring", "insert") if name in item]
    if parts:
        console.print("  " + ", ".join(parts))
    if "pairs" in item:
        pairs = ", ".join(f"{pair['press']} with {pair['gauge']}" for pair in item["pairs"])
        _tell_behind(console, "can do it, best first:", pairs)
    if "target" in item and "pairs" in item:
        console.print(f"  on {item['pairs'][0]['press']} with {item['pairs'][0]['gauge']}:")
        _tell_target(console, item["target"])
    _tell_assembly(console, item)
    _tell_findings(console, item["findings"], before)


def _tell_target(console: Console, target: Any) -> None:
    if target is None:
        return
    band = target["force_band"]
    console.print(
        f"  force {told(target['force'])} ({told(band['low'])} to {told(band['high'])}), "
        f"finish {target['finish']}, insert {target['insert']}"
    )
    if "dial" in target:
        dial = target["dial"]
        console.print(f"  STOP AT {told(dial['stop_at'])}", style="bold")
        console.print(f"  window {told(dial['low'])} to {told(dial['high'])}")
    if "expected_reading" in target:
        console.print("  press until the nut meets the cone", style="bold")
        console.print(f"  expected at about {told(target['expected_reading'])}")
    if "never_exceed" in target:
        console.print(f"  NEVER EXCEED {told(target['never_exceed'])}", style="bold")


def _tell_assembly(console: Console, answer: Any) -> None:
    rating = answer.get("assembly")
    if rating is not None:
        console.print(
            f"  carries {told(rating['pressure'])}, {rating['governing']} governs, "
            f"{rating['margin']:.3g} x the pressure of {told(rating['counted_pressure'])}"
        )
    loads = answer.get("loads")
    if loads is not None:
        console.print(
            f"  separation force {told(loads['separation_force'])}, "
            f"nut load {told(loads['nut_load'])}"
        )


def _tell_findings(console: Console, findings: Any, before: set[str]) -> None:
    """Print findings; those whose words were told `before` are only named."""
    again = []
    for finding in findings:
        words = f"{finding['code']}: {finding['message']}"
        if words in before:
            again.append(finding["code"])
            continue
        before.add(words)
        mark, style = _MARK[finding["severity"]]
        remedies = (finding["remedy"],) if "remedy" in finding else ()
        _tell_behind(console, Text(f"{mark:<2}", style), words, *remedies)
    if again:
        _tell_behind(console, Text("! ", "yellow"), f"as above: {', '.join(again)}")


def _tell_behind(console: Console, head: str | Text, *lines: str) -> None:
    """Print lines behind a head, so that what is wrapped stays behind it too."""
    grid = Table.grid(padding=(0, 1))
    grid.add_column(no_wrap=True)
    grid.add_column()
    for number, line in enumerate(lines):
        grid.add_row(head if number == 0 else "", Text(line, "" if number == 0 else "dim"))
    console.print(Padding(grid, (0, 0, 0, 2)))
