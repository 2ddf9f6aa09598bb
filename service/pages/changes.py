"""Changed answers as they stand on a page: those of one tube end together."""

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final, TypeVar

from msgspec import Struct, structs

from catalog.figures import at_most
from catalog.findings import CODES
from catalog.impact import End, Outcome, RatingChange, TargetChange
from catalog.publishing import dial_text, stop_text
from catalog.rows import number_text
from service.pages.figures import NONE, Shift, percent, shift, window

_BLOCKING: Final = {"reject", "unknown"}

T = TypeVar("T", TargetChange, RatingChange)


class Pressing(Struct, frozen=True, kw_only=True):
    """How hard a ring is pressed [kN], whatever the press and the gauge."""

    finish: Shift
    force: Shift
    band: Shift
    ceiling: Shift


class Named(Struct, frozen=True, kw_only=True):
    """Something that differs, by its name."""

    name: str
    shift: Shift


class Pairs(Struct, frozen=True, kw_only=True):
    """A press with those of its gauges that answer the same."""

    press: str
    gauges: tuple[str, ...]


class Told(Struct, frozen=True, kw_only=True):
    """A changed answer of some pairs; what its whole group shares is told there alone."""

    pairs: tuple[Pairs, ...]
    relative: str
    verdict: Shift
    came: tuple[str, ...]
    went: tuple[str, ...]
    stayed: tuple[str, ...]
    tooling: tuple[Named, ...]
    grounds: tuple[Named, ...]
    pressing: Pressing | None
    marks: Shift
    stop: str
    dial: tuple[str, ...]


class Group(Struct, frozen=True, kw_only=True):
    """Changes of one tube end; `of` counts those that are not shown too."""

    end: str
    shown: int
    of: int
    throughout: tuple[str, ...]
    pressing: Pressing | None
    changes: tuple[Told, ...]


class Rerated(Struct, frozen=True, kw_only=True):
    """A changed rating at a temperature."""

    temp_c: str
    relative: str
    static: Shift
    governing: Shift
    pulsating: Shift
    limits: tuple[Named, ...]


class RatingGroup(Struct, frozen=True, kw_only=True):
    """Changed ratings of one assembly; `of` counts those that are not shown too."""

    end: str
    of: int
    ratings: tuple[Rerated, ...]


def grouped_changes(
    shown: Sequence[TargetChange], every: Sequence[TargetChange]
) -> tuple[Group, ...]:
    """Changes by tube end, the end with the largest change first."""
    counts = Counter(change.end for change in every)
    return tuple(_group(end, changes, counts[end]) for end, changes in _by_end(shown).items())


def grouped_ratings(
    shown: Sequence[RatingChange], every: Sequence[RatingChange]
) -> tuple[RatingGroup, ...]:
    """Changed ratings by assembly, the one with the largest change first."""
    counts = Counter(change.end for change in every)
    return tuple(
        RatingGroup(
            end=assembly_name(end),
            of=counts[end],
            ratings=tuple(_rerated(change) for change in changes),
        )
        for end, changes in _by_end(shown).items()
    )


def end_name(end: End) -> str:
    """Tube end and ring in words."""
    insert = "with an insert" if end.insert == "fitted" else "without insert"
    return f"{assembly_name(end)}, {insert}"


def assembly_name(end: End) -> str:
    """Tube end and ring in words, for what the insert has no part in."""
    return (
        f"series {end.series}, {number_text(end.od_mm)} x {number_text(end.wall_mm)} mm, "
        f"{end.material}, {end.ring_style} ring of {end.ring_material} ({end.ring})"
    )


def _by_end(changes: Iterable[T]) -> dict[End, list[T]]:
    groups: dict[End, list[T]] = {}
    for change in changes:
        groups.setdefault(change.end, []).append(change)
    return groups


