"""The pages in a real browser: axe-core finds nothing, nothing is asked of a network, sheets come out."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from report_class import invented
from report_made import material, nothing_at_all, one_trainee

from trainer.insight.report.gather import gathered
from trainer.insight.report.page import as_page
from trainer.insight.report.trainee import as_trainee_page
from trainer.insight.results import Wanted
from trainer.insight.states import RULE
from trainer.run.clock import SystemClock

pytestmark = pytest.mark.long(seconds=8)
LOOK = Path(__file__).with_name("look.mjs")
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PACKAGES = "BROWSER_CHECK"
"""The variable that names a folder with the npm packages axe-core and playwright-core in its node_modules."""


@dataclass(frozen=True)
class Looked:
    """What the browser told of a page, in one medium at one width."""

    name: str
    media: str
    width: int
    wide: int
    sheets: int
    outside: list[str]
    said: list[str]
    violations: list[object]
    passes: list[str]


def _browser() -> tuple[str, str, str]:
    """Node.js, a browser and the folder of packages; skips, and says why, where one is missing."""
    node = shutil.which("node")
    browser = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    folder = os.environ.get(PACKAGES, "")
    missing = [
        said
        for said, there in (
            ("Node.js", node),
            ("Chromium", browser),
            (f"{PACKAGES}, a folder with axe-core and playwright-core", folder),
        )
        if not there
    ]
    if missing or node is None or browser is None:
        pytest.skip(f"not there: {', '.join(missing)} (.ci/run installs them where it can)")
    return node, browser, folder


@pytest.fixture(scope="module")
def looked(tmp_path_factory: pytest.TempPathFactory) -> list[Looked]:
    """Five pages: a class on A4 and on Letter, an invented one, a record without runs, one trainee."""
    node, browser, folder = _browser()
    record, _ = invented(tmp_path_factory.mktemp("record"))
    pages = {
        "invented": as_page(replace(gathered(record, Wanted(), SystemClock()).of_class(), paper="a4")),
        "class-a4": as_page(replace(material(), paper="a4")),
        "class-letter": as_page(replace(material(), paper="letter")),
        "nobody": as_page(nothing_at_all()),
        "trainee": as_trainee_page(one_trainee("T-03"), RULE),
    }
    written = tmp_path_factory.mktemp("pages")
    for name, page in pages.items():
        (written / f"{name}.html").write_text(page, encoding="utf-8")
    paths = [str(written / f"{name}.html") for name in pages]
    command = [node, str(LOOK), folder, browser, *paths]
    done = subprocess.run(command, check=False, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr
    return [
        Looked(
            Path(one.pop("path")).stem, **{key: one[key] for key in Looked.__annotations__ if key != "name"}
        )
        for one in json.loads(done.stdout)
    ]


def test_axe_core_finds_no_violation_on_screen_and_on_paper(looked: list[Looked]) -> None:
    """Every rule of axe-core that applies passes (general-purpose checker of WCAG rules, npm axe-core 4)."""
    assert len(looked) == 15
    assert [(one.name, one.media, one.violations) for one in looked if one.violations] == []
    for one in looked:
        assert {"color-contrast", "document-title", "html-has-lang", "heading-order"} <= set(one.passes)


def test_a_browser_asks_for_nothing_and_complains_of_nothing(looked: list[Looked]) -> None:
    """No request but the page itself, no word on the console, no error."""
    assert [(one.name, one.outside, one.said) for one in looked if one.outside or one.said] == []


def test_nothing_runs_out_of_the_window_or_the_paper(looked: list[Looked]) -> None:
    """At 1280 and 360 pixels and at the width of paper no line has to be scrolled sideways."""
    assert [(one.name, one.media, one.width, one.wide) for one in looked if one.wide > one.width] == []


def test_the_sheets_are_few(looked: list[Looked]) -> None:
    """A small class prints on at most ten sheets, one trainee on at most six, nothing on at most three."""
    most = {"invented": 20, "class-a4": 10, "class-letter": 10, "trainee": 6, "nobody": 3}
    printed = {one.name: one.sheets for one in looked if one.media == "print"}
    assert printed.keys() == most.keys()
    assert all(0 < sheets <= most[name] for name, sheets in printed.items()), printed
