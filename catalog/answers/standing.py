"""What the state of a revision adds to an answer: withdrawn, superseded, not active yet."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from catalog.answers.shapes import WorkingStep
from catalog.index import Index
from catalog.quantities import size_key
from catalog.rows import AnyRow, Neighbour, Row, Tube
from catalog.rules.raised import Raised
from catalog.setup.resolving import Setup
from catalog.standing import Withdrawn

WIDEST_TOLERANCE_MM: Final = 10.0
"""Widest od tolerance that a row can hold: one farther away cannot have swayed a caliper."""


def standing_raised(
    index: Index, rows: Iterable[AnyRow], steps: Sequence[WorkingStep], codes: Iterable[str]
) -> Iterator[Raised]:
    """Findings that the standing of the revision adds to an answer.

    The answer rests on `rows`, on their sources, on those of the formulas of `steps`, and on the
    texts of `codes`.
    """
    standing = index.standing
    if standing.state == "superseded":
        yield Raised("revision.superseded", "/revision", "another revision is active by now")
    if standing.state == "not-active-yet":
        message = "this revision was never active: no ring may be pressed by it"
        yield Raised("revision.not-active-yet", "/revision", message)
    if standing.whole is not None:
        yield Raised("revision.withdrawn", "/revision", _told("the revision", standing.whole))
    if standing.rows:
        for row in _read(index, rows, steps, codes):
            if row.ref in standing.rows:
                message = _told(f"`{row.ref}`", standing.rows[row.ref])
                yield Raised("revision.withdrawn", "", message, (row,))


def rows_beside(index: Index, setup: Setup) -> Iterator[Row]:
    """Rows that were looked at beside those of the setup, and could have turned the answer.

    Sizes that a caliper might have meant, and cones and plates among which the strongest was taken.
    """
    if setup.caliper is not None and setup.tube.material is not None:
        at = size_key(setup.caliper.measured_mm)
        reach = size_key(WIDEST_TOLERANCE_MM) + size_key(setup.caliper.uncertainty_mm)
        sizes: tuple[Neighbour | Tube, ...] = index.neighbours
        sizes += index.widest.get(setup.tube.material.family, ())
        for near in sizes:
            if abs(size_key(near.od_mm) - at) <= reach:
                yield near
    if setup.fitting.series is not None and setup.tube.od_mm is not None:
        series, od = setup.fitting.series, size_key(setup.tube.od_mm)
        yield from index.cones_of_size.get((series.id, od), ())
        yield from index.plates_of_size.get((series.system, od), ())


def _read(
    index: Index, rows: Iterable[AnyRow], steps: Sequence[WorkingStep], codes: Iterable[str]
) -> Iterator[AnyRow]:
    """Every row once, with the sources and texts behind it."""
    seen: dict[str, AnyRow] = {}
    for row in rows:
        seen.setdefault(row.ref, row)
        for source in row.sources if isinstance(row, Row) else ():
            seen.setdefault(f"sources/{source}", index.sources[source])
    for step in steps:
        seen.setdefault(f"sources/{step.source}", index.sources[step.source])
    for code in codes:
        seen.setdefault(f"cautions/{code}", index.cautions[code])
    yield from seen.values()


def _told(what: str, withdrawn: Withdrawn) -> str:
    return f"{what} was withdrawn by {withdrawn.by} on {withdrawn.on}: {withdrawn.reason}"
