"""One frozen Struct per table: its columns, their types and bounds, and its key.

A column carries its unit in its name. Every row names its `source`; a second column that ends in
`_source` names the source of a part of the row that comes from elsewhere. A blank cell is None and
means that the source says nothing.
"""

from catalog.rows.bench import Case, Caution, Coating, CutMethod, Fluid, Preparation, Target
from catalog.rows.fittings import Derating, Ring, Series, Size
from catalog.rows.row import Row, canonical_line, key_of, number_text
from catalog.rows.shop import Cone, Gauge, Plate, Press
from catalog.rows.sources import Source
from catalog.rows.tubes import Insert, Material, Neighbour, Strength, Tube

__all__ = [
    "TABLES",
    "AnyRow",
    "Case",
    "Caution",
    "Coating",
    "Cone",
    "CutMethod",
    "Derating",
    "Fluid",
    "Gauge",
    "Insert",
    "Material",
    "Neighbour",
    "Plate",
    "Preparation",
    "Press",
    "Ring",
    "Row",
    "Series",
    "Size",
    "Source",
    "Strength",
    "Target",
    "Tube",
    "canonical_line",
    "key_of",
    "number_text",
]

AnyRow = Row | Source

TABLES: dict[str, type[Row] | type[Source]] = {
    t.table: t
    for t in (
        Source,
        Material,
        Strength,
        Tube,
        Neighbour,
        Series,
        Size,
        Derating,
        Ring,
        Insert,
        Press,
        Gauge,
        Cone,
        Plate,
        Target,
        Preparation,
        CutMethod,
        Coating,
        Fluid,
        Caution,
        Case,
    )
}
"""Every table of a revision, by name, in the order in which they are told."""
