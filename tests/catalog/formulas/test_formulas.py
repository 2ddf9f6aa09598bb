"""What every formula says of itself: its symbols, what they measure, an example by hand."""

import doctest
import importlib
import inspect
import re
from pathlib import Path
from typing import Any

import pytest

import catalog.formulas
from catalog.formulas import FORMULAS
from catalog.formulas.assembly import derated
from catalog.formulas.formula import Formula, Measure
from catalog.quantities import FACTOR

FOLDER = Path(catalog.formulas.__file__).parent
every_formula = pytest.mark.parametrize("formula", FORMULAS, ids=lambda each: each.text)


def test_every_formula_of_the_folder_is_listed_once() -> None:
    rooms = [
        importlib.import_module(f"catalog.formulas.{path.stem}") for path in FOLDER.glob("*.py")
    ]
    found = [each for room in rooms for each in vars(room).values() if isinstance(each, Formula)]
    assert len(found) > 40
    assert sorted(map(id, found)) == sorted(map(id, FORMULAS))
    # By these two an answer says which it is.
    assert len({(each.text, each.source) for each in FORMULAS}) == len(FORMULAS)


@every_formula
def test_every_symbol_has_a_measure_and_stands_in_the_text(formula: Formula[Any]) -> None:
    assert list(formula.of) == list(inspect.signature(formula.run).parameters)
    for symbol, measure in (*formula.of.items(), ("", formula.result)):
        assert isinstance(measure, Measure)
        assert measure.unit in FACTOR
        assert re.search(rf"(?<!\w){symbol.rstrip('_')}(?!\w)", formula.text), symbol


# Results and what a text defines itself, words, and units that a text names.
_FUNCTIONS = {"x", "pi", "ln", "sqrt", "exp", "tan", "min", "n", "mm", "bar", "pascals", "whole"}
_WORDS = {"for", "else", "to", "at", "least", "in", "below", "above", "rounded", "up", "highest"}
NO_INPUTS = _FUNCTIONS | _WORDS | {"lowest", "from", "that", "is", "not", "the"}


@every_formula
def test_every_symbol_of_the_text_is_an_input_or_defined_by_it(formula: Formula[Any]) -> None:
    """A number that the text takes and nobody gives would be missing from every working."""
    defined = set(re.findall(r"(?:^|, )(\w+) = ", formula.text))
    words = set(re.findall(r"[^\W\d]\w*", formula.text))
    assert words - defined - NO_INPUTS <= {symbol.rstrip("_") for symbol in formula.of}


@every_formula
def test_one_sentence_and_one_example(formula: Formula[Any]) -> None:
    text = inspect.getdoc(formula.run) or ""
    (example,) = doctest.DocTestParser().get_examples(text)
    assert f"{formula.run.__name__}(" in example.source
    # Called by its symbols: a formula has many numbers of one unit.
    needed = inspect.signature(formula.run).parameters.values()
    assert all(f"{each.name}=" in example.source for each in needed if each.default is each.empty)


# formula check only
def test_a_derating_near_nothing_is_still_a_factor() -> None:
    # 400 bar at 0.0025 is 1 bar.
    assert derated(p_rated=40.0, factor=0.0025) == pytest.approx(0.1, rel=1e-12)
    assert derated(p_rated=0.004, factor=1.0) == 0.004
