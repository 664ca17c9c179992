"""A real browser at the server: it lets itself in by the address, and asks nobody else for anything."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest
from serve_kit import TOKEN, serving

pytestmark = pytest.mark.long

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PACKAGES = "BROWSER_CHECK"
"""The variable that names a folder with the npm packages axe-core and playwright-core in its node_modules."""


def test_a_browser_gets_its_screen_and_nothing_from_elsewhere(tmp_path: Path) -> None:
    """The token leaves the address line, the cookie is out of scripts' reach, letters and keys work.

    Nothing is asked of another server, no script error and no breach of the content policy is told; the page
    that asks for the token has no accessibility violation (axe-core).
    """
    node = shutil.which("node")
    browser = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    folder = os.environ.get(PACKAGES, "")
    if not (node and browser and folder):
        pytest.skip(f"Node.js, Chromium or {PACKAGES} is not there (.ci/run installs them where it can)")
    script = str(Path(__file__).with_name("tablet.mjs"))
    with serving(tmp_path) as server:
        done = subprocess.run(
            [node, script, folder, browser, server.base, TOKEN],
            capture_output=True,
            text=True,
            check=False,
            timeout=240,
        )
        assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert (told["outside"], told["errors"], told["violations"]) == ([], [], [])
    assert told["passes"] > 5
    assert told["address"] == f"{server.base}/"
    assert told["cookie"] == ""
    assert told["letters"]
    assert "xterm-helper-textarea" in told["focus"]
    assert not told["keyboard"]
    assert told["ended"].startswith("This screen is closed. What was shown as done is kept.")
