"""What all tests share: the machine stays out of them."""

from __future__ import annotations

import os
from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def machine_stays_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No home directory, no user configuration, fixed zone and size, no colour or theme from outside."""
    for variable in list(os.environ):
        if variable.startswith(("SINKSIDE_", "TEXTUAL", "NO_COLOR", "XDG_")):
            monkeypatch.delenv(variable)
    home = tmp_path / "home"
    home.mkdir()
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("SINKSIDE_HOME", str(home / "sinkside"))
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.setenv("LANG", "C.UTF-8")
