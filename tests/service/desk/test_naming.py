"""A revision is named by `current`, by its id, or by as much of it as no other shares."""

from typing import cast

import pytest

from catalog.seed import shipped_revision
from service.cli.opening import named, opened, short
from service.cli.telling import DeskError
from service.store.records import Activation
from service.store.sqlite.reading import Records
from tests.service.desk.office import Office

SHIPPED = shipped_revision().id


class Ids:
    """Ids alone: no two tables whose ids begin alike can be made for a test."""

    def __init__(self, *ids: str) -> None:
        self.ids = ids

    def revisions(self) -> tuple[str, ...]:
        return self.ids

    def last_activation(self) -> Activation | None:
        return None


ALIKE = cast(
    Records, Ids("sha256:" + "ab" * 5 + "0" * 54, "sha256:" + "ab" * 5 + "1" * 54, "sha256:cd")
)


@pytest.mark.parametrize(
    "text",
    ["current", SHIPPED, SHIPPED[7:], SHIPPED[7:15], SHIPPED[:15], SHIPPED.upper(), short(SHIPPED)],
)
def test_every_way_to_name_one(office: Office, text: str) -> None:
    with opened(office.folder) as store, store.reading() as records:
        assert named(records, text) == SHIPPED


@pytest.mark.parametrize("text", ["", "abcdefg", SHIPPED[7:14], "latest", "sha256:", "z" * 64])
def test_what_names_none_is_not_understood(text: str) -> None:
    with pytest.raises(DeskError, match="8 or more hex digits") as told:
        named(ALIKE, text)
    assert told.value.code == 2


def test_what_is_not_stored_is_told_with_where_to_look() -> None:
    with pytest.raises(DeskError, match="see `ringwright catalog revisions`") as told:
        named(ALIKE, "0" * 64)
    assert told.value.code == 1


def test_what_may_be_two_is_not_guessed() -> None:
    with pytest.raises(DeskError) as told:
        named(ALIKE, "ab" * 5)
    assert told.value.lines[0] == "`ababababab` may be any of these: give more digits"
    assert [line.strip() for line in told.value.lines[1:]] == list(ALIKE.revisions()[:2])
    assert named(ALIKE, "ab" * 5 + "1") == ALIKE.revisions()[1]


def test_nothing_is_current_where_nothing_is_active() -> None:
    with pytest.raises(DeskError, match="no revision is active: start `ringwright serve"):
        named(ALIKE, "current")
