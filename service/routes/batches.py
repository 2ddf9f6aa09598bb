"""Answers to many items: made in turns with the other requests, and encoded in parts."""

import asyncio
import time
from collections.abc import AsyncIterator, Iterable, Sequence
from typing import Any, Final, TypeVar

from litestar import Response
from litestar.response.base import ASGIResponse
from litestar.types import Receive, Send
from msgspec import Raw, Struct, json, structs

T = TypeVar("T")

ITEMS_A_TURN: Final = 2
"""Most items of a batch between two turns of the other requests."""
TURN_S: Final = 0.0005
"""Time after which the others have their turn all the same."""
PART_BYTES: Final = 65_536
"""Size at which a part of a body is done."""

# No JSON has this byte in it, whatever its texts.
_PLACE: Final = b"\x00"


class PartedResponse(Response[bytes]):
    """JSON that is passed on in the parts in which it was encoded: no copy of all of it is made."""

    def __init__(self, parts: Sequence[bytes]) -> None:
        super().__init__(b"", media_type="application/json")
        self.parts = parts

    def to_asgi_response(self, *_app_and_request: Any, **given: Any) -> ASGIResponse:
        """Response of the framework, of which the outer wrapper collects every part."""
        return _Parted(self.parts, given["status_code"])


class _Parted(ASGIResponse):
    def __init__(self, parts: Sequence[bytes], status_code: int) -> None:
        super().__init__(media_type="application/json", status_code=status_code)
        self.parts = parts

    async def send_body(self, send: Send, receive: Receive) -> None:
        for part in self.parts:
            await send({"type": "http.response.body", "body": part, "more_body": True})
        await super().send_body(send, receive)


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

    def answered(self, answer: Struct, field: str) -> PartedResponse:
        """Response of an answer with these items in a field, the very bytes of the whole."""
        around = json.encode(structs.replace(answer, **{field: (Raw(_PLACE),)}))
        before, after = around.split(_PLACE)
        return PartedResponse((before, *self.parts, bytes(self.open), after))


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
