"""An answer as a fitter reads it: verdict, numbers, findings, remedies, working."""

from typing import Any, Final

from rich.console import Console
from rich.table import Table
from rich.text import Text

_STYLE: Final = {
    "allowed": "bold green",
    "allowed-with-cautions": "bold yellow",
    "undetermined": "bold magenta",
    "rejected": "bold red",
}
_MARK: Final = {"reject": "NO ", "unknown": "?  ", "caution": "!  ", "note": "i  "}


def tell_answer(console: Console, answer: Any) -> None:
    """Print one answer of any kind."""
    if "verdict" not in answer:
        _tell_problem(console, answer)
        return
    console.print(Text("verdict: ").append(answer["verdict"], _STYLE[answer["verdict"]]))
    if "items" in answer:
        for item in answer["items"]:
            _tell_item(console, item)
        console.print("\nworking of the first line, the others have theirs too:")
        _tell_working(console, answer["items"][0]["working"])
        return
    _tell_target(console, answer.get("target"))
    _tell_assembly(console, answer)
    for rating in answer.get("ratings", ()):
        governs = "   governs" if rating["method"] == answer.get("governing") else ""
        console.print(f"  {rating['method']:<18} {told(rating['pressure'])}{governs}")
    if "steps" in answer:
        steps = "  ".join(f"{step['id']} {step['state']}" for step in answer["steps"])
        console.print(f"  steps: {steps}")
    if answer.get("next_fields"):
        console.print(f"  still to state: {', '.join(answer['next_fields'])}")
    _tell_findings(console, answer["findings"])
    _tell_working(console, answer["working"])


def told(quantity: dict[str, Any]) -> str:
    """Number with its unit.

    >>> told({"value": 142.5, "unit": "bar"})
    '142.5 bar'
    """
    number = f"{quantity['value']:.6g}"
    return number if quantity["unit"] == "1" else f"{number} {quantity['unit']}"


def _tell_problem(console: Console, problem: Any) -> None:
    console.print(f"problem {problem['status']}: {problem['title']}: {problem['detail']}")
    for error in problem.get("errors", ()):
        console.print(f"  {error['pointer']}: {error['detail']}")


def _tell_item(console: Console, item: Any) -> None:
    line = Text(f"\n{item.get('client_ref', 'item')}: ")
    console.print(line.append(item["verdict"], _STYLE[item["verdict"]]))
    parts = [f"{name} {item[name]}" for name in ("cone", "plate", "ring", "insert") if name in item]
    if parts:
        console.print("  " + ", ".join(parts))
    if item["pairs"]:
        pairs = ", ".join(f"{pair['press']} with {pair['gauge']}" for pair in item["pairs"])
        console.print(f"  can do it, best first: {pairs}")
    for pair in item["excluded"]:
        codes = ", ".join(pair["codes"])
        console.print(f"  cannot: {pair['press']} with {pair['gauge']} ({codes})", style="dim")
    _tell_target(console, item.get("target"))
    _tell_assembly(console, item)
    _tell_findings(console, item["findings"])


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
        console.print("  press until the gap between nut and cone closes", style="bold")
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


def _tell_findings(console: Console, findings: Any) -> None:
    for finding in findings:
        line = Text(f"  {_MARK[finding['severity']]}{finding['code']}: {finding['message']}")
        console.print(line)
        console.print(Text(f"       {finding['remedy']}", "dim"))


def _tell_working(console: Console, steps: Any) -> None:
    if not steps:
        return
    table = Table(box=None, padding=(0, 1), show_header=False)
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    table.add_column(no_wrap=True)
    for step in steps:
        inputs = ", ".join(f"{name} = {told(each)}" for name, each in step["inputs"].items())
        line = f"{step['formula']}; {inputs}  [{step['source']}, {step['grade']}]"
        table.add_row(step["name"], Text(line), told(step["result"]))
    console.print("  working:")
    console.print(table)
