"""What a report says in words, the same on a page, in a terminal and over HTTP."""

import math
from collections.abc import Sequence
from typing import Final

from catalog.differences import CellChange, RowChange
from catalog.impact import KINDS, ChangeKind, DialMove, DialPart, Impact, TargetChange
from catalog.publishing.shapes import Report

_SAID: Final[dict[ChangeKind, str]] = {
    "newly-allowed": "newly allowed",
    "newly-refused": "newly refused",
    "target-changed": "with other numbers",
    "tooling-changed": "with another cone or plate",
    "cautions-changed": "with other cautions",
    "grounds-changed": "on rows that are trusted otherwise",
    "refused-otherwise": "refused for another reason",
}
_DIAL: Final[dict[DialPart, str]] = {
    "reading": "reading",
    "low": "window from",
    "high": "window to",
    "never-exceed": "never exceed",
    "scale": "another scale",
}


def headline_of(report: Report) -> str:
    """Rows that differ, what they do to press targets and ratings, and what is asked for.

    A number that is 0 is left out, but for targets newly refused: that none is must be said.
    """
    impact = report.impact
    differ = "differs" if len(report.rows) == 1 else "differ"
    told = [f"{counted(len(report.rows), 'row')} {differ}", _targets(impact)]
    if impact.ratings:
        told.append(f"{len(impact.ratings)} of {impact.totals.ratings} ratings changed")
    if impact.coverage_lost:
        ends = counted(len(impact.coverage_lost), "tube end")
        told.append(f"{ends} that no press and gauge can do any more")
    if impact.not_replayed:
        told.append(f"no question here reads all that changed in {', '.join(impact.not_replayed)}")
    if report.strong:
        doubts = counted(len(report.strong), "strong doubt")
        told.append(f"{doubts} to be settled with a reason each")
    return "; ".join(told)


def largest_rows(rows: Sequence[RowChange], most: int) -> tuple[RowChange, ...]:
    """The rows that change most, in the order in which they stand among the others.

    A row that came or went, and a cell whose change is no share, come before any number.
    """
    largest = sorted(range(len(rows)), key=lambda n: -_weight(rows[n]))[:most]
    return tuple(rows[n] for n in sorted(largest))


def _weight(row: RowChange) -> float:
    if row.kind != "changed":
        return math.inf
    return max(_share(cell) for cell in row.cells)


def _share(cell: CellChange) -> float:
    try:
        before, after = float(cell.before), float(cell.after)
    except ValueError:
        return math.inf
    return abs(after / before - 1) if before else math.inf


def stop_text(change: TargetChange) -> str:
    """By how many graduations the mark to stop at moves; empty where that cannot be told."""
    moves = change.stop_moves
    if moves is None:
        return ""
    return f"{moves:+d} {'graduation' if abs(moves) == 1 else 'graduations'}" if moves else "stays"


def dial_text(move: DialMove) -> str:
    """What moved on a dial, and by what share.

    >>> dial_text(DialMove(of="low", by=0.0345)), dial_text(DialMove(of="never-exceed", by=-0.1))
    ('window from +3.45 %', 'never exceed -10 %')
    """
    if move.by is None:
        return _DIAL[move.of] if move.of == "scale" else f"{_DIAL[move.of]} came or went"
    return f"{_DIAL[move.of]} {move.by * 100:+.3g} %"


def _targets(impact: Impact) -> str:
    asked = f"{counted(impact.totals.questions, 'press target')} asked"
    if not impact.changes:
        return f"{asked}: all answered as before"
    parts = []
    for kind in KINDS:
        shares = [change.relative for change in impact.changes if change.kind == kind]
        if shares or kind == "newly-refused":
            most = f" (by at most {max(shares) * 100:.3g} %)" if kind == "target-changed" else ""
            parts.append(f"{len(shares) or 'none'} {_SAID[kind]}{most}")
    return f"{asked}: {', '.join(parts)}"


def counted(count: int, what: str, many: str = "") -> str:
    """Number with its noun.

    >>> counted(1, "row"), counted(2, "row")
    ('1 row', '2 rows')
    """
    return f"{count} {what}" if count == 1 else f"{count} {many or what + 's'}"
