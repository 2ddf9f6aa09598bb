"""Sources behind rows and formulas, as bits: known once a revision is compiled."""

from collections.abc import Iterable
from typing import Annotated, Final, Self

from msgspec import Struct

from catalog.rows import AnyRow, Source
from catalog.terms import Grade
from catalog.wanted import about

_MOST_NOTED: Final = 512
"""Sets of sources that are remembered as an answer shows them: a kilobyte each."""


class SourceNote(Struct, frozen=True, kw_only=True, gc=False):
    """A source that the answer rests on, and how far it is trusted."""

    id: Annotated[str, about("id of the source")]
    title: Annotated[str, about("title of the source")]
    edition: Annotated[str, about("edition that was read; empty where it has none")]
    clause: Annotated[str, about("place in the source; empty for all of it")]
    grade: Annotated[Grade, about("how far it is trusted")]


class Provenance(Struct, frozen=True, kw_only=True, eq=False):
    """Sources of a revision as bits, the lowest that of the first id.

    `bits` are those of each set of sources that a row names, and of each source alone; `memory` and
    `demonstration` those that an answer warns of.
    """

    notes: tuple[SourceNote, ...]
    bits: dict[tuple[str, ...], int]
    memory: int
    demonstration: int
    noted: dict[int, tuple[SourceNote, ...]] = {}

    @classmethod
    def of(cls, sources: Iterable[Source], rows: Iterable[AnyRow]) -> Self:
        """Provenance of these rows, all of whose sources are given."""
        ordered = sorted(sources, key=lambda source: source.id)
        bit = {source.id: 1 << n for n, source in enumerate(ordered)}
        return cls(
            notes=tuple(
                SourceNote(
                    id=s.id, title=s.title, edition=s.edition, clause=s.clause, grade=s.grade
                )
                for s in ordered
            ),
            bits={
                ids: sum(bit[source] for source in ids)
                for ids in {row.sources for row in (*ordered, *rows)}
            },
            memory=sum(bit[s.id] for s in ordered if s.grade in {"secondary", "memory"}),
            demonstration=sum(bit[s.id] for s in ordered if s.grade == "demonstration"),
        )

    def notes_of(self, named: Iterable[tuple[str, ...]]) -> tuple[SourceNote, ...]:
        """All sources of these sets of them, by id."""
        bits = 0
        for sources in named:
            bits |= self.bits[sources]
        notes = self.noted.get(bits)
        if notes is None:
            if len(self.noted) >= _MOST_NOTED:
                self.noted.clear()
            notes = tuple(note for n, note in enumerate(self.notes) if bits >> n & 1)
            self.noted[bits] = notes
        return notes
