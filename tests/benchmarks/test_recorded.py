"""A benchmark that is twice as bad as recorded fails, whichever it is."""

import math
from pathlib import Path
from types import ModuleType
from typing import Any

import msgspec
import pytest

from catalog.answers.press_target import press_target
from catalog.questions import PressTargetQuestion, Received
from catalog.seed import shipped_revision
from tests.benchmarks import growth, mixes, publishing, served, slips
from tests.benchmarks.recorded import beyond
from tests.benchmarks.table import OURS, median

BENCHMARKS = [growth, publishing, served, slips]


@pytest.mark.parametrize("benchmark", BENCHMARKS)
def test_a_benchmark_as_it_was_recorded_passes(
    benchmark: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(benchmark, "measure", lambda *_: benchmark.RECORDED)
    assert len(benchmark.RECORDED) > 2
    assert benchmark.main() == 0


@pytest.mark.parametrize("benchmark", BENCHMARKS)
def test_each_of_its_figures_can_fail_a_benchmark(
    benchmark: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, usual in benchmark.RECORDED.items():
        measured = {**benchmark.RECORDED, name: 2.01 * usual}
        monkeypatch.setattr(benchmark, "measure", lambda *_, measured=measured: measured)
        assert benchmark.main() == 1
        assert capsys.readouterr().err.startswith(f"BEYOND ITS LIMIT: {name}: ")


def test_a_judgement_that_catches_nothing_fails_by_every_kind_of_slip(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(slips, "doubts_of", lambda *_: ())
    told = {line.partition(":")[0] for line in beyond(slips.measure(), slips.RECORDED)}
    kinds = {name.removesuffix(", for one caught") for name in told}
    assert kinds == set(slips.SLIPS)


def test_a_start_that_is_odd_moves_no_ratio_of_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    begun: dict[Any, list[float]] = {"ours": [9, 3, 3, 0.3, 3, 3], "echo": [90, 1, 1, 1, 1, 90]}
    monkeypatch.setattr(served, "storing", lambda _: "ours")
    monkeypatch.setattr(served, "by_uvicorn", lambda _: "echo")
    monkeypatch.setattr(served, "started", lambda which: (begun[which].pop(0), 50.0))
    figures = served.ready_figures({OURS: Path()})
    medians = median(figures[OURS])
    assert medians["ready, processor time"] == 3.0
    assert medians["ready, resident"] == 1.0
    assert begun == {"ours": [], "echo": []}


@pytest.mark.parametrize("mix", mixes.MIXES, ids=lambda mix: mix.name)
def test_no_body_is_asked_twice(mix: mixes.Mix) -> None:
    bodies = [body for n in range(-1, 3) for body in mix.bodies(n)]
    assert len(set(bodies)) == len(bodies) > 3
    assert mix.bodies(1) == mix.bodies(1)


def test_what_counts_as_never_seen_was_not_asked_before() -> None:
    rounds = range(-1, served.ROUNDS)
    seen = [of for n in rounds for side in (0, 1) for of in mixes.unseen(n, side)]
    assert len({*seen, *mixes.pressed()}) == len(seen) + mixes.PROGRAMME
    rows = {row.ref for (row, _, _), _, _ in seen}
    assert rows == {row.ref for row in shipped_revision().tables["targets"]}


def test_an_answer_that_is_not_the_library_s_ends_the_benchmark() -> None:
    mix = mixes.MIXES[0]
    body = mix.bodies(0)[0]
    question = msgspec.json.decode(body, type=PressTargetQuestion)
    answer = press_target(mixes.index(), question, received=Received(on=mixes.today()))
    served.compare(mix, [body], [msgspec.json.encode(answer)])
    with pytest.raises(RuntimeError, match="not the library's answer"):
        served.compare(mix, [body], [msgspec.json.encode(answer) + b" "])


def test_what_was_not_measured_fails() -> None:
    assert beyond({"a": math.nan}, {"a": 1.0})
    assert beyond({}, {"a": 1.0}) == ["a: recorded, and not measured"]
    assert beyond({"a": 1.0}, {}) == ["a: measured, and not recorded"]
