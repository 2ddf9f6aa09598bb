"""The columns of a table as a loader sees them, read from the type of the row itself."""

import functools
from typing import Any, Final, Literal, get_type_hints

from msgspec import Struct, inspect, structs

from catalog.quantities import convertible_units
from catalog.rows import TABLES
from catalog.rows.row import Id, Name
from catalog.wanted import wanted

Form = Literal["number", "whole", "truth", "text", "list"]

_ID: Final = inspect.type_info(Id)
_NAME: Final = inspect.type_info(Name)
# Short marks besides the ids that a spreadsheet takes for dates or numbers.
_MARKS: Final = frozenset({"designation", "thread", "label", "standard"})
_UNIT_WORDS: Final = (
    "mm cm m um in inch inches ft mpa kpa pa bar psi ksi kn n kp kgf lbf lb kg t mm2 cm2 in2 mm3"
    " cm3 in3 ml l c f k degc degf celsius fahrenheit deg degrees rad percent pct days day hours h"
    " weeks months hrb hrc hv hb"
)
UNITS: Final = frozenset(_UNIT_WORDS.split())
"""Units as the end of a name of a column or a cell writes them, in small letters."""


_SPELT: Final = {
    "kn": "kN",
    "n": "N",
    "pa": "Pa",
    "mpa": "MPa",
    "kpa": "kPa",
    "c": "degC",
    "f": "degF",
    "degc": "degC",
    "degf": "degF",
}


class Column(Struct, frozen=True, kw_only=True):
    """One column: its name, what its cells must be, and what a blank in it says."""

    name: str
    kind: Any
    form: Form
    wanted: str
    needed: bool
    blank: Any
    is_mark: bool
    """Whether it holds ids or short marks, never prose."""
    is_id: bool
    longest: int | None
    """Letters that a text, or an item of a list, may have."""
    words: tuple[str, ...]
    """Words of the closed list that says what may stand here; none where there is no such list."""
    sent_as: str = ""
    """Name under which it was sent in another unit."""

    @property
    def sent_name(self) -> str:
        """Name under which it was sent, in whatever unit: what an office finds in its file."""
        return self.sent_as or self.name

    @property
    def sent_unit(self) -> str:
        """Unit that the name says under which it was sent, blank where it says none."""
        return stem_and_unit(self.sent_name)[1]

    @property
    def is_closed(self) -> bool:
        """Whether a closed list says what may stand here."""
        return bool(self.words)

    @property
    def is_number(self) -> bool:
        """Whether its cells are numbers."""
        return self.form in {"number", "whole"}


@functools.cache
def columns_of(table: str) -> dict[str, Column]:
    """Columns of a table by name, as an office reads them: the key first, the source last."""
    kind = TABLES[table]
    hints = get_type_hints(kind, include_extras=True)
    names = sorted(kind.__struct_fields__, key=lambda name: name == "source")
    return {name: _column(name, hints[name]) for name in names}


def stem_and_unit(name: str) -> tuple[str, str]:
    """Name of a column without the unit at its end, and that unit.

    >>> stem_and_unit("rated_pressure_psi"), stem_and_unit("finish")
    (('rated_pressure', 'psi'), ('finish', ''))
    """
    stem, _, end = name.rpartition("_")
    return (stem, end) if stem and end in UNITS else (name, "")


def in_other_unit(table: str, name: str) -> Column | None:
    """Column of numbers that a name means with another unit of the same kind, None where none.

    >>> in_other_unit("targets", "force_lbf").name, in_other_unit("targets", "force_psi")
    ('force_kn', None)
    """
    stem, unit = stem_and_unit(name)
    for column in columns_of(table).values():
        ours, our_unit = stem_and_unit(column.name)
        if stem == ours and column.form == "number" and unit in convertible_units(our_unit):
            # Bounds are in our unit: beside a cell in another they would ask for a wrong number.
            plain = f"a plain number in {spelt(unit)}"
            return structs.replace(column, sent_as=name, wanted=plain)
    return None


def spelt(unit: str) -> str:
    """A unit as people write it.

    >>> spelt("kn"), spelt("mm")
    ('kN', 'mm')
    """
    return _SPELT.get(unit, unit)


def _column(name: str, kind: Any) -> Column:
    told = inspect.type_info(kind)
    parts = told.types if isinstance(told, inspect.UnionType) else (told,)
    plain = [p.type if isinstance(p, inspect.Metadata) else p for p in parts]
    (info,) = [p for p in plain if not isinstance(p, inspect.NoneType)]
    optional = len(plain) > 1
    item = info.item_type if isinstance(info, inspect.VarTupleType) else info
    form = _form(info)
    is_id = item == _ID
    # The form of a name is that it can stand in a list.
    if form == "truth":
        in_words = "`yes` or `no`"
    elif item == _NAME:
        in_words = "a list of names"
    elif is_id:
        in_words = "a list of ids" if form == "list" else "an id"
    else:
        in_words = wanted(kind)
    may_be_blank = (
        isinstance(info, inspect.StrType) and not info.min_length and info.pattern is None
    )
    return Column(
        name=name,
        kind=kind,
        form=form,
        wanted=in_words,
        needed=not (optional or form == "list" or may_be_blank),
        blank=None if optional else () if form == "list" else "",
        is_mark=is_id or name in _MARKS,
        is_id=is_id,
        longest=item.max_length if isinstance(item, inspect.StrType) else None,
        words=tuple(map(str, item.values)) if isinstance(item, inspect.LiteralType) else (),
    )


def _form(info: inspect.Type) -> Form:
    match info:
        case inspect.FloatType():
            return "number"
        case inspect.IntType():
            return "whole"
        case inspect.BoolType():
            return "truth"
        case inspect.VarTupleType():
            return "list"
        case _:
            return "text"
