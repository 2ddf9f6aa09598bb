"""Entries of a report as the cells of a table."""

from collections.abc import Iterable, Sequence
from typing import Final

from catalog.differences import RowChange
from catalog.findings import CODES
from catalog.impact import (
    Doubtful,
    End,
    LimitName,
    Outcome,
    Rated,
    RatingChange,
    TargetChange,
)
from catalog.loading import Conversion
from catalog.publishing import counted, dial_text, stop_text

CHANGE_HEADS: Final = ("tube end, press, gauge", "before", "after", "by")
RATING_HEADS: Final = ("tube end, temperature", "before", "after", "by")
CONVERTED_HEADS: Final = ("table", "line", "sent", "", "became", "")
ROW_HEADS: Final = ("row", "column", "before", "after")
_CODES_SHOWN: Final = 2
_LINE: Final = "\n"
_ALWAYS: Final = {"force", "marks"}


def end_text(end: End, *, between: str = ", ") -> str:
    """Tube end in a few words.

    >>> end_text(End(series="S", od_mm=16, wall_mm=2.5, material="e235-n", ring_style="metal",
    ...              ring_material="carbon-steel", ring="ring-S-metal-carbon-steel",
    ...              insert="none"))
    'S 16 x 2.5 e235-n, ring-S-metal-carbon-steel'
    """
    parts = [f"{end.series} {end.od_mm:g} x {end.wall_mm:g} {end.material}", end.ring]
    if end.insert != "none":
        parts.append(f"insert {end.insert}")
    return between.join(parts)


def change_texts(change: TargetChange) -> tuple[str, str]:
    """What a press target said and says, in short, and always wherein they differ."""
    before, after = change.before, change.after
    old, new = set(before.codes) - set(after.codes), set(after.codes) - set(before.codes)
    was, now = _tooling(before, after), _tooling(after, before)
    # What else moves on a dial is told only where the mark to stop at stays.
    moved = [dial_text(move) for move in change.dial]
    if change.stop_moves:
        moved = [f"mark to stop at {stop_text(change)}"]
    same = _numbers(before) == _numbers(after) and not moved
    if before.allowed and after.allowed and same and (old or new):
        was, now = [*was, *(sorted(old) or ["without"])], [*now, *(sorted(new) or ["without"])]
    elif not same or before.verdict != after.verdict or old or new:
        was = [_outcome_text(before, after), *was]
        now = [_outcome_text(after, before), *moved, *now]
    elif not was:  # the same words and numbers, which rest on rows that are trusted otherwise
        was = [_grounds((g.row, g.before) for g in change.grounds)]
        now = [_grounds((g.row, g.after) for g in change.grounds)]
    return _LINE.join(was), _LINE.join(now)


def change_cells(change: TargetChange, pairs: Sequence[str] = ()) -> tuple[str, ...]:
    """Changed answer, for one press and gauge or for all pairs of an end that change alike."""
    pairs = pairs or (_pair(change),)
    return (
        _LINE.join([end_text(change.end, between=_LINE), *pairs]),
        *change_texts(change),
        share_text(change.relative),
    )


def grouped_cells(changes: Iterable[TargetChange]) -> list[tuple[str, ...]]:
    """Changed answers, pairs of press and gauge together whose texts for an end are the same."""
    alike: dict[tuple[End, str, str], list[TargetChange]] = {}
    for change in changes:
        alike.setdefault((change.end, *change_texts(change)), []).append(change)
    return [change_cells(each[0], [_pair(change) for change in each]) for each in alike.values()]


def _pair(change: TargetChange) -> str:
    return f"{change.press}, {change.gauge}"


def rating_cells(change: RatingChange) -> tuple[str, ...]:
    """Changed rating of a tube end at one temperature."""
    return (
        f"{end_text(change.end, between=_LINE)}\nat {change.temp_c:g} degC",
        _rated_text(change.before, change.moved),
        _rated_text(change.after, change.moved),
        share_text(change.relative),
    )


