"""What is remembered by row is let go, all of it, and changes no answer."""

import gc
from importlib.resources import files

import msgspec

from catalog.answers.press_target import press_target
from catalog.answers.remembered import forget
from catalog.answers.setup_check import setup_check
from catalog.answers.tooling_pick import tooling_pick
from catalog.compiling import compile_revision
from catalog.index import Index
from catalog.questions import PressTargetQuestion, SetupCheckQuestion, ToolingPickQuestion
from catalog.rows import Row
from catalog.seed import revision_from_folder
from tests.catalog.synthetic import CONTROL, shipped_with

END = {name: CONTROL[name] for name in ("tube", "fitting")}
TARGET = msgspec.convert({**END, "press": "press-b", "gauge": "gauge-b"}, PressTargetQuestion)
SETUP = msgspec.convert(CONTROL, SetupCheckQuestion)
PICK = msgspec.convert({"items": [END]}, ToolingPickQuestion)


def answers(index: Index) -> bytes:
    told = [press_target(index, TARGET), setup_check(index, SETUP), tooling_pick(index, PICK)]
    return msgspec.json.encode(told)


def rows_alive() -> int:
    """Rows that the collector follows: those that an answer has read by name, for one."""
    gc.collect()
    return sum(isinstance(each, Row) for each in gc.get_objects())


def test_answers_are_the_same_before_and_after() -> None:
    forget()
    first = answers(shipped_with())
    assert answers(shipped_with()) == first
    forget()
    assert answers(shipped_with()) == first


def test_rows_of_a_replaced_revision_are_freed() -> None:
    answers(shipped_with())
    forget()
    before = rows_alive()
    index = compile_revision(revision_from_folder(files("catalog") / "tables"))
    assert answers(index) == answers(shipped_with())
    del index
    # Rows that were pressed by are still held: that is what there is to let go.
    assert rows_alive() > before
    forget()
    assert rows_alive() == before