def _group(end: End, changes: Sequence[TargetChange], of: int) -> Group:
    shared = set.intersection(*(set(o.codes) for c in changes for o in (c.before, c.after)))
    pressings = {_pressing(change.before, change.after) for change in changes}
    alone = pressings.pop() if len(pressings) == 1 else None
    alike: dict[Told, dict[str, list[str]]] = {}
    for change in changes:
        told = _told(change, shared)
        if alone is not None:
            told = structs.replace(told, pressing=None)
        alike.setdefault(told, {}).setdefault(change.press, []).append(change.gauge)
    return Group(
        end=end_name(end),
        shown=len(changes),
        of=of,
        throughout=tuple(_named(code) for code in changes[0].before.codes if code in shared),
        pressing=alone if alone is None or _has_numbers(alone) else None,
        changes=tuple(
            structs.replace(
                told,
                pairs=tuple(Pairs(press=p, gauges=tuple(gauges)) for p, gauges in presses.items()),
            )
            for told, presses in alike.items()
        ),
    )


def _told(change: TargetChange, shared: set[str]) -> Told:
    old, new = change.before, change.after
    pressing = _pressing(old, new)
    return Told(
        pairs=(),
        relative=percent(change.relative),
        verdict=Shift(before=old.verdict, after=new.verdict),
        came=tuple(_named(code) for code in new.codes if code not in old.codes),
        went=tuple(_named(code) for code in old.codes if code not in new.codes),
        stayed=tuple(
            _named(code) for code in old.codes if code in new.codes and code not in shared
        ),
        tooling=tuple(
            Named(name=name, shift=_words(was, now))
            for name, was, now in (("cone", old.cone, new.cone), ("plate", old.plate, new.plate))
            if was != now
        ),
        grounds=tuple(
            Named(name=each.row, shift=_words(" and ".join(each.before), " and ".join(each.after)))
            for each in change.grounds
        ),
        pressing=pressing if _has_numbers(pressing) else None,
        marks=_words(*("" if o.marks is None else str(o.marks) for o in (old, new))),
        stop=stop_text(change),
        dial=tuple(dial_text(move) for move in change.dial),
    )


def _pressing(old: Outcome, new: Outcome) -> Pressing:
    return Pressing(
        finish=_words(old.finish, new.finish),
        force=shift(old.force_kn, new.force_kn, unit="kN"),
        band=window(
            (old.force_low_kn, old.force_high_kn), (new.force_low_kn, new.force_high_kn), "kN"
        ),
        ceiling=shift(old.ceiling_kn, new.ceiling_kn, at_most, "kN"),
    )


def _has_numbers(pressing: Pressing) -> bool:
    return not (pressing.force.same and pressing.force.before == NONE)


def _words(before: str | None, after: str | None) -> Shift:
    return Shift(before=before or NONE, after=after or NONE)


def _named(code: str) -> str:
    known = CODES.get(code)
    grave = known is not None and known.severity in _BLOCKING
    return f"{code} ({known.severity})" if known is not None and grave else code


def _rerated(change: RatingChange) -> Rerated:
    old, new = change.before, change.after
    was, now = ({limit.of: limit.bar for limit in rated.limits} for rated in (old, new))
    return Rerated(
        temp_c=number_text(change.temp_c),
        relative=_rerating(change),
        static=shift(old.static_bar, new.static_bar, at_most),
        governing=_words(old.static_governing, new.static_governing),
        pulsating=shift(old.pulsating_bar, new.pulsating_bar, at_most),
        limits=tuple(
            Named(name=of, shift=shift(was.get(of), now.get(of), at_most)) for of in change.moved
        ),
    )


def _rerating(change: RatingChange) -> str:
    old, new = change.before, change.after
    if (old.static_bar is None) != (new.static_bar is None):
        return "now known" if old.static_bar is None else "no longer known"
    if not change.relative and len(old.limits) != len(new.limits):
        return "now known" if len(old.limits) < len(new.limits) else "no longer known"
    return percent(change.relative)
