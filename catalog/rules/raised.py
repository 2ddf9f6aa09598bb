"""What a rule raises, and how it tells a number: in the units of the answer."""

from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from functools import lru_cache
from typing import Final, Protocol

from msgspec import Struct

from catalog.facts import LEAST_PROOF_FACTOR, PROOF_FACTOR, escaped
from catalog.figures import DIGITS, DUST_FREE, at_most, figure
from catalog.older import renamed_id
from catalog.quantities import above, quantity
from catalog.questions import AnswerUnits
from catalog.rows import AnyRow
from catalog.setup.day import Day
from catalog.terms import Unit

MOST_NAMED: Final = 6
"""Ids that a message names."""
NOT_STATED: Final = "not stated"
"""Message of a fact that is left out: the finding says what to state instead."""


class Raised(Struct, frozen=True, gc=False, cache_hash=True):
    """A code with the field that it is about, its message, and the rows that say so.

    INVARIANT: only `with_dial` may hold a number of the dial; it is told instead of `message` where
    nothing but the reading itself stands against pressing. With an empty `message` the finding is
    raised there alone: that it is raised would give the window away.
    """

    code: str
    at: str
    message: str
    rows: tuple[AnyRow, ...] = ()
    with_dial: str = ""


class InUnits(Protocol):
    """What is judged, with the units of its answer."""

    @property
    def units(self) -> AnswerUnits:
        """Units of the answer."""


def told(value: float, ours: Unit, wanted: Unit) -> str:
    """Number with its unit as a message shows it."""
    shown = quantity(value, ours, wanted)
    return f"{figure(shown.value)} {shown.unit}"


def at_the_most(limit: float, ours: Unit, wanted: Unit) -> str:
    """Limit with its unit, rounded down.

    >>> at_the_most(63.0, "MPa", "psi"), told(63.0, "MPa", "psi")
    ('9137.3 psi', '9137.4 psi')
    """
    shown = quantity(limit, ours, wanted)
    return f"{at_most(shown.value)} {shown.unit}"


def apart(value: float, limit: float, ours: Unit, wanted: Unit) -> tuple[str, str]:
    """Number, and limit rounded down, with as many digits as it takes to tell them apart.

    >>> apart(24.453, 24.4529762, "MPa", "bar")
    ('244.53 bar', '244.5297 bar')
    """
    shown, most = quantity(value, ours, wanted), quantity(limit, ours, wanted)
    one = other = ""
    for digits in range(DIGITS, DUST_FREE + 1):
        one, other = figure(shown.value, digits), at_most(most.value, digits)
        if one not in {other, figure(most.value, digits)}:
            break
    return f"{one} {shown.unit}", f"{other} {most.unit}"


class WithWords(Protocol):
    """What is judged, with the ids of each table that a question may name."""

    @property
    def words(self) -> Mapping[str, tuple[str, ...]]:
        """Ids by table."""


def unknown_id(
    named: WithWords,
    code: str,
    at: str,
    value: str,
    table: str,
    first: Sequence[str] = (),
) -> Raised:
    """What an id raises that the revision does not hold: the nearest that it does are named.

    Where none is near, some that are known are, those of `first` before the others.
    """
    words, name = named.words[table], table.replace("_", " ")
    known = listed([f"`{each}`" for each in dict.fromkeys((*first, *words))])
    hint = nearest(words, value) or (f"known are {known}" if known else "none is known")
    return Raised(code, at, f"`{value}` is not in the {name} of this revision, {hint}")


@lru_cache(maxsize=256)
def nearest(words: tuple[str, ...], value: str) -> str:
    """Ids that an unknown one may have been meant for, "" where none is near."""
    now = renamed_id(value)
    if now != value:
        return f"ids of this form are written like `{now}` now"
    by_form = {word.casefold(): word for word in words}
    near = get_close_matches(value.casefold(), by_form, n=2)
    return "nearest is " + " or ".join(f"`{by_form[form]}`" for form in near) if near else ""


def listed(parts: Sequence[str]) -> str:
    """As many parts as a message names, and how many more there are."""
    named = ", ".join(parts[:MOST_NAMED])
    return f"{named} and {len(parts) - MOST_NAMED} more" if len(parts) > MOST_NAMED else named


def tool_at(day: Day, tool: str, field: str, plain: str) -> str:
    """Pointer of the state of a tool: by its id in a pick, else the plain field of a setup."""
    if tool in day.tools:
        return f"/tools/{escaped(tool)}/{field}"
    return f"/tool_state/{plain}"


def proof_factor_low(at: str, factor: float) -> Iterator[Raised]:
    """What a proof factor below the usual one raises, in an assembly and in a tube rating alike."""
    if above(LEAST_PROOF_FACTOR, factor):
        message = f"proof factor {factor:g}, limit {LEAST_PROOF_FACTOR:g}"
        yield Raised("service.proof-factor-too-low", at, message)
    elif above(PROOF_FACTOR, factor):
        message = f"proof factor {factor:g}, usual is {PROOF_FACTOR:g}"
        yield Raised("service.proof-factor-low", at, message)


def length(on: InUnits, mm: float) -> str:
    """Length in the unit of the answer."""
    return told(mm, "mm", on.units.length)


def pressure(on: InUnits, mpa: float) -> str:
    """Pressure in the unit of the answer."""
    return told(mpa, "MPa", on.units.pressure)


def pressure_limit(on: InUnits, mpa: float) -> str:
    """Greatest pressure in the unit of the answer, rounded down."""
    return at_the_most(mpa, "MPa", on.units.pressure)


def force_limit(on: InUnits, kn: float) -> str:
    """Greatest force in the unit of the answer, rounded down."""
    return at_the_most(kn, "kN", on.units.force)


def temperature(on: InUnits, deg_c: float) -> str:
    """Temperature in the unit of the answer."""
    return told(deg_c, "degC", on.units.temperature)
