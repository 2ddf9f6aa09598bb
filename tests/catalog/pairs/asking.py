"""The three questions that a setup is asked by, and an answer as it is sent."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final, NamedTuple

import msgspec

from catalog.answers.picking import picked
from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.index import Index
from catalog.questions import AnswerUnits, PickItem, PressTargetQuestion, SetupCheckQuestion
from tests.catalog.pairs.change import OUT, Change, with_standing
from tests.catalog.pairs.setups import Facts, Sound, nested
from tests.catalog.synthetic import in_full

Ask = Callable[[Index, Mapping[str, Any]], Any]


def _check(index: Index, facts: Mapping[str, Any]) -> Any:
    return setup_check(index, in_full(nested(facts), SetupCheckQuestion))


def _target(index: Index, facts: Mapping[str, Any]) -> Any:
    return press_target(index, in_full(nested(facts), PressTargetQuestion))


def _pick(index: Index, facts: Mapping[str, Any]) -> Any:
    return picked(index, msgspec.convert(nested(facts), PickItem), AnswerUnits())


class Form(NamedTuple):
    """A kind of question, and the fields of a setup that it has."""

    name: str
    ask: Ask
    fields: tuple[str, ...]
    not_asked: frozenset[str] = frozenset()

    def has(self, pointer: str) -> bool:
        return pointer.startswith(self.fields) and pointer not in self.not_asked

    def facts(self, facts: Facts) -> dict[str, Any]:
        return {at: value for at, value in facts.items() if self.has(at)}


FORMS: Final = (
    Form("setup check", _check, ("/",)),
    Form(
        "press target",
        _target,
        ("/tube/", "/fitting/", "/press", "/gauge", "/on", "/tool_state/"),
    ),
    Form("tooling pick", _pick, ("/tube/", "/fitting/", "/service/")),
)


class Answered(NamedTuple):
    """An answer as it is sent, and the question with the changes in it."""

    verdict: str
    findings: tuple[Any, ...]
    builtins: Any
    facts: Facts

    @property
    def codes(self) -> set[str]:
        return {finding.code for finding in self.findings}


def changed_facts(form: Form, sound: Sound, changes: Iterable[Change]) -> dict[str, Any]:
    facts = form.facts(sound.facts)
    for change in changes:
        facts.update({at: value for at, value in change.set.items() if form.has(at)})
    return {at: value for at, value in facts.items() if value != OUT}


def answered(form: Form, sound: Sound, *changes: Change) -> Answered:
    facts = changed_facts(form, sound, changes)
    answer = form.ask(with_standing(sound.index, *changes), facts)
    return Answered(answer.verdict, answer.findings, msgspec.to_builtins(answer), facts)
