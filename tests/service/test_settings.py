"""Settings are checked at start, all at once."""

from datetime import date

import pytest
from msgspec import UNSET

from service.settings import Settings, SettingsError, fixed_day_note, settings_from


def test_settings_are_read_from_the_environment() -> None:
    assert settings_from({}) == Settings()
    given = {"RINGWRIGHT_MAX_BODY_BYTES": "4096", "RINGWRIGHT_ACCESS_LOG": "false", "HOME": "/"}
    assert settings_from(given) == Settings(max_body_bytes=4096, access_log=False)


def test_every_fault_is_told_at_once() -> None:
    given = {
        "RINGWRIGHT_MAX_BODY_BYTES": "lots",
        "RINGWRIGHT_ACCESS_LOG": "perhaps",
        "RINGWRIGHT_PORTS": "1",
    }
    with pytest.raises(SettingsError) as told:
        settings_from(given)
    assert len(told.value.faults) == 3
    assert "`lots`" in str(told.value)
    assert "whole number at least 1024" in str(told.value)


def test_nobody_comes_in_without_a_key_unless_told_so() -> None:
    assert settings_from({}).open_reading is False
    assert settings_from({"RINGWRIGHT_OPEN_READING": "true"}).open_reading is True
    with pytest.raises(SettingsError, match="true or false"):
        settings_from({"RINGWRIGHT_OPEN_READING": "yes please"})


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("REQUESTS_PER_SECOND", "-1"),
        ("REQUESTS_PER_SECOND", "1.5"),
        ("REQUESTS_PER_SECOND", "1000001"),
        ("MAX_UPLOAD_BYTES", "1023"),
        ("MAX_UPLOAD_BYTES", "268435457"),
        ("MAX_STALE_SECONDS", "0"),
        ("MAX_STALE_SECONDS", "3601"),
    ],
)
def test_a_limit_that_is_none_is_refused(name: str, value: str) -> None:
    with pytest.raises(SettingsError, match=f"`{value}`, but must be a whole number"):
        settings_from({f"RINGWRIGHT_{name}": value})


def test_what_cannot_be_read_answers_for_half_a_minute() -> None:
    assert Settings().max_stale_seconds == 30
    assert settings_from({"RINGWRIGHT_MAX_STALE_SECONDS": "5"}).max_stale_seconds == 5


def test_a_day_is_fixed_by_a_date_alone() -> None:
    assert settings_from({}).day is UNSET
    given = settings_from({"RINGWRIGHT_DAY": "2026-03-02"})
    assert given == Settings(day=date(2026, 3, 2))
    assert fixed_day_note(given).startswith("THE DAY IS FIXED at 2026-03-02 by RINGWRIGHT_DAY")
    assert fixed_day_note(Settings()) == ""


@pytest.mark.parametrize(
    "value",
    ["", "today", "null", "2.3.2026", "2026-02-30", "2026-3-2", "2026-03-02T00:00:00Z", "20260302"],
)
def test_a_day_that_is_none_stops_the_start(value: str) -> None:
    with pytest.raises(SettingsError) as told:
        settings_from({"RINGWRIGHT_DAY": value})
    assert str(told.value) == (
        f"`RINGWRIGHT_DAY` is `{value}`, but must be a date such as `2026-03-02`"
    )


def test_no_limit_is_said_with_0() -> None:
    assert settings_from({"RINGWRIGHT_REQUESTS_PER_SECOND": "0"}).requests_per_second == 0
    assert Settings().requests_per_second == 100
    assert Settings().max_upload_bytes == 16 * 1024 * 1024
