"""`demo`: the callers' questions asked over HTTP, told so that a fitter can read them."""

import json
import re
import shlex
import socket
from contextlib import suppress

import httpx
import pytest

from service.demo.examples import examples
from service.demo.running import HOST, PORT
from service.safety import SAFETY
from tests.service.commands import interrupt, line_with, run, running

pytestmark = pytest.mark.apart


@pytest.fixture(scope="module")
def told() -> str:
    ended = run("demo", "--once", code=0)
    assert ended.stderr == ""
    return ended.stdout


def test_once_tells_every_example_and_ends_well(told: str) -> None:
    for example in examples().values():
        assert f" {example.caller}: {example.name} " in told
        assert f"asks: {example.question}" in _flat(told)
    assert f"{len(examples())} questions and one publication over HTTP, 0 not as expected" in told
    assert "NOT AS EXPECTED" not in told


def test_the_bench_reads_its_numbers_findings_and_working(told: str) -> None:
    bench = _flat(told.split(" bench: a press target ")[1].split(" bench: a gauge ")[0])
    assert "verdict: allowed-with-cautions" in bench
    # 16S x 2 on press-b with gauge-b, worked by hand in the example.
    assert "STOP AT 140 bar" in bench
    assert "window 138 bar to 147 bar" in bench
    assert "NEVER EXCEED 170 bar" in bench
    assert "data.demonstration: rests on rows invented for the demonstration" in bench
    assert "load your own tables first" in bench
    full = _flat(told.split(" bench: a press target in full detail ")[1])
    assert (
        "gauge reading p = (F + F_return) / A = (27.5 kN + 1 kN) / 20 cm2 = 142.5 bar"
        " [mechanics, common-practice]"
    ) in full


def test_a_rejected_setup_is_told_no_mark_to_stop_at(told: str) -> None:
    wrong = told.split(" a setup with faults ")[1].split(" bench: ")[0]
    assert "verdict: rejected" in wrong
    assert "NO preparation.ring-reversed" in wrong
    assert "STOP AT" not in wrong


def test_the_demonstration_says_first_and_last_that_it_is_one(told: str) -> None:
    assert told.startswith("DEMONSTRATION: ")
    assert told.count("Do not press a real tube by these numbers.") == 2
    for line in SAFETY:
        assert _flat(told).count(line) == 2


def test_it_is_plain_and_narrow_where_nobody_looks(told: str) -> None:
    assert "\x1b" not in told
    assert max(map(len, told.splitlines())) <= 100


def test_a_console_without_all_letters_is_told_what_it_can_show() -> None:
    ended = run("demo", "--once", code=0, PYTHONIOENCODING="ascii")
    assert ended.stderr == ""
    assert "STOP AT 140 bar" in ended.stdout
    assert "?????" not in ended.stdout


def test_it_keeps_serving_what_it_says_until_interrupted() -> None:
    with running("demo") as process:
        curl = shlex.split(line_with(process, "curl -s "))
        said = line_with(process, "serving at ")
        body = curl[curl.index("-d") + 1]
        assert curl[2].startswith(said.split()[2])
        assert curl[curl.index("-H") + 1] == "Content-Type: application/json"
        answer = httpx.post(curl[2], json=json.loads(body)).json()
        assert answer["target"]["dial"]["stop_at"] == {"value": 140.0, "unit": "bar"}
        code, said, complained = interrupt(process)
    assert (code, complained) == (0, "")
    assert said.strip() == "ended"


def test_a_port_that_is_taken_is_no_end_and_said_loudly() -> None:
    with socket.socket() as taken:
        # Where something else has the port already, it is taken just as well.
        with suppress(OSError):
            taken.bind((HOST, PORT))
            taken.listen()
        with running("demo") as process:
            loud = line_with(process, "THIS IS PORT ")
            base = line_with(process, "answering at ").split()[2]
            assert httpx.get(f"{base}/health/live").json() == {"live": True}
    port = base.rpartition(":")[2]
    assert port != str(PORT)
    assert loud == f"THIS IS PORT {port}, NOT 8080: put {port} into the requests of the README"


def test_an_interrupt_amid_the_questions_ends_it_too() -> None:
    with running("demo", "--once") as process:
        line_with(process, "DEMONSTRATION")
        code, said, complained = interrupt(process)
    assert code == 130
    assert complained == ""
    assert "ended before every question was answered" in said


def _flat(text: str) -> str:
    """Text without its line breaks and indents."""
    return re.sub(r"\s+", " ", text)
