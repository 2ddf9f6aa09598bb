"""Ask both revisions all that they may answer otherwise, and keep what they do."""

import math
from collections import Counter
from collections.abc import Callable, Collection, Iterable
from typing import Final, get_args

from msgspec import structs

from catalog.impact.alike import Likeness
from catalog.impact.ends import ends_of, every_end, pairs_of, temperatures_of
from catalog.impact.not_replayed import NOT_REPLAYED
from catalog.impact.outcomes import Answered, Readings, answers_of, forget, rated_at
from catalog.impact.shapes import (
    ChangeKind,
    DialMove,
    DialPart,
    End,
    Ground,
    Impact,
    Outcome,
    RatingChange,
    TargetChange,
    Totals,
)
from catalog.index import Index
from catalog.quantities import FACTOR

Progress = Callable[[int, int], None]
"""Told how many ends of how many are done."""


def untold(_done: int, _of: int) -> None:
    """Progress that nobody is told."""


MOST_QUESTIONS: Final = 2_000_000
"""Press targets that are replayed at most: beyond, a report would take many minutes."""
KINDS: Final[tuple[ChangeKind, ...]] = get_args(ChangeKind)
"""Kinds of change, the ones that an approver must look at first."""


def questions_of(index: Index) -> int:
    """How many press targets a revision can be asked."""
    return sum(1 for _ in every_end(index)) * len(index.pairs)


def impact_of(
    before: Index,
    after: Index,
    changed: Collection[str],
    progress: Progress = untold,
) -> Impact:
    """What differs between two revisions in the answer to everything that either can be asked.

    Where they share rows (`with_rows_of`), what rests on the same rows in both is not asked again.
    `changed` names the tables with changed rows, and the columns of such rows as `table.column`.
    """
    ends, pairs = ends_of(before, after), tuple(pairs_of(before, after))
    likeness = Likeness(before, after, pairs)
    changes: list[TargetChange] = []
    ratings: list[RatingChange] = []
    lost: list[End] = []
    gained: list[End] = []
    rated = 0
    for done, end in enumerate(ends):
        if done % 50 == 0:
            progress(done, len(ends))
        could = can = False
        alike = likeness.is_read_alike(end)
        unlike = likeness.unlike_pairs(end, alike=alike)
        was, now = (answers_of(index, end, unlike) if unlike else [] for index in (before, after))
        for (press, gauge), old, new in zip(unlike, was, now, strict=True):
            could, can = could or old.outcome.allowed, can or new.outcome.allowed
            if (change := _changed(end, press, gauge, old, new)) is not None:
                changes.append(change)
        if could != can:
            others = tuple(pair for pair in pairs if pair not in unlike)
            if not any(each.outcome.allowed for each in answers_of(after, end, others)):
                (lost if could else gained).append(end)
        if end.insert == "none":  # the insert is no part of a rating
            temperatures = temperatures_of(end, before, after)
            rated += len(temperatures)
            if not (alike and likeness.is_strong_alike(end)):
                ratings += _rating_changes(before, after, end, temperatures)
    progress(len(ends), len(ends))
    forget()
    return Impact(
        totals=_totals(len(ends) * len(pairs), changes, rated, ratings, lost, gained),
        changes=tuple(sorted(changes, key=_order)),
        ratings=tuple(sorted(ratings, key=lambda c: (-c.relative, c.end, c.temp_c))),
        coverage_lost=tuple(lost),
        coverage_gained=tuple(gained),
        not_replayed=tuple(name for name in NOT_REPLAYED if name in changed),
    )


def _changed(end: End, press: str, gauge: str, was: Answered, now: Answered) -> TargetChange | None:
    grounds = () if was.grounds == now.grounds else _regrounded(was, now)
    old, new = was.outcome, now.outcome
    if (old, was.readings) == (new, now.readings) and not grounds:
        return None
    dial = dial_moves(was.readings, now.readings)
    return TargetChange(
        kind=_kind(old, new, moved=was.readings != now.readings),
        end=end,
        press=press,
        gauge=gauge,
        relative=_relative(old, new, dial),
        before=old,
        after=new,
        stop_moves=stop_moves(was.readings, now.readings),
        dial=dial,
        grounds=grounds,
    )


def dial_moves(was: Readings | None, now: Readings | None) -> tuple[DialMove, ...]:
    """What moved on a dial from one answer to another, nothing where either has no readings."""
    if was is None or now is None:
        return ()
    told: list[tuple[DialPart, float | None, float | None]] = [
        ("low", was.low, now.low),
        ("high", was.high, now.high),
        ("never-exceed", was.never_exceed, now.never_exceed),
    ]
    # A mark that moves by so many graduations and by this share would be told by the two.
    if stop_moves(was, now) is None:
        told.insert(0, ("reading", was.reading, now.reading))
    moves = [DialMove(of=of, by=_share(old, new)) for of, old, new in told if old != new]
    if (was.unit, was.graduation) != (now.unit, now.graduation):
        moves.append(DialMove(of="scale", by=None))
    return tuple(moves)


