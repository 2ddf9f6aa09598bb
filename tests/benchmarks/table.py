"""Figures of a benchmark: every round's, told as median and quartiles beside what is wanted."""

import argparse
import statistics
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import msgspec

Figures = dict[str, list[float]]
"""Figure of every round, by name."""
OURS: Final = "this tree"
OTHER: Final = "other tree"
Wanted = Mapping[str, tuple[float, float]]
"""First step and aim of a figure."""


class Options(argparse.Namespace):
    """How a benchmark is run."""

    quick: bool
    json: Path | None
    tree: Path | None


def options_of(arguments: Sequence[str], about: str | None) -> Options:
    """Options of a command line."""
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--quick", action="store_true", help="few rounds, to find what is broken")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write every round's figures")
    parser.add_argument("--tree", type=Path, help="measure the program of this tree too, in turns")
    return parser.parse_args(arguments, Options())


def add(figures: Figures, noted: Mapping[str, float]) -> None:
    """Add what one round says."""
    for name, value in noted.items():
        figures.setdefault(name, []).append(value)


def median(figures: Figures) -> dict[str, float]:
    """Median of each figure."""
    return {name: statistics.median(each) for name, each in figures.items()}


def show(trees: Mapping[str, Figures], wanted: Wanted, file: Path | None) -> None:
    """Print the figures of each tree side by side, and write them."""
    print(f"{'median (quartiles)':<32}" + "".join(f"{tree:>28}" for tree in trees), end="")
    print(f"{'first step':>12}{'aim':>9}")
    ours, *_ = trees.values()
    for name in ours:
        told = "".join(f"{_spread(each.get(name, [])):>28}" for each in trees.values())
        first, aim = (f"{n:,g}" for n in wanted[name]) if name in wanted else ("", "")
        print(f"{name:<32}{told}{first:>12}{aim:>9}")
    if file is not None:
        file.write_bytes(msgspec.json.format(msgspec.json.encode(_written(trees, wanted))))


def _written(trees: Mapping[str, Figures], wanted: Wanted) -> dict[str, Any]:
    return {
        "wanted": wanted,
        "medians": {tree: median(figures) for tree, figures in trees.items()},
        "rounds": trees,
    }


def _quartiles(values: list[float]) -> list[float]:
    return statistics.quantiles(values, n=4, method="inclusive")


def _spread(values: list[float]) -> str:
    if not values:
        return "-"
    low, middle, high = values * 3 if len(values) == 1 else _quartiles(values)
    return f"{_number(middle)} ({_number(low)}-{_number(high)})"


def _number(value: float) -> str:
    return f"{value:,.0f}" if value >= 1000 else f"{value:.3g}" if value >= 100 else f"{value:.2f}"
