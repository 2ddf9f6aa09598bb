"""Every file that the other tests here have refused is refused by the service too, word for word.

The tests are run once more with their `refused` listened to: what they build is sent as a form.
"""

import importlib
import inspect
import itertools
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any

import pytest

from catalog.loading import BadCell, Limits
from catalog.publishing.shapes import refusal_of_cell
from service.settings import Settings
from tests.publish import office
from tests.service.publishing.shop import Shop, opened, seeded
from tests.service.publishing.tables import small

MODULES = sorted(
    file.stem for file in Path(__file__).parent.glob("test_*.py") if file != Path(__file__)
)
CONVERTED = "test_unit_in_the_wrong_column"
"""What a folder on a disk is refused for and an office is told of: the service converts it."""
LISTENED = [
    name
    for name in MODULES
    if name != CONVERTED and hasattr(importlib.import_module(f"tests.publish.{name}"), "refused")
]
"""Modules about files; the others are about whole tables, which can be read."""
Files = Mapping[str, bytes]
Heard = list[tuple[Files, Limits, list[BadCell]]]


@pytest.fixture(scope="module")
def shops(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[Limits], Shop]]:
    """The shop with these limits of rows and bytes."""
    folder = tmp_path_factory.mktemp("publish") / "store"
    keys = seeded(folder, small())
    served: dict[Limits, tuple[Any, Shop]] = {}

    def serving(limits: Limits) -> Shop:
        if limits not in served:
            settings = Settings(
                access_log=False,
                requests_per_second=0,
                max_rows_a_table=limits.rows_a_table,
                max_upload_bytes=limits.file_bytes,
            )
            context = opened(folder, keys, settings)
            served[limits] = context, context.__enter__()
        return served[limits][1]

    yield serving
    for context, _ in served.values():
        context.__exit__(None, None, None)


@pytest.mark.parametrize("name", LISTENED)
def test_what_is_refused_here_is_refused_over_http(
    name: str, shops: Callable[[Limits], Shop], monkeypatch: pytest.MonkeyPatch
) -> None:
    heard = listened(importlib.import_module(f"tests.publish.{name}"), monkeypatch)
    assert heard, f"{name}: nothing was refused"
    sent = 0
    for files, limits, bad in heard:
        if limits != Limits(rows_a_table=limits.rows_a_table):
            continue  # limits that no setting of the service gives
        sent += 1
        answer = shops(limits).propose(files)
        whole = sum(map(len, files.values()))
        if whole > limits.file_bytes:
            assert answer.status_code == 413, answer.text
            continue
        assert answer.status_code == 422, (list(files), answer.text[:2000])
        wanted = [refusal_of_cell(cell) for cell in bad]
        told = answer.json()["refusals"]
        assert [each["rule"] for each in told] == [each.rule for each in wanted]
        assert told == [{f: getattr(each, f) for f in each.__struct_fields__} for each in wanted]
    assert sent, f"{name}: nothing was sent"


def listened(module: ModuleType, monkeypatch: pytest.MonkeyPatch) -> Heard:
    """What the tests of a module have refused, each with its limits and what was told."""
    heard: Heard = []

    def refused(files: Files, limits: Limits = office.USUAL) -> list[BadCell]:
        bad = office.refused(files, limits)
        heard.append((files, limits, bad))
        return bad

    monkeypatch.setattr(module, "refused", refused)
    for name, test in vars(module).items():
        if name.startswith("test_") and refuses(module, test):
            for values in cases(test):
                test(**values)
    return heard


def refuses(module: ModuleType, function: FunctionType) -> bool:
    """Whether a function of a module may come to `refused`: one that only takes files cannot."""
    names = set(names_in(function.__code__))
    helpers = (vars(module).get(name) for name in names - {function.__name__})
    return "refused" in names or any(
        refuses(module, helper)
        for helper in helpers
        if isinstance(helper, FunctionType) and helper.__module__ == module.__name__
    )


def names_in(code: CodeType) -> Iterator[str]:
    """Names that a piece of code reads, and all that is written inside it."""
    yield from code.co_names
    for each in code.co_consts:
        if isinstance(each, CodeType):
            yield from names_in(each)


def cases(test: Callable[..., None]) -> Iterator[dict[str, Any]]:
    """Arguments of every case of a test, from its own marks."""
    marks = [m for m in getattr(test, "pytestmark", ()) if m.name == "parametrize"]
    tables = []
    for mark in marks:
        names, rows = mark.args[0], mark.args[1]
        columns = [n.strip() for n in names.split(",")] if isinstance(names, str) else list(names)
        tables.append([dict(zip(columns, values(row, columns), strict=True)) for row in rows])
    for parts in itertools.product(*tables):
        made = {name: value for part in parts for name, value in part.items()}
        # A test that asks for more than its marks give cannot be run here, and must not be lost.
        assert set(inspect.signature(test).parameters) == set(made), test
        yield made


def values(row: Any, columns: list[str]) -> tuple[Any, ...]:
    """Values of one case, bare, in a tuple or in a `pytest.param`."""
    if hasattr(row, "values") and hasattr(row, "marks"):
        return tuple(row.values)
    return tuple(row) if len(columns) > 1 else (row,)
