"""Compile a revision to an index, or refuse it with every fault at once."""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from itertools import chain
from typing import TypeVar

from catalog.checking import CODE_RULES, Fault, faults_of
from catalog.families import tubes_of_families, widest
from catalog.findings import CODES
from catalog.index import AlongOd, Index
from catalog.provenance import Provenance
from catalog.quantities import size_key
from catalog.revision import FORMAT, Revision, rows_of
from catalog.rows import (
    Case,
    Caution,
    Coating,
    Cone,
    CutMethod,
    Derating,
    Fluid,
    Gauge,
    Insert,
    Material,
    Neighbour,
    Plate,
    Preparation,
    Press,
    Ring,
    Series,
    Size,
    Source,
    Strength,
    Target,
    Tube,
)

R = TypeVar("R")
K = TypeVar("K", bound=Hashable)


class CompileError(ValueError):
    """A revision with faults; `faults` holds all of them."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__(f"{len(faults)} faults, the first: {faults[0]}")
        self.faults = faults


def faults_beyond(revision: Revision, spares: Iterable[Caution | Source | Fluid]) -> list[Fault]:
    """What is wrong with a revision, but for texts and sources of the program that are at hand.

    With spares a text without a code of this program is no fault either: all of it says only that
    the revision is older than the program. A dial that is not made is none either, for the same.
    """
    spare = {row.ref for row in spares}
    if not spare:
        return faults_of(revision)
    needed = {f"cautions/{code}" for code in CODES} - spare

    def made_good(fault: Fault) -> bool:
        if fault.rule == "no-such-dial":
            return True  # stored before it was asked, and answered from all the while
        table = fault.row.partition("/")[0]
        if table == "sources":
            return fault.rule == "source-unknown" and fault.row in spare
        return table == "cautions" and fault.rule in CODE_RULES and fault.row not in needed

    return [fault for fault in faults_of(revision) if not made_good(fault)]


def compile_revision(revision: Revision, spares: Iterable[Caution | Source | Fluid] = ()) -> Index:
    """Frozen index of a revision.

    `spares` are texts that are shown with codes, and sources of formulas, that the revision has no
    row for: one that was published before a code was known must still answer. A revision of an
    older format is shown with the spare texts alone, and knows the spare fluids.

    Errors: `CompileError` with every missing reference, doubled key and overlapping band.
    """
    given = tuple(spares)
    if faults := faults_beyond(revision, given):
        raise CompileError(faults)
    texts = {row.code: row for row in rows_of(revision, Caution)}
    ours = {row.code: row for row in given if isinstance(row, Caution)}
    # Texts of an older format speak in words that have since changed their meaning.
    texts = ours | texts if revision.manifest.format == FORMAT else texts | ours
    sources = {row.id: row for row in given if isinstance(row, Source)}
    sources |= {row.id: row for row in rows_of(revision, Source)}
    # Tables of older formats have no fluids, only their names.
    fluids = {row.id: row for row in given if isinstance(row, Fluid)}
    if revision.manifest.format == FORMAT:
        fluids = {}
    fluids |= {row.id: row for row in rows_of(revision, Fluid)}
    materials = rows_of(revision, Material)
    gauges = {row.id: row for row in rows_of(revision, Gauge)}
    presses = {row.id: row for row in rows_of(revision, Press)}
    return Index(
        revision=revision.id,
        sources=sources,
        provenance=Provenance.of(
            sources.values(),
            chain(*revision.tables.values(), fluids.values()),
        ),
        materials={row.id: row for row in materials},
        material_names={name.casefold(): row for row in materials for name in row.names},
        strengths=_groups(rows_of(revision, Strength), lambda r: r.material),
        tubes={
            (row.standard, size_key(row.od_mm), size_key(row.wall_mm)): row
            for row in rows_of(revision, Tube)
        },
        neighbours=AlongOd.of(rows_of(revision, Neighbour)),
        widest={
            family: AlongOd.of(widest(tubes).values())
            for family, tubes in sorted(tubes_of_families(revision).items())
        },
        series={row.id: row for row in rows_of(revision, Series)},
        sizes={(row.series, size_key(row.od_mm)): row for row in rows_of(revision, Size)},
        ods_of_series={
            series: tuple(row.od_mm for row in rows)
            for series, rows in _groups(rows_of(revision, Size), lambda r: r.series).items()
        },
        derating=_groups(rows_of(revision, Derating), lambda r: r.family),
        rings={row.id: row for row in rows_of(revision, Ring)},
        ring_sets=_groups(rows_of(revision, Ring), lambda r: (r.series, r.ring_style, r.material)),
        ring_sets_of_size=_groups(
            rows_of(revision, Ring),
            lambda r: (
                *(r.series, r.ring_style, r.material),
                None if r.od_mm is None else size_key(r.od_mm),
            ),
        ),
        inserts={(row.family, size_key(row.od_mm)): row for row in rows_of(revision, Insert)},
        presses=presses,
        gauges=gauges,
        pairs=tuple((press, gauges[g]) for press in presses.values() for g in press.gauges),
        cones={row.id: row for row in rows_of(revision, Cone)},
        cones_of_size=_groups(rows_of(revision, Cone), lambda r: (r.series, size_key(r.od_mm))),
        plates={row.id: row for row in rows_of(revision, Plate)},
        plates_of_size=_groups(rows_of(revision, Plate), lambda r: (r.system, size_key(r.od_mm))),
        targets=_groups(
            rows_of(revision, Target),
            lambda r: (r.series, size_key(r.od_mm), r.family, r.ring_style, r.grade),
        ),
        graded=frozenset(
            (row.series, row.ring_style, row.grade)
            for row in rows_of(revision, Target)
            if row.grade is not None
        ),
        preparation=_groups(rows_of(revision, Preparation), lambda r: r.system),
        cut_methods={row.id: row for row in rows_of(revision, CutMethod)},
        coatings={row.id: row for row in rows_of(revision, Coating)},
        fluids=fluids,
        words={
            "materials": tuple(word for row in materials for word in (row.id, *row.names)),
            "fluids": tuple(fluids),
            **{
                kind.table: tuple(row.ref.partition("/")[2] for row in rows_of(revision, kind))
                for kind in (Series, Ring, Press, Gauge, Cone, Plate, CutMethod, Coating)
            },
        },
        cautions=texts,
        cases=rows_of(revision, Case),
    )


def _groups(rows: Iterable[R], key: Callable[[R], K]) -> dict[K, tuple[R, ...]]:
    """Rows by a key, each group in canonical order."""
    groups: dict[K, list[R]] = defaultdict(list)
    for row in rows:
        groups[key(row)].append(row)
    return {k: tuple(group) for k, group in groups.items()}
