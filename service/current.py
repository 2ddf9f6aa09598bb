"""The index that answers are served from, and the day."""

from collections.abc import Callable
from datetime import UTC, date, datetime

from msgspec import Struct

from catalog.index import Index

Today = Callable[[], date]


def utc_today() -> date:
    """Day by the clock of this machine, in UTC."""
    return datetime.now(UTC).date()


class Current(Struct):
    """What requests are answered from.

    INVARIANT: the outer wrapper reads `index` once a request, and all of the request is answered
    from what it read, so that a swap in the middle of it cannot mix two revisions. The index is
    only ever replaced as a whole.
    """

    index: Index
    today: Today = utc_today
