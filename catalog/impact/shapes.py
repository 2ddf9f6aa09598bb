"""What a revised table changes: outcomes before and after, and how many of each kind."""

from typing import Annotated, Literal

from msgspec import Struct

from catalog.terms import Family, Finish, InsertState, RingStyle, Verdict
from catalog.wanted import about

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
DialPart = Literal["reading", "low", "high", "never-exceed", "scale"]
"""What of a dial can move: the ends of the window, the reading that is never exceeded, its unit or
graduation (`scale`); and the reading to press to, where its graduations cannot be told instead."""
LimitName = Literal["tube-static", "tube-pulsating", "tube-yield", "fitting", "seal"]


class End(Struct, frozen=True, order=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A tube end and its ring, as a question names them."""

    series: Annotated[str, about("id of the series")]
    od_mm: Annotated[float, about("nominal outside diameter in mm")]
    wall_mm: Annotated[float, about("nominal wall in mm")]
    material: Annotated[str, about("id of the grade")]
    ring_style: Annotated[RingStyle, about("how the ring seals")]
    ring_material: Annotated[Family, about("material of the ring")]
    ring: Annotated[str, about("id of the ring set; empty for any of the series")]
    insert: Annotated[InsertState, about("whether a support insert is fitted")]


class Outcome(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What a press target says: its verdict, the codes behind it, the tooling, and the forces.

    None where the answer has none, as where it is refused. No reading is here: a report holds many
    sizes, and a list of readings by size would be pressed by on the wrong press.
    """

    verdict: Annotated[Verdict, about("whether to press")]
    codes: Annotated[tuple[str, ...], about("codes of the findings")]
    cone: Annotated[str | None, about("id of the cone; null where none is known")]
    plate: Annotated[str | None, about("id of the plate; null where none is known")]
    finish: Annotated[
        Finish | None, about("what ends the pressing; null where there is no target")
    ] = None
    force_kn: Annotated[float | None, about("force in kN; null where there is no target")] = None
    force_low_kn: Annotated[float | None, about("least force of the band in kN")] = None
    force_high_kn: Annotated[float | None, about("greatest force of the band in kN")] = None
    ceiling_kn: Annotated[float | None, about("force that is never exceeded, in kN")] = None
    marks: Annotated[int | None, about("graduations inside the window of the dial")] = None

    @property
    def allowed(self) -> bool:
        """Whether a ring may be pressed by it."""
        return self.verdict in {"allowed", "allowed-with-cautions"}


class Ground(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A row that an answer warns of otherwise than before; empty where it does not."""

    row: Annotated[str, about("name of the row")]
    before: Annotated[tuple[Doubtful, ...], about("what the answer warned of")]
    after: Annotated[tuple[Doubtful, ...], about("what it warns of now")]


class DialMove(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What moved on the dial of a press and gauge, as a share of where it was."""

    of: Annotated[DialPart, about("what moved")]
    by: Annotated[
        float | None,
        about(
            "relative change, without unit, below 0 where it is less now; null where it came, went "
            "or is no number"
        ),
    ]


class TargetChange(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A question that is answered otherwise; `relative` is the largest change of its numbers."""

    kind: Annotated[ChangeKind, about("what is answered otherwise")]
    end: Annotated[End, about("tube end that was asked about")]
    press: Annotated[str, about("id of the press")]
    gauge: Annotated[str, about("id of the gauge")]
    relative: Annotated[
        float, about("largest relative change of its numbers, without unit: 0.01 is one percent")
    ]
    before: Annotated[Outcome, about("the answer before")]
    after: Annotated[Outcome, about("the answer after")]
    stop_moves: Annotated[
        int | None,
        about(
            "graduations by which the mark to stop at moves, below 0 where it is lower now; null "
            "where either answer has no such mark, or the scale is another one"
        ),
    ]
    dial: Annotated[tuple[DialMove, ...], about("what moved on the dial")]
    grounds: Annotated[tuple[Ground, ...], about("rows that the answer warns of otherwise")]


class RatedLimit(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """One limit of an assembly."""

    of: Annotated[LimitName, about("what the limit is of")]
    bar: Annotated[float, about("pressure in bar")]


class Rated(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What an assembly carries, static and pulsating, and what governs; None where not known.

    `limits` are all that are known, those that do not govern too.
    """

    static_bar: Annotated[
        float | None, about("pressure of a static line in bar; null where it is not known")
    ]
    static_governing: Annotated[str | None, about("limit that governs a static line")]
    pulsating_bar: Annotated[
        float | None, about("pressure of a pulsating line in bar; null where it is not known")
    ]
    limits: Annotated[tuple[RatedLimit, ...], about("every limit that is known")]


class RatingChange(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """An assembly of which a limit is another one at a temperature; `moved` names which."""

    end: Annotated[End, about("tube end that was asked about")]
    temp_c: Annotated[float, about("temperature in degC")]
    relative: Annotated[
        float, about("largest relative change of its limits, without unit: 0.01 is one percent")
    ]
    moved: Annotated[tuple[LimitName, ...], about("limits that moved")]
    before: Annotated[Rated, about("the rating before")]
    after: Annotated[Rated, about("the rating after")]


class Totals(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """How many questions were asked of both revisions, and how many are answered otherwise."""

    questions: Annotated[int, about("press targets that were asked of both revisions")]
    newly_allowed: Annotated[int, about("allowed now, not before")]
    newly_refused: Annotated[int, about("allowed before, not now")]
    target_changed: Annotated[int, about("allowed by both, with another target")]
    tooling_changed: Annotated[int, about("allowed by both, with another cone or plate")]
    cautions_changed: Annotated[int, about("allowed by both, with other cautions")]
    grounds_changed: Annotated[
        int, about("the same answer, resting on rows that are warned of otherwise")
    ]
    refused_otherwise: Annotated[int, about("refused by both, for other reasons")]
    ratings: Annotated[int, about("assemblies that were rated by both revisions")]
    ratings_changed: Annotated[int, about("ratings that differ")]
    coverage_lost: Annotated[int, about("ends that no press and gauge can do any more")]
    coverage_gained: Annotated[int, about("ends that some press and gauge can do now")]


class Impact(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """All that is answered otherwise, largest relative change first within its kind.

    `coverage_lost` and `coverage_gained` are ends that no press and gauge can do any more, or that
    some can do now. `not_replayed` names tables with changed rows, and columns of changed rows
    (`table.column`), that no question here reads, or not in full: see the rows for those.
    """

    totals: Annotated[Totals, about("how many of each kind")]
    changes: Annotated[
        tuple[TargetChange, ...],
        about("press targets that are answered otherwise, largest change first within a kind"),
    ]
    ratings: Annotated[tuple[RatingChange, ...], about("ratings that differ, largest change first")]
    coverage_lost: Annotated[tuple[End, ...], about("ends that no press and gauge can do any more")]
    coverage_gained: Annotated[tuple[End, ...], about("ends that some press and gauge can do now")]
    not_replayed: Annotated[
        tuple[str, ...],
        about("tables and columns (`table.column`) that changed and that no question here reads"),
    ]
