"""The index that answers are given from, the day, and the keys that open the service."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Annotated

from msgspec import UNSET, Struct, UnsetType

from catalog.index import Index
from catalog.wanted import about
from service.edge.access import Keyring

_MOMENT = "%Y-%m-%dT%H:%M:%SZ"

Today = Callable[[], date]


def utc_today() -> date:
    """Day by the clock of this machine, in UTC."""
    return datetime.now(UTC).date()


def moment() -> str:
    """Moment by the clock of this machine, as records keep it."""
    return datetime.now(UTC).strftime(_MOMENT)


def days_after(at: str, days: int) -> str:
    """Moment so many days after another, to the second."""
    return (read_moment(at) + timedelta(days=days)).strftime(_MOMENT)


def read_moment(at: str) -> datetime:
    """Time of a moment as records keep it."""
    return datetime.strptime(at, _MOMENT).replace(tzinfo=UTC)


class Reading(Struct, frozen=True, kw_only=True):
    """What one request is answered from: an index, and the activation that put it there.

    `outdated` says why no question is answered from it; empty where one is.
    """

    index: Index
    activation: int = 0
    outdated: str = ""


class Health(Struct, frozen=True, kw_only=True):
    """Whether questions can be answered, and how far what answers is behind what is active.

    `fixed_day` is there where a setting fixes the day, which is for demonstrations and tests.
    """

    ready: Annotated[bool, about("whether questions are answered")]
    revision: Annotated[str, about("id of the revision that answers")]
    activation: Annotated[int, about("number of the activation that answers, 0 without a store")]
    active_revision: Annotated[str, about("id of the revision that should answer")]
    active_activation: Annotated[int, about("number of the activation that should answer")]
    seconds_since_read: Annotated[float, about("seconds since the store was read last")]
    last_error: Annotated[str, about("why the store could not be read; empty where it could")]
    fixed_day: Annotated[
        date | UnsetType, about("day that a setting fixes; left out: the clock's")
    ] = UNSET


class Current:
    """An index that stays as it is.

    INVARIANT: the outer wrapper asks `latest` when a request begins and again when its body is
    whole, before a handler is called, and all of the answer comes from what it got last, so that a
    swap in the middle of it cannot mix two revisions.
    """

    def __init__(self, index: Index, today: Today = utc_today, keyring: Keyring | None = None):
        self.reading = Reading(index=index)
        self.today = today
        self.keyring = Keyring({}) if keyring is None else keyring

    async def latest(self) -> Reading:
        """Reading of this moment."""
        return self.reading

    async def pinned(self, reading: Reading, revision: str) -> Index | None:
        """Index of a revision with its standing at a reading, None where it is not stored."""
        return reading.index if revision == reading.index.revision else None

    def health(self) -> Health:
        """Whether it can answer."""
        index = self.reading.index
        return Health(
            ready=True,
            revision=index.revision,
            activation=self.reading.activation,
            active_revision=index.revision,
            active_activation=self.reading.activation,
            seconds_since_read=0.0,
            last_error="",
        )
