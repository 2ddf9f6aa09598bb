"""How long others wait during a batch, against a batch that another process answers meanwhile.

`uv run python -m tests.benchmarks.others` prints it. Both take the same processors, so that what is
left of the ratio is what waits for the event loop. It is a time by the clock, which a busy machine
moves: so it is no check, and no step of `.ci/run`.
"""

import http.client
import statistics
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from itertools import cycle, product

from tests.benchmarks.mixes import picks, programme
from tests.benchmarks.servers import ROOT, Server, deployed, room_of
from tests.benchmarks.table import OTHER, OURS, Figures, add, options_of, show

ROUNDS, QUICK_ROUNDS = 9, 3
ACCEPTED = ("identity", "gzip")
ORDERS = 3
WANTED = {f"{accepted}, p99, same / other": (4.0, 2.0) for accepted in ACCEPTED}


@contextmanager
def batches(server: Server, accepted: str, n: int) -> Iterator[None]:
    """Work orders of 1,000 lines, one after the other over a connection of their own."""
    ended = threading.Event()
    headers = {**server.headers, "Accept-Encoding": accepted}
    orders = [picks("brief")(ORDERS * n + each)[0] for each in range(ORDERS)]

    def ask() -> None:
        connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
        for order in cycle(orders):
            if ended.is_set():
                break
            connection.request("POST", "/v1/tooling-picks", order, headers)
            connection.getresponse().read()
        connection.close()

    thread = threading.Thread(target=ask)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()


def waited_ms(server: Server, n: int) -> tuple[float, float]:
    """Median and 99th percentile of the time until a press target is answered."""
    server.connection.close()
    taken = []
    for body in programme(n):
        begun = time.perf_counter()
        server.ask("/v1/press-targets", body)
        taken.append((time.perf_counter() - begun) * 1000)
        time.sleep(0.002)  # so that it meets a batch at any place of it
    return statistics.median(taken), statistics.quantiles(taken, n=100)[98]


def main(arguments: Sequence[str]) -> None:
    """Print the table."""
    options = options_of(arguments, __doc__)
    trees = {OURS: ROOT} | ({} if options.tree is None else {OTHER: options.tree})
    figures: dict[str, Figures] = {name: {} for name in trees}
    with ExitStack() as stack:
        both: dict[str, list[Server]] = {}
        for name, tree in trees.items():
            rooms = [stack.enter_context(room_of(tree)) for _ in range(2)]
            both[name] = [stack.enter_context(deployed(room)) for room in rooms]
        for n in range(-1, QUICK_ROUNDS if options.quick else ROUNDS):
            for accepted, (name, (one, other)) in product(ACCEPTED, both.items()):
                with batches(other, accepted, n):
                    apart_50, apart_99 = waited_ms(one, 2 * n)
                with batches(one, accepted, n):
                    same_50, same_99 = waited_ms(one, 2 * n + 1)
                noted = {
                    f"{accepted}, p50 ms, other": apart_50,
                    f"{accepted}, p50 ms, same": same_50,
                    f"{accepted}, p99 ms, other": apart_99,
                    f"{accepted}, p99 ms, same": same_99,
                    f"{accepted}, p99, same / other": same_99 / apart_99,
                }
                if n >= 0:  # the first pass warms
                    add(figures[name], noted)
    print("press targets during batches of 1,000 picks that the same or another process answers")
    show(figures, WANTED, options.json)


if __name__ == "__main__":
    main(sys.argv[1:])
