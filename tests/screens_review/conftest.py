"""Plots are drawn with line drawing here, whatever the locale of the machine that runs the tests."""

from __future__ import annotations

import locale

import pytest


@pytest.fixture(autouse=True)
def _line_drawing(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal that takes UTF-8."""
    monkeypatch.setattr(locale, "getencoding", lambda: "utf-8")
