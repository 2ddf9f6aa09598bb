"""`serve`: says where it serves, ends on Ctrl-C, says why it does not start."""

import socket

import httpx
import pytest

from tests.service.commands import interrupt, line_with, run, running

pytestmark = pytest.mark.apart


def test_it_serves_where_it_says_and_ends_cleanly() -> None:
    with running("serve", "--port", "0") as process:
        said = line_with(process, "serving at ")
        base = said.split()[2].rstrip(",")
        assert httpx.get(f"{base}/health/live").json() == {"live": True}
        code, _, complained = interrupt(process)
    assert (code, complained) == (0, "")


def test_a_port_that_is_taken_is_told_with_what_to_do() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        for command in (("serve",), ("demo", "--once")):
            ended = run(*command, "--port", str(port), code=1)
            assert ended.stdout == ""
            assert ended.stderr == (
                f"cannot listen on `127.0.0.1` port {port}: address already in use: "
                "end what listens there, or choose another with --port\n"
            )


def test_a_host_that_is_none_is_told() -> None:
    told = run("serve", "--host", "no.such.host.invalid", "--port", "0", code=1).stderr
    assert told.startswith("cannot listen on `no.such.host.invalid` port 0: ")
    assert told.endswith("choose another with --host\n")


def test_an_address_of_six_groups_is_told_in_brackets() -> None:
    try:
        with socket.socket(socket.AF_INET6) as probe:
            probe.bind(("::1", 0))
    except OSError:
        pytest.skip("this machine has no IPv6")
    with running("serve", "--host", "::1", "--port", "0") as process:
        base = line_with(process, "serving at ").split()[2].rstrip(",")
        assert base.startswith("http://[::1]:")
        assert httpx.get(f"{base}/health/live").status_code == 200


def test_a_day_that_is_fixed_is_told_at_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RINGWRIGHT_DAY", "2026-03-02")
    with running("serve", "--port", "0") as process:
        base = line_with(process, "serving at ").split()[2].rstrip(",")
        assert "THE DAY IS FIXED at 2026-03-02 by RINGWRIGHT_DAY" in line_with(process, "THE DAY")
        assert httpx.get(f"{base}/health/ready").json()["fixed_day"] == "2026-03-02"


@pytest.mark.parametrize("command", ["serve", "demo"])
def test_every_bad_setting_is_told(command: str) -> None:
    settings = {
        "RINGWRIGHT_MAX_BODY_BYTES": "lots",
        "RINGWRIGHT_COLOUR": "red",
        "RINGWRIGHT_DAY": "2026-02-30",
    }
    ended = run(command, "--port", "0", code=1, **settings)
    first, day, second = ended.stderr.splitlines()
    assert first.startswith("`RINGWRIGHT_COLOUR` is no setting")
    assert day.startswith("`RINGWRIGHT_DAY` is `2026-02-30`, but must be a date")
    assert second.startswith("`RINGWRIGHT_MAX_BODY_BYTES` is `lots`")
