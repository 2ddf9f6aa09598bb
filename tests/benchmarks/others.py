"""How long others wait during a batch, against a batch that another process answers meanwhile.

`uv run python -m tests.benchmarks.others` prints it. Both take the same processors, so that what is
left of the ratio is what waits for the event loop. It is a time by the clock, which a busy machine
moves: so it is no check, and no step of `.ci/run`.
"""

import http.client
import statistics
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import msgspec

from tests.benchmarks.served import FREE, OURS, Server, bodies, serving, work_order

ASKED = 200
ROUNDS = 3


@contextmanager
def batches(server: Server, accepted: str) -> Iterator[None]:
    """Work orders of 1,000 lines, one after the other over a connection of their own."""
    body, ended = msgspec.json.encode(work_order()), threading.Event()
    headers = {"Content-Type": "application/json", "Accept-Encoding": accepted}

    def ask() -> None:
        connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
        while not ended.is_set():
            connection.request("POST", "/v1/tooling-picks", body, headers)
            connection.getresponse().read()
        connection.close()

    thread = threading.Thread(target=ask)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()


def waited_ms(server: Server) -> tuple[float, float]:
    """Median and 99th percentile of the time until a press target is answered."""
    path, body, _ = bodies()["press target"]
    server.connection.close()
    taken = []
    for _ in range(ASKED):
        begun = time.perf_counter()
        server.ask(path, body)
        taken.append((time.perf_counter() - begun) * 1000)
        time.sleep(0.002)  # so that it meets a batch at any place of it
    return statistics.median(taken), statistics.quantiles(taken, n=100)[98]


def main() -> None:
    """Print the table."""
    print(f"{ASKED} press targets during batches of 1,000 picks, medians of {ROUNDS} rounds, ms")
    print(
        f"{'batch sent in':<14} {'other p50':>9} {'same p50':>9} {'other p99':>9} {'same p99':>9}"
        f" {'ratio of p99':>13}"
    )
    with serving(OURS, **FREE) as one, serving(OURS, **FREE) as other:
        for accepted in ("identity", "gzip"):
            rounds = []
            for _ in range(ROUNDS):
                with batches(other, accepted):
                    apart = waited_ms(one)
                with batches(one, accepted):
                    rounds.append((*apart, *waited_ms(one)))
            apart_50, apart_99, same_50, same_99 = (
                statistics.median(each) for each in zip(*rounds, strict=True)
            )
            ratio = statistics.median(same / apart for _, apart, _, same in rounds)
            print(
                f"{accepted:<14} {apart_50:>9.2f} {same_50:>9.2f} {apart_99:>9.2f} {same_99:>9.2f}"
                f" {ratio:>13.1f}"
            )


if __name__ == "__main__":
    main()
