"""Kills at random moments of propose, approve and activate: `python -m ...faults.kills [N]`."""

import os
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from contextlib import closing
from pathlib import Path
from subprocess import Popen

from msgspec import Struct

from service.store.sqlite import open_store
from service.store.sqlite.reading import Records
from service.store.verifying import verified
from tests.service.store.faults.children import child, hear, say
from tests.service.store.faults.publisher import AHEAD
from tests.service.store.office import SHIPPED, at
from tests.service.store.raw import raw

KILLS_A_FOLDER = 6
MOST_STEPS = 16
SECONDS_OF_A_STEP = 0.006
SECONDS_OF_OPENING = 0.04


class Figures(Struct):
    """What was counted over all kills."""

    last_heard: Counter[str]
    kills: int = 0
    while_opening: int = 0
    acknowledged: int = 0
    stored_unsaid: int = 0


def run(kills: int, seed: int) -> Figures:
    """Kill that many processes, and check the store after each.

    Errors: `AssertionError` where anything is torn or lost.
    """
    chance, figures = random.Random(seed), Figures(last_heard=Counter())  # noqa: S311
    with child("publisher") as publisher:
        while figures.kills < kills:
            with tempfile.TemporaryDirectory() as folder:
                said: list[tuple[str, str]] = []
                for turn in range(min(KILLS_A_FOLDER, kills - figures.kills)):
                    say(publisher, f"{folder} {1 + turn * AHEAD}")
                    opening = turn == 0 and chance.random() < 0.7
                    said += _killed(publisher, chance, figures, opening=opening)
                    _check(Path(folder), figures, said)
    return figures


def _killed(
    publisher: Popen[str], chance: random.Random, figures: Figures, *, opening: bool
) -> list[tuple[str, str]]:
    """Kill the process at a moment of its opening, or within a step; the steps that it said."""
    word, process = hear(publisher).split()
    assert word == "opening"
    # Some steps, and then a moment within the next one.
    lines = [] if opening else [hear(publisher) for _ in range(1 + chance.randrange(MOST_STEPS))]
    time.sleep(chance.random() * (SECONDS_OF_OPENING if opening else SECONDS_OF_A_STEP))
    os.kill(int(process), signal.SIGKILL)
    while not lines or not lines[-1].startswith("ended"):
        lines.append(hear(publisher))
    assert lines.pop() == f"ended {-signal.SIGKILL}"
    steps = [(step, revision) for step, _, revision in (line.partition(" ") for line in lines)]
    if not steps:
        figures.while_opening += 1
    else:
        assert steps.pop(0) == ("opened", "")
    figures.kills += 1
    figures.acknowledged += len(steps)
    figures.last_heard[steps[-1][0] if steps else "nothing yet"] += 1
    return steps


def _check(folder: Path, figures: Figures, said: list[tuple[str, str]]) -> None:
    """The store after a kill: `said` is every step that was acknowledged, and becomes what is."""
    with raw(folder) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    with closing(open_store(folder, seed=SHIPPED, at=at(0))) as store:
        with store.reading() as records:
            assert verified(records) == ()
            kept = _kept(records)
        assert kept[: len(said)] == said, "a step that was acknowledged is lost"
        # One more step may have been stored before it could be said, and no other.
        assert len(kept) - len(said) in {0, 1}
        figures.stored_unsaid += len(kept) - len(said)
        said[:] = kept


def _kept(records: Records) -> list[tuple[str, str]]:
    """Steps as the publisher says them, but the seed's; each must be whole."""
    steps: list[tuple[str, str]] = []
    entries = list(records.audit())
    assert [entry.action for entry in entries[:2]] == ["propose", "activate"]
    assert {entry.subject for entry in entries[:2]} == {SHIPPED.id}
    for entry in entries[2:]:
        if entry.action == "report":
            continue  # it is of one change with the approval after it
        steps.append((entry.action, entry.subject))
    assert len(records.reports()) == len(records.approvals())
    for report in records.reports():
        assert records.report(report.digest) == f"report on {report.revision}".encode()
    last = records.last_activation()
    assert last is not None
    activated = [subject for action, subject in steps if action == "activate"]
    assert last.revision == [SHIPPED.id, *activated][-1]
    return steps


def main() -> None:
    """Print the figures of N kills."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 210
    began = time.monotonic()
    figures = run(kills, seed=20260302)
    opening = f"{figures.while_opening} while a new store was opened and seeded"
    told = (
        f"{figures.kills} kills in {time.monotonic() - began:.0f} s: nothing torn, nothing lost",
        f"  {opening}",
        f"  {figures.acknowledged} steps acknowledged and found again",
        f"  {figures.stored_unsaid} steps stored, but killed before they could be said",
        f"  last step heard before the kill: {dict(figures.last_heard.most_common())}",
    )
    sys.stdout.writelines(line + "\n" for line in told)


if __name__ == "__main__":
    main()
