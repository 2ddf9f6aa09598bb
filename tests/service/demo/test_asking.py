"""A question of the demonstration that is answered late, or never."""

import io
import re
import socket
from collections.abc import Iterator

import pytest
import uvicorn
from rich.console import Console

from service.demo import asking, running
from service.demo.asking import NoAnswerError, send
from service.demo.examples import examples
from service.office import replaying


@pytest.fixture
def silent() -> Iterator[socket.socket]:
    """A service that takes connections and never answers."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen()
        yield listening


def test_it_waits_longer_than_the_service_itself_waits_for_a_report() -> None:
    assert asking.PATIENCE_S > replaying.PATIENCE_S


def test_who_waits_sees_that_it_goes_on_and_is_told_at_last(
    silent: socket.socket, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(asking, "PATIENCE_S", 1)
    monkeypatch.setattr(asking, "REMINDING_S", 0.05)
    said = io.StringIO()
    with pytest.raises(NoAnswerError) as told:
        send(Console(file=said, width=100), silent.getsockname()[1], "POST", "/v1/revisions", {})
    assert said.getvalue().count("still waiting for POST /v1/revisions: ") > 1
    assert str(told.value) == (
        "POST /v1/revisions was not answered within 1 s: "
        "end what else keeps this machine busy, then start again"
    )


def test_a_service_that_is_gone_is_told(silent: socket.socket) -> None:
    port = silent.getsockname()[1]
    silent.close()
    with pytest.raises(NoAnswerError, match=r"GET /v1/active was not answered: .*refused"):
        send(Console(), port, "GET", "/v1/active", None)


def test_an_answer_that_does_not_come_ends_it_with_a_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    right = examples()["50-vocabulary"]
    monkeypatch.setattr(running, "examples", lambda: {"late": right})
    monkeypatch.setattr(asking, "PATIENCE_S", 0.000001)
    assert running.demonstrate(0, once=True) == 1
    told = capsys.readouterr().err
    # A quick service may have answered the first question by then.
    assert re.match(r"GET /v1/(vocabulary|active) was not answered within ", told)
    assert "Traceback" not in told


def test_a_service_that_does_not_start_is_told_at_once(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(uvicorn.Server, "run", lambda *_, **__: None)
    assert running.demonstrate(0, once=True) == 1
    assert capsys.readouterr().err.startswith("the service did not start: ")
