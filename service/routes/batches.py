"""Answers to many items: made in turns with the other requests, and encoded in parts."""

import asyncio
import time
from collections.abc import AsyncIterator, Iterable
from typing import Final, TypeVar

from msgspec import Raw, Struct, json, structs

from service.edge.question import Parts

T = TypeVar("T")

ITEMS_A_TURN: Final = 2
"""Most items of a batch between two turns of the other requests."""
TURN_S: Final = 0.0005
"""Time after which the others have their turn all the same."""
PART_BYTES: Final = 65_536
"""Size at which a part of a body is done."""

# No JSON has this byte in it, whatever its texts.
_PLACE: Final = b"\x00"


class Items:
    """Items of an answer as JSON, encoded one by one as they are made."""

    def __init__(self) -> None:
        self.parts: list[bytes] = []
        self.open = bytearray()
        self.encoder = json.Encoder()

    def add(self, item: Struct) -> None:
        """Encode one more."""
        if self.parts or self.open:
            self.open += b","
        self.encoder.encode_into(item, self.open, -1)
        if len(self.open) >= PART_BYTES:
            self.parts.append(bytes(self.open))
            self.open.clear()

    def answered(self, answer: Struct, field: str) -> Parts:
        """JSON of an answer with these items in a field, the very bytes of the whole."""
        around = json.encode(structs.replace(answer, **{field: (Raw(_PLACE),)}))
        before, after = around.split(_PLACE)
        return before, *self.parts, bytes(self.open), after


async def in_turns(items: Iterable[T]) -> AsyncIterator[T]:
    """Items one by one; after two of them, or half a millisecond, the other requests go on.

    A request goes on several times until it is answered, and waits for such a turn each time.
    """
    since_s, done = time.perf_counter(), 0
    for item in items:
        yield item
        done += 1
        if done == ITEMS_A_TURN or time.perf_counter() - since_s >= TURN_S:
            await asyncio.sleep(0)
            since_s, done = time.perf_counter(), 0
    await asyncio.sleep(0)
