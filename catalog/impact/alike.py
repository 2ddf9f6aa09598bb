"""What two revisions answer alike without being asked: what they answer from says the same in both.

INVARIANT: an outcome follows from its setup, from the rows looked at beside it, from the grades of
sources and from the standing of the revision. Withdrawals rest on the same.
"""

import msgspec
from msgspec import structs

from catalog.answers.standing import rows_beside
from catalog.impact.outcomes import Pair, end_setup, refusals_of
from catalog.impact.shapes import End
from catalog.index import Index
from catalog.revision import Revision
from catalog.standing import ACTIVE


def with_rows_of(against: Revision, revision: Revision) -> Revision:
    """A revision in which every row that says what a row of `against` says is that row itself.

    A row equals itself alone: this is how `Likeness` knows it again. Two revisions that share no
    row are alike in nothing, and are asked everything.
    """
    tables = {}
    for name, rows in revision.tables.items():
        known = {(row.ref, msgspec.json.encode(row)): row for row in against.tables[name]}
        tables[name] = tuple(known.get((row.ref, msgspec.json.encode(row)), row) for row in rows)
    return structs.replace(revision, tables=tables)


class Likeness:
    """What two revisions answer alike: nothing that is not shown to be."""

    def __init__(self, before: Index, after: Index, pairs: tuple[Pair, ...]) -> None:
        self._before, self._after, self._pairs = before, after, pairs
        self._grounds = before.standing == after.standing and all(
            source.grade == after.sources[each].grade
            for each, source in before.sources.items()
            if each in after.sources
        )
        self._shares = self._grounds and any(
            row is after.sizes.get(key) for key, row in before.sizes.items()
        )
        self._unlike_pairs = tuple(
            (press, gauge)
            for press, gauge in pairs
            if before.presses.get(press) is not after.presses.get(press)
            or before.gauges.get(gauge) is not after.gauges.get(gauge)
        )

    def is_read_alike(self, end: End) -> bool:
        """Whether all that an end is answered from is the same, but for press and gauge."""
        if not self._grounds:
            return False
        old, new = (_read(index, end) for index in (self._before, self._after))
        return old == new

    def unlike_pairs(self, end: End, *, alike: bool) -> tuple[Pair, ...]:
        """Presses with gauges that may answer an end otherwise, which is read alike or not."""
        pairs = self._unlike_pairs if alike else self._pairs
        if not pairs or not self._shares or self._before.standing != ACTIVE:
            return pairs
        old, new = (refusals_of(index, end, pairs) for index in (self._before, self._after))
        each = zip(pairs, old, new, strict=True)
        return tuple(pair for pair, was, now in each if was is None or was != now)

    def is_strong_alike(self, end: End) -> bool:
        """Whether an end that is read alike carries the same, at every temperature."""
        before, after = self._before, self._after
        ring = before.rings.get(end.ring)
        return (
            ring is not None
            and before.strengths.get(end.material) == after.strengths.get(end.material)
            and before.derating.get(ring.material) == after.derating.get(ring.material)
        )


def _read(index: Index, end: End) -> tuple[object, ...]:
    setup = end_setup(index, end)
    # An end equals itself alone, and what it adds stands beside it. Words are named in messages;
    # which code is raised does not hang on them.
    of_end = setup.end.caliper, setup.end.bands
    read = structs.asdict(setup) | {"end": of_end, "words": None}
    return read, tuple(rows_beside(index, setup))