def stop_moves(was: Readings | None, now: Readings | None) -> int | None:
    """Graduations from the mark to stop at before to the one after, None across two scales."""
    if was is None or now is None or was.mark is None or now.mark is None:
        return None
    if (was.unit, was.graduation) != (now.unit, now.graduation):
        return None
    return round((now.mark - was.mark) / (now.graduation * FACTOR[now.unit]))


def _regrounded(was: Answered, now: Answered) -> tuple[Ground, ...]:
    """Rows that a caution of the data names in one answer and not in the other."""
    told = []
    for row in sorted({row for each in (was, now) for _, rows in each.grounds for row in rows}):
        before, after = (
            tuple(sorted(doubtful for doubtful, rows in each.grounds if row in rows))
            for each in (was, now)
        )
        if before != after:
            told.append(Ground(row=row, before=before, after=after))
    return tuple(told)


def _kind(old: Outcome, new: Outcome, *, moved: bool) -> ChangeKind:
    """Gravest thing that differs; the grounds do where nothing else does."""
    if old.allowed != new.allowed:
        return "newly-allowed" if new.allowed else "newly-refused"
    said = (old.verdict, old.codes) != (new.verdict, new.codes)
    if said and not old.allowed:
        return "refused-otherwise"
    if moved or old != structs.replace(
        new, verdict=old.verdict, codes=old.codes, cone=old.cone, plate=old.plate
    ):
        return "target-changed"
    if (old.cone, old.plate) != (new.cone, new.plate):
        return "tooling-changed"
    return "cautions-changed" if said else "grounds-changed"


def _relative(old: Outcome, new: Outcome, dial: Iterable[DialMove]) -> float:
    """Largest relative change of force, ceiling or reading; 0 where there is nothing to compare."""
    told = [(old.force_kn, new.force_kn), (old.ceiling_kn, new.ceiling_kn)]
    told += [(old.force_low_kn, new.force_low_kn), (old.force_high_kn, new.force_high_kn)]
    return max(_largest(told), *(abs(move.by) for move in dial if move.by is not None), 0.0)


def _largest(told: Iterable[tuple[float | None, float | None]]) -> float:
    shares = (_share(before, after) for before, after in told)
    return max((abs(share) for share in shares if share is not None), default=0.0)


def _share(before: float | None, after: float | None) -> float | None:
    return after / before - 1 if before and after is not None else None


def _rating_changes(
    before: Index, after: Index, end: End, temperatures: Iterable[float]
) -> list[RatingChange]:
    changes = []
    for temp_c in temperatures:
        old, new = rated_at(before, end, temp_c), rated_at(after, end, temp_c)
        if old == new:
            continue
        now = {limit.of: limit.bar for limit in new.limits}
        both = [(limit.bar, now.get(limit.of)) for limit in old.limits]
        # Limits that one of the two does not have, or has otherwise.
        moved = [
            limit.of
            for limit in (*old.limits, *new.limits)
            if limit not in old.limits or limit not in new.limits
        ]
        changes.append(
            RatingChange(
                end=end,
                temp_c=temp_c,
                relative=_largest((*both, (old.static_bar, new.static_bar))),
                moved=tuple(dict.fromkeys(moved)),
                before=old,
                after=new,
            )
        )
    return changes


def _order(change: TargetChange) -> tuple[int, float, End, str, str]:
    return KINDS.index(change.kind), -_weight(change), change.end, change.press, change.gauge


def _weight(change: TargetChange) -> float:
    """How far a change comes first: one whose numbers came or went before any that moved."""
    old, new = structs.asdict(change.before), structs.asdict(change.after)
    both = change.before.allowed and change.after.allowed
    came_or_went = both and (
        any((old[name] is None) != (new[name] is None) for name in old)
        or any(move.by is None and move.of != "scale" for move in change.dial)
    )
    return math.inf if came_or_went else change.relative


def _totals(
    questions: int,
    changes: list[TargetChange],
    rated: int,
    ratings: list[RatingChange],
    lost: list[End],
    gained: list[End],
) -> Totals:
    kinds = Counter(change.kind for change in changes)
    return Totals(
        questions=questions,
        newly_allowed=kinds["newly-allowed"],
        newly_refused=kinds["newly-refused"],
        target_changed=kinds["target-changed"],
        tooling_changed=kinds["tooling-changed"],
        cautions_changed=kinds["cautions-changed"],
        grounds_changed=kinds["grounds-changed"],
        refused_otherwise=kinds["refused-otherwise"],
        ratings=rated,
        ratings_changed=len(ratings),
        coverage_lost=len(lost),
        coverage_gained=len(gained),
    )
