"""What a revision changes for the open items of a work order."""

from datetime import date
from typing import Annotated, Final

from litestar import Response, post
from litestar.params import FromPath
from msgspec import UNSET, Struct, UnsetType, structs

from catalog.answers.picking import Picked, picked
from catalog.answers.pressing import forces_of
from catalog.answers.shapes import AssemblyRating, Pair, PartsList, PressTarget
from catalog.impact import DialMove, Readings, dial_moves, readings_of, stop_moves
from catalog.index import Index
from catalog.questions import ToolingPickQuestion
from catalog.setup.day import pick_day
from catalog.terms import InsertState, Verdict
from catalog.wanted import about
from service.edge.decoding import StrictRequest
from service.routes.answers import dated
from service.routes.asking import index_of, received_of, refuse_outdated
from service.routes.batches import Items, in_turns

_FOLLOWING: Final = {"headline", "sources"}
"""Parts of a pick that differ only where another does."""


class ItemOutcome(Struct, frozen=True, kw_only=True):
    """What a pick says to an item, in short.

    `memory` and `demonstration` are the rows that `data.memory` and `data.demonstration` name.
    """

    verdict: Annotated[Verdict, about("whether to press")]
    codes: Annotated[tuple[str, ...], about("codes of the findings")]
    memory: Annotated[tuple[str, ...], about("rows from memory that the answer rests on")] = ()
    demonstration: Annotated[tuple[str, ...], about("invented rows that the answer rests on")] = ()
    cone: Annotated[str | UnsetType, about("id of the cone")] = UNSET
    plate: Annotated[str | UnsetType, about("id of the plate")] = UNSET
    ring: Annotated[str | UnsetType, about("id of the ring set")] = UNSET
    insert: Annotated[InsertState | UnsetType, about("whether a support insert is wanted")] = UNSET
    quantities: Annotated[PartsList | UnsetType, about("parts for the ends asked for")] = UNSET
    pairs: Annotated[tuple[Pair, ...], about("presses and gauges that can do it, best first")] = ()
    target: Annotated[
        PressTarget | UnsetType,
        about("forces to press with; how far on which dial is not told here"),
    ] = UNSET
    assembly: Annotated[AssemblyRating | UnsetType, about("what the assembly carries")] = UNSET


class ItemImpact(Struct, frozen=True, kw_only=True):
    """An item that is answered otherwise by the revision; `item` counts from 0.

    `differs` names the parts of a picked item that are not the same.
    """

    item: Annotated[int, about("number of the item in the question, from 0")]
    differs: Annotated[tuple[str, ...], about("names of the parts that are not the same")]
    before: Annotated[ItemOutcome, about("the answer before")]
    after: Annotated[ItemOutcome, about("the answer after")]
    dial: Annotated[
        tuple[DialMove, ...],
        about("what moved on the dial of the first pair; empty where the pair is another one"),
    ] = ()
    stop_moves: Annotated[
        int | UnsetType,
        about(
            "graduations by which the mark to stop at moves on the first pair, below 0 where it is "
            "lower now; left out where the pair or its scale is another one, or there is no mark"
        ),
    ] = UNSET
    client_ref: Annotated[str | UnsetType, about("text of the caller, as it was given")] = UNSET


class ItemsImpactAnswer(Struct, frozen=True, kw_only=True):
    """Items of which the answer changes, from the revision that answers now to the one named.

    `fixed_day` is the day of this service where a setting fixes it.
    """

    before: Annotated[str, about("id of the revision that it is compared with")]
    after: Annotated[str, about("id of the revision that was asked about")]
    received_on: Annotated[date, about("day by the clock of the service")]
    asked: Annotated[int, about("how many items were asked about")]
    changed: Annotated[tuple[ItemImpact, ...], about("items that are answered otherwise")]
    on: Annotated[date | UnsetType, about("day that the question is answered for")] = UNSET
    fixed_day: Annotated[
        date | UnsetType, about("day that a setting fixes; left out: the clock's")
    ] = UNSET


@post(
    "/v1/revisions/{revision:str}/impact",
    operation_id="items_impact",
    tags=["revisions"],
    status_code=200,
    opt={
        "scope": "read",
        "asks": ToolingPickQuestion,
        "problems": ("store-failed", "store-damaged"),
        "answers": ItemsImpactAnswer,
    },
)
async def ask_impact(revision: FromPath[str], request: StrictRequest) -> Response[bytes]:
    """Which of these items are answered otherwise by a revision?

    What the standing of a revision adds (that it was superseded, or is not active yet) is left out,
    so that only its tables count; a withdrawal counts. `revision` of the question names what it is
    compared with, else the one that answers now.
    """
    data = await request.question(ToolingPickQuestion)
    refuse_outdated(request)
    after = _as_if_active(await index_of(request, revision))
    asked = "current" if data.revision is UNSET else data.revision
    before = _as_if_active(await index_of(request, asked))
    received = received_of(request)
    question = dated(data, received)
    old_day, new_day = (pick_day(each, question, received) for each in (before, after))
    changed = Items()
    async for number, item in in_turns(enumerate(data.items)):
        old = picked(before, item, data.answer_in, day=old_day)
        new = picked(after, item, data.answer_in, day=new_day)
        differs = tuple(
            part
            for part in Picked.__struct_fields__
            if part not in _FOLLOWING and getattr(old, part) != getattr(new, part)
        )
        if differs:
            readings = _readings(before, after, old, new)
            moves = None if readings is None else stop_moves(*readings)
            changed.add(
                ItemImpact(
                    item=number,
                    client_ref=item.client_ref,
                    differs=differs,
                    dial=() if readings is None else dial_moves(*readings),
                    stop_moves=UNSET if moves is None else moves,
                    before=_short(old),
                    after=_short(new),
                )
            )
    answer = ItemsImpactAnswer(
        before=before.revision,
        after=after.revision,
        on=question.on,
        received_on=received.on,
        asked=len(data.items),
        changed=(),
        fixed_day=received.on if received.fixed else UNSET,
    )
    parts = changed.answered(answer, "changed")
    return Response(b"".join(parts), media_type="application/json")


def _as_if_active(index: Index) -> Index:
    return structs.replace(index, standing=structs.replace(index.standing, state="active"))


def _short(item: Picked) -> ItemOutcome:
    return ItemOutcome(
        verdict=item.verdict,
        codes=tuple(dict.fromkeys(finding.code for finding in item.findings)),
        memory=_named(item, "data.memory"),
        demonstration=_named(item, "data.demonstration"),
        cone=item.cone,
        plate=item.plate,
        ring=item.ring,
        insert=item.insert,
        quantities=item.quantities,
        pairs=item.pairs,
        target=UNSET if item.target is UNSET else forces_of(item.target),
        assembly=item.assembly,
    )


def _readings(
    before: Index, after: Index, old: Picked, new: Picked
) -> tuple[Readings, Readings] | None:
    """Readings of the two answers, where both are of one press and gauge."""
    if old.target is UNSET or new.target is UNSET or not (old.pairs and new.pairs):
        return None
    was, now = old.pairs[0], new.pairs[0]
    if (was.press, was.gauge) != (now.press, now.gauge):
        return None
    return (
        readings_of(old.target, before.gauges[was.gauge]),
        readings_of(new.target, after.gauges[now.gauge]),
    )


def _named(item: Picked, code: str) -> tuple[str, ...]:
    return tuple(row for finding in item.findings if finding.code == code for row in finding.basis)
