"""Every formula stands once beside its function, is listed, and its docstring is complete."""

import ast
import doctest
import importlib
import inspect
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from types import FunctionType

import pytest

import catalog.calc
from catalog.calc.formula import Formula
from catalog.calc.formulas import FORMULAS

FOLDER = Path(catalog.calc.__file__).parent
NO_FORMULAS = {"__init__", "formula", "formulas", "refusals"}
MODULES = sorted(path.stem for path in FOLDER.glob("*.py") if path.stem not in NO_FORMULAS)
SOURCES = {
    "barlow",
    "boardman",
    "lame",
    "iso-10763",
    "din-2413-1972",
    "din-2413-1993",
    "asme-b31.3",
    "mechanics",
    "guard-band",
    "gauge-overload-memory",
    "en-837-1",
}
SECTION = re.compile(r"^(Parameters|Returns|Raises|Source|Examples)\n-+\n", re.MULTILINE)


def public_functions() -> Iterator[tuple[FunctionType, Formula | None]]:
    """Yield each public function with the Formula that is assigned directly above it."""
    for name in MODULES:
        module = importlib.import_module(f"catalog.calc.{name}")
        above: ast.stmt | None = None
        for node in ast.parse((FOLDER / f"{name}.py").read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                formula = None
                if isinstance(above, ast.Assign) and isinstance(above.targets[0], ast.Name):
                    formula = getattr(module, above.targets[0].id)
                yield getattr(module, node.name), formula if isinstance(formula, Formula) else None
            above = node


FUNCTIONS = list(public_functions())
every_function = pytest.mark.parametrize(
    ("function", "formula"), FUNCTIONS, ids=[function.__name__ for function, _ in FUNCTIONS]
)


def sections(function: FunctionType) -> dict[str, str]:
    parts = SECTION.split(inspect.getdoc(function) or "")
    return {"Summary": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def test_the_list_is_complete_and_each_formula_stands_once() -> None:
    found = [
        value
        for name in MODULES
        for value in vars(importlib.import_module(f"catalog.calc.{name}")).values()
        if isinstance(value, Formula)
    ]
    assert len(found) > 30
    assert sorted(f.id for f in found) == sorted(f.id for f in FORMULAS)
    assert {id(f) for f in found} == {id(f) for f in FORMULAS}


def test_ids_are_unique_and_plain() -> None:
    ids = [formula.id for formula in FORMULAS]
    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r"[a-z][a-z0-9.-]*[a-z0-9]", text) for text in ids)
    assert all(formula.name and formula.text for formula in FORMULAS)


def test_sources_are_the_known_ones_and_each_is_used() -> None:
    assert {formula.source for formula in FORMULAS} == SOURCES


@every_function
def test_its_formula_stands_directly_above(function: FunctionType, formula: Formula | None) -> None:
    assert formula is not None, f"{function.__name__} has no Formula directly above it"
    assert sections(function)["Source"].strip() == formula.source


def test_no_formula_is_shared_by_two_functions() -> None:
    assert len(FUNCTIONS) == len(FORMULAS)


@every_function
def test_the_docstring_names_a_unit_for_each_argument(
    function: FunctionType, formula: Formula | None
) -> None:
    parts = sections(function)
    assert list(parts) == ["Summary", "Parameters", "Returns", "Raises", "Source", "Examples"]
    assert len(parts["Summary"].strip().splitlines()) == 1

    described = re.findall(r"^\*?(\w+) : .+\n((?:    .+\n?)+)", parts["Parameters"], re.MULTILINE)
    assert [name for name, _ in described] == list(inspect.signature(function).parameters)
    for name, text in [*described, ("return", parts["Returns"])]:
        assert re.search(r"\[[^\]]+\]", text), f"{function.__name__}: {name} has no unit"
    assert parts["Raises"].startswith("ValueError\n")


# The end of a name is its unit, and the docstring must say the same.
ENDINGS = {
    "kg_m3": "kg/m3",
    "kg_m": "kg/m",
    "mpa": "MPa",
    "mm2": "mm2",
    "mm3": "mm3",
    "mm": "mm",
    "kn": "kN",
    "deg": "deg",
    "percent": "%",
    "pa": "Pa",
}


@every_function
def test_names_and_docstrings_agree_on_the_unit(
    function: FunctionType, formula: Formula | None
) -> None:
    parts = sections(function)
    described = re.findall(r"^\*?(\w+) : .+\n((?:    .+\n?)+)", parts["Parameters"], re.MULTILINE)
    for name, text in [*described, (function.__name__, parts["Returns"])]:
        for ending, unit in ENDINGS.items():
            if name.endswith(f"_{ending}"):
                assert f"[{unit}]" in text, f"{function.__name__}: {name} is not in [{unit}]"
                break


@every_function
def test_one_doctest(function: FunctionType, formula: Formula | None) -> None:
    examples = doctest.DocTestParser().get_examples(inspect.getdoc(function) or "")
    assert len(examples) == 1
    assert function.__name__ in examples[0].source


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.py")), ids=lambda path: path.stem)
def test_imports_only_the_standard_library_and_msgspec(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = [node.module or ""]
        for name in names:
            known = name.split(".")[0] in sys.stdlib_module_names | {"msgspec"}
            assert known or name.startswith(("catalog.calc", "catalog.terms")), name
