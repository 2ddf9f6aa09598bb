"""A benchmark that is twice as bad as recorded fails, whichever it is."""

import math
from types import ModuleType

import pytest

from tests.benchmarks import publishing, served, slips
from tests.benchmarks.recorded import beyond

BENCHMARKS = [publishing, served, slips]


@pytest.mark.parametrize("benchmark", BENCHMARKS)
def test_a_benchmark_as_it_was_recorded_passes(
    benchmark: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(benchmark, "measure", lambda: benchmark.RECORDED)
    assert len(benchmark.RECORDED) > 2
    assert benchmark.main() == 0


@pytest.mark.parametrize("benchmark", BENCHMARKS)
def test_each_of_its_figures_can_fail_a_benchmark(
    benchmark: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, usual in benchmark.RECORDED.items():
        measured = {**benchmark.RECORDED, name: 2.01 * usual}
        monkeypatch.setattr(benchmark, "measure", lambda measured=measured: measured)
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
    begun: dict[str, list[float]] = {
        served.OURS: [9, 3, 3, 0.3, 3, 3],
        served.ECHO: [90, 1, 1, 1, 1, 90],
    }

    def started(app: str, **_: str) -> tuple[float, float]:
        return begun[app].pop(0), 50.0

    monkeypatch.setattr(served, "started", started)
    assert served.start_ratios() == {"ready, processor time": 3.0, "ready, resident": 1.0}
    assert begun == {served.OURS: [], served.ECHO: []}


def test_what_was_not_measured_fails() -> None:
    assert beyond({"a": math.nan}, {"a": 1.0})
    assert beyond({}, {"a": 1.0}) == ["a: recorded, and not measured"]
    assert beyond({"a": 1.0}, {}) == ["a: measured, and not recorded"]
