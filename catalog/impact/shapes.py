"""What a revised table changes: outcomes before and after, and how many of each kind."""

from typing import Literal

from msgspec import Struct

from catalog.terms import Family, Finish, InsertState, PressureUnit, RingStyle, Verdict

ChangeKind = Literal[
    "newly-allowed",
    "newly-refused",
    "target-changed",
    "tooling-changed",
    "cautions-changed",
    "grounds-changed",
    "refused-otherwise",
]
Doubtful = Literal["memory", "demonstration"]
"""What an answer warns of by `data.memory` and by `data.demonstration`."""
LimitName = Literal["tube-static", "tube-pulsating", "tube-yield", "fitting", "seal"]


class End(Struct, frozen=True, order=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A tube end and its ring, as a question names them."""

    series: str
    od_mm: float
    wall_mm: float
    material: str
    ring_style: RingStyle
    ring_material: Family
    ring: str
    insert: InsertState


class Outcome(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What a press target says: its verdict, the codes behind it, the tooling, and the numbers.

    Readings are in the unit of the dial; None where the answer has none, as where it is refused.
    `low` and `high` are the window, at contact where contact is expected.
    """

    verdict: Verdict
    codes: tuple[str, ...]
    cone: str | None
    plate: str | None
    finish: Finish | None = None
    force_kn: float | None = None
    force_low_kn: float | None = None
    force_high_kn: float | None = None
    ceiling_kn: float | None = None
    reading: float | None = None
    low: float | None = None
    high: float | None = None
    marks: int | None = None
    never_exceed: float | None = None
    unit: PressureUnit | None = None

    @property
    def allowed(self) -> bool:
        """Whether a ring may be pressed by it."""
        return self.verdict in {"allowed", "allowed-with-cautions"}


class Ground(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A row that an answer warns of otherwise than before; empty where it does not."""

    row: str
    before: tuple[Doubtful, ...]
    after: tuple[Doubtful, ...]


class TargetChange(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A question that is answered otherwise; `relative` is the largest change of its numbers."""

    kind: ChangeKind
    end: End
    press: str
    gauge: str
    relative: float
    before: Outcome
    after: Outcome
    grounds: tuple[Ground, ...]


class RatedLimit(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """One limit of an assembly."""

    of: LimitName
    bar: float


class Rated(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What an assembly carries, static and pulsating, and what governs; None where not known.

    `limits` are all that are known, those that do not govern too.
    """

    static_bar: float | None
    static_governing: str | None
    pulsating_bar: float | None
    limits: tuple[RatedLimit, ...]


class RatingChange(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """An assembly of which a limit is another one at a temperature; `moved` names which."""

    end: End
    temp_c: float
    relative: float
    moved: tuple[LimitName, ...]
    before: Rated
    after: Rated


class Totals(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """How many questions were asked of both revisions, and how many are answered otherwise."""

    questions: int
    newly_allowed: int
    newly_refused: int
    target_changed: int
    tooling_changed: int
    cautions_changed: int
    grounds_changed: int
    refused_otherwise: int
    ratings: int
    ratings_changed: int
    coverage_lost: int
    coverage_gained: int


class Impact(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """All that is answered otherwise, largest relative change first within its kind.

    `coverage_lost` and `coverage_gained` are ends that no press and gauge can do any more, or that
    some can do now. `not_replayed` names tables with changed rows, and columns of changed rows
    (`table.column`), that no question here reads, or not in full: see the rows for those.
    """

    totals: Totals
    changes: tuple[TargetChange, ...]
    ratings: tuple[RatingChange, ...]
    coverage_lost: tuple[End, ...]
    coverage_gained: tuple[End, ...]
    not_replayed: tuple[str, ...]
