"""Answer which cone, plate, press and gauge each line of a work order needs."""

from collections.abc import Sequence

from msgspec import UNSET, json, structs

from catalog.answers.grounds import assumed_raised, is_of_data
from catalog.answers.picking import Picked, picked
from catalog.answers.shapes import (
    PickedItem,
    ToolingPickAnswer,
)
from catalog.facts import Assumption
from catalog.findings import Finding, gravest
from catalog.index import Index
from catalog.provenance import SourceNote
from catalog.questions import PickItem, Received, ToolingPickQuestion
from catalog.setup.day import pick_day
from catalog.terms import RULES_VERSION, Verdict
from catalog.working import WorkingStep

PAIRS_IN_BRIEF = 3


def tooling_pick(
    index: Index, question: ToolingPickQuestion, received: Received | None = None
) -> ToolingPickAnswer:
    """Tooling for every item, all on the one revision of the index and for one day."""
    batch = Batch(index, question, received)
    return batch.answer(tuple(batch.item(item) for item in question.items))


class Batch:
    """Items answered one by one, and what stands once for all of them."""

    def __init__(
        self, index: Index, question: ToolingPickQuestion, received: Received | None
    ) -> None:
        self._index = index
        self._question = question
        self._received = received
        self._day = pick_day(index, question, received)
        self._full = question.detail == "full"
        self._verdicts: set[Verdict] = set()
        self._assumptions: dict[Assumption, None] = {}
        self._data: dict[str, list[Finding]] = {}
        self._sources: dict[str, SourceNote] = {}
        self._workings: dict[bytes, tuple[WorkingStep, ...]] = {}
        self._numbers: dict[bytes, int] = {}

    def item(self, item: PickItem) -> PickedItem:
        """Answer to one item."""
        found = picked(
            self._index,
            item,
            self._question.answer_in,
            day=self._day,
            detail=self._question.detail,
        )
        self._verdicts.add(found.verdict)
        self._assumptions |= dict.fromkeys(found.assumptions)
        for finding in found.findings:
            if is_of_data(finding.code):
                self._data.setdefault(finding.code, []).append(finding)
        return self._whole(found) if self._full else _in_brief(found)

    def answer(self, items: tuple[PickedItem, ...]) -> ToolingPickAnswer:
        """Answer of these items; the gravest gives the verdict of the whole."""
        question = self._question
        return ToolingPickAnswer(
            verdict=gravest(self._verdicts),
            revision=self._index.revision,
            rules=RULES_VERSION,
            findings=tuple(self._once(found) for found in self._data.values()),
            items=items,
            workings=tuple(self._workings.values()),
            sources=tuple(self._sources[source] for source in sorted(self._sources)),
            on=question.on,
            received_on=UNSET if self._received is None else self._received.on,
            tools=question.tools,
        )

    def _whole(self, found: Picked) -> PickedItem:
        self._sources |= {source.id: source for source in found.sources}
        # Told apart by what is told: a step is no key of a dict.
        told = json.encode(found.working)
        number = self._numbers.setdefault(told, len(self._numbers))
        self._workings.setdefault(told, found.working)
        return structs.replace(
            _in_brief(found),
            pairs=found.pairs,
            assumptions=found.assumptions,
            working=number if found.working else UNSET,
            excluded=found.excluded,
            target=found.target,
            assembly=found.assembly,
            loads=found.loads,
        )

    def _once(self, found: Sequence[Finding]) -> Finding:
        """What is said of the data for some items, of all their rows."""
        first = found[0]
        return structs.replace(
            self._worded(first),
            basis=tuple(dict.fromkeys(row for each in found for row in each.basis)),
            sources=tuple(dict.fromkeys(source for each in found for source in each.sources)),
        )

    def _worded(self, finding: Finding) -> Finding:
        """Finding in the words that hold for every item: only what was assumed differs."""
        if finding.code != "data.assumed":
            return finding
        (raised,) = assumed_raised(tuple(self._assumptions))
        return structs.replace(finding, message=raised.message)


def _in_brief(found: Picked) -> PickedItem:
    return PickedItem(
        client_ref=found.client_ref,
        verdict=found.verdict,
        headline=found.headline,
        next=found.next,
        scope=found.scope,
        findings=tuple(each for each in found.findings if not is_of_data(each.code)),
        cone=found.cone,
        plate=found.plate,
        ring=found.ring,
        insert=found.insert,
        quantities=found.quantities,
        pairs=found.pairs[:PAIRS_IN_BRIEF],
    )
