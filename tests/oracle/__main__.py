"""Hold the answers of today to those of before; see DEVELOPERS.md.

`uv run python -m tests.oracle --check` counts what differs, `--against REV` says how, field by
field, `--write` renews what is held. `--every 20` asks every twentieth question alone.
"""

import argparse
import sys
from collections import Counter

import msgspec

from tests.oracle.answering import FILES, QUESTIONS, answer_of, asked
from tests.oracle.comparing import changes_since
from tests.oracle.held import differing, now, write


def check(places: range, shown: int) -> int:
    """Count what differs from the digests that are held, and show the first of it."""
    told = [each for each, _ in now(places)]
    wrong = differing(places, told)
    for file in FILES:
        by_kind = Counter(QUESTIONS[place][0] for place in wrong[file])
        print(f"{file}: {len(wrong[file])} of {len(told)} differ", dict(by_kind) or "")
        for place in wrong[file][:shown]:
            print(question(place))
    return 1 if any(wrong.values()) else 0


def question(place: int) -> str:
    """A question and its answer, as a person can repeat it."""
    asks = asked(*QUESTIONS[place])
    beside = msgspec.json.encode([asks.world, asks.standing, asks.received]).decode()
    return (
        f"  {' '.join(map(str, QUESTIONS[place]))}, on {beside[:200]}\n"
        f"    {msgspec.json.encode(asks.question).decode()}\n"
        f"    {answer_of(*QUESTIONS[place]).decode()}"
    )


def against(revision: str, places: range) -> int:
    """Say field by field what is answered otherwise than by a commit."""
    found = changes_since(revision, places)
    for (place, what), change in sorted(found.items()):
        print(f"{place} {what}: {len(change.questions)} questions")
        print(f"    {change.kind} {change.number}: {change.was!r} -> {change.now!r}"[:400])
    print(f"{len(found)} kinds of change in {len(places)} questions")
    return 1 if found else 0


def main() -> int:
    """Do what is asked; 1 where something differs."""
    parser = argparse.ArgumentParser(prog="python -m tests.oracle", description=__doc__)
    doing = parser.add_mutually_exclusive_group(required=True)
    doing.add_argument("--check", nargs="?", type=int, const=1, metavar="SHOWN")
    doing.add_argument("--against", metavar="REV")
    doing.add_argument("--write", nargs="?", const="all", choices=("all", *FILES))
    doing.add_argument("--answers", action="store_true", help="all of them, one a line")
    parser.add_argument("--every", type=int, default=1, metavar="N")
    args = parser.parse_args()
    places = range(0, len(QUESTIONS), args.every)
    if args.answers:
        sys.stdout.buffer.writelines(answer_of(*QUESTIONS[n]) + b"\n" for n in places)
    elif args.write:
        write(None if args.write == "all" else args.write)
    elif args.against:
        return against(args.against, places)
    else:
        return check(places, args.check)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
