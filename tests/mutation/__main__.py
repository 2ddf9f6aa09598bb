"""Put small faults into the source, one at a time, and tell which no test finds.

`uv run python -m tests.mutation --faults 300` takes an hour of a processor, `--quick`, with the
oracle and the tests of each room alone, less. The faults are drawn by a seed; `--only TEXT` tries
those whose name has this text.
"""

import argparse
from collections import Counter

from tests.mutation.mutants import Mutant, equivalents, mutants
from tests.mutation.trying import search

LEAST_FOUND = 0.95
MOST_EQUIVALENT = 0.05


def main() -> int:
    """Print each fault with what found it, and the count by room; 1 where too few were found."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("--faults", type=int, default=300)
    parser.add_argument("--first", type=int, default=0, metavar="N", help="leave N of them out")
    parser.add_argument("--only", default="", metavar="TEXT")
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--without-oracle", action="store_true")
    args = parser.parse_args()
    drawn = [mutant for mutant in mutants() if args.only in mutant.name]
    chosen = drawn[args.first : args.first + args.faults]
    known = equivalents()
    real = [mutant for mutant in chosen if mutant.name not in known]
    by: dict[str, Counter[str]] = {mutant.room: Counter() for mutant in chosen}
    lost = []
    for mutant, outcome in search(real, quick=args.quick, oracle=not args.without_oracle):
        by[mutant.room][outcome.by or "nothing"] += 1
        lost += [] if outcome.by else [mutant]
        print(
            f"{outcome.seconds:6.1f} s  {outcome.by or 'SURVIVED':<13}  {shown(mutant)}", flush=True
        )
    for room, counts in sorted(by.items()):
        print(
            f"{room}: {counts.total() - counts['nothing']} of {counts.total()} found", dict(counts)
        )
    for mutant in lost:
        print(f"survived: {shown(mutant)}")
    same = len(chosen) - len(real)
    share = 1 - len(lost) / len(real) if real else 1.0
    print(f"{share:.1%} of {len(real)} found; {same} of {len(chosen)} change nothing")
    return int(share < LEAST_FOUND or same > MOST_EQUIVALENT * len(chosen))


def shown(mutant: Mutant) -> str:
    """Fault as it is looked up: file, line, what stands there and what instead."""
    return f"{mutant.file}:{mutant.line} {mutant.before[:200]} -> {mutant.after[:200]}"


if __name__ == "__main__":
    raise SystemExit(main())
