"""All settings of the service, read from the environment and checked at start, all at once."""

import os
from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any, Final, get_type_hints

import msgspec
from msgspec import UNSET, Meta, Struct, UnsetType

from catalog.wanted import wanted

PREFIX: Final = "RINGWRIGHT_"
KEY: Final = "RINGWRIGHT_KEY"
"""The key of whoever types commands: no setting, and never told back."""


class Settings(Struct, frozen=True, kw_only=True):
    """Settings with their defaults; `RINGWRIGHT_MAX_BODY_BYTES` and so on change them."""

    data: str = ""
    """Folder that keeps revisions, keys and the audit trail; without one nothing is kept."""
    max_body_bytes: Annotated[int, Meta(ge=1024, le=64 * 1024 * 1024)] = 2 * 1024 * 1024
    max_upload_bytes: Annotated[int, Meta(ge=1024, le=256 * 1024 * 1024)] = 16 * 1024 * 1024
    """Greatest body of an upload: a set of tables, a workbook."""
    requests_per_second: Annotated[int, Meta(ge=0, le=1_000_000)] = 100
    """Of one key, or of one address where no key is needed; four times as many may come at once.
    0 is no limit."""
    open_reading: bool = False
    """Whether questions and reads need no key. Whoever can reach the port may then ask."""
    max_rows_a_table: Annotated[int, Meta(ge=1, le=1_000_000)] = 20_000
    """Most rows of a table that is proposed."""
    max_stale_seconds: Annotated[int, Meta(ge=1, le=3600)] = 30
    """How long questions are answered, by `data.stale` as undetermined, once the store cannot be
    read; then they are refused."""
    follow_within_ms: Annotated[int, Meta(ge=0, le=1000)] = 5
    """Time within which what another process has committed is followed: the store is asked no more
    often. 0: it is asked for every request."""
    access_log: bool = True
    day: date | UnsetType = UNSET
    """Day that the service takes for today, for demonstrations and tests: every answer says so."""


class SettingsError(ValueError):
    """Settings that cannot be used; `faults` holds all of them."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__("; ".join(faults))
        self.faults = faults


def fixed_day_note(settings: Settings) -> str:
    """What whoever starts the service must know of a day that is fixed; empty where none is."""
    if settings.day is UNSET:
        return ""
    return f"THE DAY IS FIXED at {settings.day} by {PREFIX}DAY: for demonstrations, not for a shop"


def settings_from(environment: Mapping[str, str] = os.environ) -> Settings:
    """Settings of an environment.

    Errors: `SettingsError` with every value that is none and every name that is not known.
    """
    kinds = get_type_hints(Settings, include_extras=True)
    values: dict[str, Any] = {}
    faults: list[str] = []
    for name, text in sorted(environment.items()):
        if not name.startswith(PREFIX) or name == KEY:
            continue
        field = name.removeprefix(PREFIX).lower()
        if field not in kinds:
            known = ", ".join(PREFIX + each.upper() for each in kinds)
            faults.append(f"`{name}` is no setting: the settings are {known}")
            continue
        try:
            values[field] = msgspec.convert(text, kinds[field], strict=False)
        except msgspec.ValidationError:
            faults.append(f"`{name}` is `{text}`, but must be {wanted(kinds[field])}")
    if faults:
        raise SettingsError(faults)
    return Settings(**values)
