"""A headless Chromium opens one file: what its page becomes, what its console says, how it looks."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import pytest

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
FLAGS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
    *("--hide-scrollbars", "--force-device-scale-factor=1", "--enable-logging=stderr"),
)
PATIENCE = 120
"""Seconds that one file may take."""


@dataclass(frozen=True)
class Opened:
    """page: the document as the browser has it. said: lines of its console. picture: of the window, a PNG."""

    page: str
    said: list[str]
    picture: Path


def browser() -> str:
    """The browser; skips, and says so, where there is none."""
    found = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip(
            "not there: Chromium, so no map is opened in a browser (.ci/run installs it where it can)"
        )
    return found


def opened(file: Path, width: int, height: int) -> Opened:
    """A file in a window of that size, once its scripts have run."""
    picture = file.with_suffix(".png")
    profile = file.parent / f"{file.stem}-profile"
    command = [
        browser(),
        *FLAGS,
        f"--user-data-dir={profile}",
        f"--window-size={width},{height}",
        "--virtual-time-budget=5000",
    ]
    page, said = "", []
    for what in ("--dump-dom", f"--screenshot={picture}"):
        done = subprocess.run(
            [*command, what, file.as_uri()],
            capture_output=True,
            timeout=PATIENCE,
            check=True,
            encoding="utf-8",
        )
        page = page or done.stdout
        said += [line for line in done.stderr.splitlines() if ":CONSOLE" in line]
    shutil.rmtree(profile, ignore_errors=True)
    return Opened(page, said, picture)
