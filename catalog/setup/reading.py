"""The readings that a setup check states, beside the press and gauge that they are read on."""

from typing import Any, Final

from msgspec import UNSET, Struct

from catalog.quantities import Pressure
from catalog.questions import SetupCheckQuestion
from catalog.rows import Gauge, Press
from catalog.setup.pressing import Pressing
from catalog.terms import Finish

INTENDED: Final = "/intended_reading"
CONTACT: Final = "/contact_reading"


class StatedReadings(Struct, frozen=True, kw_only=True, gc=False):
    """StatedReadings of a setup check, as far as they and their dial are known; None where not."""

    intended: Pressure | None
    contact: Pressure | None
    contact_checked: bool
    press: Press | None
    gauge: Gauge | None
    finish: Finish | None
    numbers: Pressing | None

    @property
    def stated(self) -> tuple[tuple[str, Pressure], ...]:
        """The readings that are stated, by their fields."""
        both = ((INTENDED, self.intended), (CONTACT, self.contact))
        return tuple((at, reading) for at, reading in both if reading is not None)


class ReadOnDial(StatedReadings, frozen=True, kw_only=True, gc=False):
    """StatedReadings beside the numbers of their target on their press and gauge."""

    numbers: Pressing


def reading_subjects(
    question: SetupCheckQuestion,
    press: Press | None,
    gauge: Gauge | None,
    finish: Finish | None,
    numbers: Pressing | None,
) -> dict[type, Any]:
    """StatedReadings of a question; on their dial too where the numbers of a pressing are known."""
    intended, contact = question.intended_reading, question.contact_reading
    known: dict[str, Any] = {
        "intended": None if intended is UNSET else intended,
        "contact": None if contact is UNSET else contact,
        "contact_checked": question.contact_checked is True,
        "press": press,
        "gauge": gauge,
        "finish": finish,
        "numbers": numbers,
    }
    subjects: dict[type, Any] = {StatedReadings: StatedReadings(**known)}
    if numbers is not None:
        subjects[ReadOnDial] = ReadOnDial(**known)
    return subjects
