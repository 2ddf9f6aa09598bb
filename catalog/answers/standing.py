"""What the state of a revision adds to an answer: withdrawn, superseded, not active yet, stale."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from msgspec import UNSET

from catalog.index import Index
from catalog.quantities import size_key
from catalog.questions import ToolingFacts
from catalog.rows import AnyRow, Row
from catalog.rules.raised import Raised
from catalog.setup.resolving import Setup
from catalog.standing import State, Withdrawn

WIDEST_TOLERANCE_MM: Final = 10.0
"""Widest od tolerance that a row can hold: one farther away cannot have swayed a caliper."""
_STATE_CODES: Final[dict[State, tuple[str, ...]]] = {
    "active": (),
    "superseded": ("revision.superseded",),
    "not-active-yet": ("revision.not-active-yet",),
}


def standing_raised(
    index: Index, rows: Iterable[AnyRow], formula_sources: Iterable[str], raised: Sequence[Raised]
) -> Iterator[Raised]:
    """Findings that the standing of the revision adds to an answer.

    The answer rests on `rows` and on those that `raised` names, on their sources, on those of its
    formulas, and on the texts shown with every finding.
    """
    standing = index.standing
    if standing.state == "superseded":
        yield Raised("revision.superseded", "/revision", "another revision is active by now")
    if standing.state == "not-active-yet":
        message = "this revision was never active: no ring may be pressed by it"
        yield Raised("revision.not-active-yet", "/revision", message)
    if standing.stale:
        message = "what the office decided last cannot be read: these tables may be out of date"
        yield Raised("data.stale", "/revision", message)
    if standing.whole is not None:
        yield Raised("revision.withdrawn", "/revision", _told("the revision", standing.whole))
    if standing.rows:
        named = (row for each in raised for row in each.rows)
        codes = [*(each.code for each in raised), *_STATE_CODES[standing.state]]
        if standing.stale:
            codes.append("data.stale")
        for row in _read(index, (*rows, *named), formula_sources, codes):
            if row.ref in standing.rows:
                message = _told(f"`{row.ref}`", standing.rows[row.ref])
                yield Raised("revision.withdrawn", "", message, (row,))


def rows_beside(index: Index, setup: Setup) -> Iterator[Row]:
    """Rows that were looked at beside those of the setup, and could have turned the answer.

    Sizes that a caliper might have meant, cones and plates among which the strongest was taken, and
    the sizes of a series that has none of this od.
    """
    yield from _near_sizes(index, setup)
    series, material, od_mm = setup.fitting.series, setup.tube.material, setup.tube.od_mm
    if series is None or od_mm is None:
        return
    if setup.fitting.size is None:
        for listed_mm in setup.fitting.ods_mm:
            yield index.sizes[series.id, size_key(listed_mm)]
    if material is None:
        return
    # What lies on the bench by name was not picked among others.
    named = setup.tooling or ToolingFacts()
    if named.cone is UNSET:
        yield from index.cones_of_size.get((series.id, size_key(od_mm)), ())
    if named.plate is UNSET:
        yield from index.plates_of_size.get((series.system, size_key(od_mm)), ())


def _near_sizes(index: Index, setup: Setup) -> Iterator[Row]:
    """Every other size that a reading of the caliper was held against."""
    if setup.caliper is None:
        return
    at, own = size_key(setup.caliper.measured_mm), size_key(setup.caliper.od_mm)
    reach = size_key(WIDEST_TOLERANCE_MM) + size_key(setup.caliper.uncertainty_mm)
    for sizes in index.sizes_like(setup.tube.material):
        yield from (row for row in sizes.near(at, reach) if size_key(row.od_mm) != own)


def _read(
    index: Index, rows: Iterable[AnyRow], formula_sources: Iterable[str], codes: Iterable[str]
) -> Iterator[AnyRow]:
    """Every row once, with the sources and texts behind it."""
    seen: dict[str, AnyRow] = {}
    for row in rows:
        seen.setdefault(row.ref, row)
        for source in row.sources:
            seen.setdefault(f"sources/{source}", index.sources[source])
    for source in formula_sources:
        seen.setdefault(f"sources/{source}", index.sources[source])
    for code in codes:
        seen.setdefault(f"cautions/{code}", index.cautions[code])
    yield from seen.values()


def _told(what: str, withdrawn: Withdrawn) -> str:
    return f"{what} was withdrawn by {withdrawn.by} on {withdrawn.on}: {withdrawn.reason}"
