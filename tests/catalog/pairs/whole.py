"""Every pair of changes of sound setups: `python -m tests.catalog.pairs.whole [share]`.

`share` is how many pairs of each setup are asked, every 36th where it is left out; 1 asks them all.
"""

import itertools
import json
import sys
from collections import Counter
from collections.abc import Iterator

from tests.catalog.pairs.asking import FORMS
from tests.catalog.pairs.change import Change
from tests.catalog.pairs.changes import changes_of
from tests.catalog.pairs.judge import Break, Judge
from tests.catalog.pairs.setups import Sound, one_of, targets_of


def pairs_of(sound: Sound, every: int, turn: int) -> Iterator[tuple[Change, Change]]:
    pairs = itertools.combinations(changes_of(sound), 2)
    return itertools.islice(pairs, turn % every, None, every)


def main(every: int) -> int:
    """Ask them, print what came of it, and say whether anything is broken."""
    counts: Counter[tuple[str, str, str]] = Counter()
    broken: dict[tuple[str, str], list[Break]] = {}
    for turn in range(len(targets_of(0))):
        sound = one_of(turn)
        for form in FORMS:
            judge = Judge(sound, form)
            found: list[Break] = []
            for change in changes_of(sound):
                if judge.applies(change):
                    found += judge.alone_breaks(change)
            for one, other in pairs_of(sound, every, turn):
                judged = judge.pair(one, other)
                if judged is not None:
                    verdict, more = judged
                    counts[form.name, " + ".join(sorted((one.kind, other.kind))), verdict] += 1
                    found += more
            for each in found:
                broken.setdefault((each.rule, each.cause), []).append(each)
    for (form_name, kinds, verdict), count in sorted(counts.items()):
        sys.stdout.write(f"{form_name:13} {kinds:27} {verdict:22} {count:7}\n")
    sys.stdout.write(f"{counts.total()} pairs, {sum(map(len, broken.values()))} breaks\n")
    for (rule, cause), breaks in sorted(broken.items(), key=lambda each: -len(each[1])):
        least = min(breaks, key=lambda each: (len(each.changes), each.form, len(each.told)))
        sys.stdout.write(
            f"\nrule {rule}: {cause}: {len(breaks)}\n  {least.form}, {least.setup}\n"
            f"  {json.dumps(least.changes)}\n  {least.told[:300]}\n"
        )
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 36))