def row_cells(change: RowChange) -> list[tuple[str, ...]]:
    """Changed row, a line for each cell; one that came or went is one line."""
    if change.kind == "changed":
        lines = [(cell.column, cell.before, cell.after) for cell in change.cells]
        return [(change.row if n == 0 else "", *line) for n, line in enumerate(lines)]
    gone = change.kind == "removed"
    told = ", ".join(f"{c.column} {c.before if gone else c.after}" for c in change.cells)
    return [(change.row, f"({change.kind})", *((told, "") if gone else ("", told)))]


def converted_cells(cell: Conversion) -> tuple[str, ...]:
    """Cell as it was sent, and what it became."""
    at = (cell.table, str(cell.line))
    return (*at, cell.sent_column, cell.sent, cell.column, f"{cell.value:.15g}")


def share_text(relative: float) -> str:
    """Relative change in percent.

    >>> share_text(0.0175), share_text(0)
    ('1.75 %', '')
    """
    return f"{100 * relative:.3g} %" if relative else ""


def _outcome_text(outcome: Outcome, other: Outcome) -> str:
    if not outcome.allowed:
        graver = [c for c in outcome.codes if CODES[c].severity in {"reject", "unknown"}]
        graver.sort(key=lambda code: code in other.codes)
        more = len(graver) - _CODES_SHOWN
        rest = [f"and {more} more"] if more > 0 else []
        return _LINE.join([f"{outcome.verdict}:", *graver[:_CODES_SHOWN], *rest])
    numbers, others = _numbers(outcome), _numbers(other)
    told = [text for name, text in numbers.items() if name in _ALWAYS]
    if all(text in others.values() for text in told):  # they do not tell wherein the two differ
        told += [text for name, text in numbers.items() if others.get(name) not in {text, None}]
    return _LINE.join(told) or outcome.verdict


def _numbers(outcome: Outcome) -> dict[str, str]:
    """Numbers of an outcome by what they are, each as a person reads it."""
    told = {
        "force": outcome.force_kn,
        "ceiling": outcome.ceiling_kn,
        "force from": outcome.force_low_kn,
        "force to": outcome.force_high_kn,
    }
    texts = {
        name: f"{'' if name in _ALWAYS else name + ' '}{value:g} kN"
        for name, value in told.items()
        if value is not None
    }
    if outcome.marks is not None:
        texts["marks"] = counted(outcome.marks, "mark")
    if outcome.finish is not None:
        texts["finish"] = outcome.finish
    return texts


def _tooling(outcome: Outcome, other: Outcome) -> list[str]:
    """Cone and plate of an outcome that are not those of the other."""
    pairs = (("cone", outcome.cone, other.cone), ("plate", outcome.plate, other.plate))
    return [f"{what} {mine or 'none'}" for what, mine, others in pairs if mine != others]


def _grounds(told: Iterable[tuple[str, Sequence[Doubtful]]]) -> str:
    """Rows with what an answer warns of them, the first in full."""
    lines = [f"{row}: {' and '.join(warned) or 'no caution'}" for row, warned in told]
    more = len(lines) - _CODES_SHOWN
    return _LINE.join([*lines[:_CODES_SHOWN], *([f"and {more} more"] if more > 0 else [])])


def _rated_text(rated: Rated, moved: Sequence[LimitName]) -> str:
    """What is carried and what governs it, and each limit that moved and does not govern."""
    lines = ["no rating"]
    if rated.static_bar is not None:
        lines = [f"{rated.static_bar:.4g} bar ({rated.static_governing})"]
    if rated.pulsating_bar is not None:
        lines.append(f"pulsating {rated.pulsating_bar:.4g} bar")
    known = {limit.of: f"{limit.bar:.4g} bar" for limit in rated.limits}
    governs = "tube-static" if rated.static_governing == "tube" else rated.static_governing
    lines += [f"{name} {known.get(name, 'not known')}" for name in moved if name != governs]
    return _LINE.join(lines)
