"""Settings are checked at start, all at once."""

import pytest

from service.settings import Settings, SettingsError, settings_from


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
