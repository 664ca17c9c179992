"""The pages of the work as text, each looked at by eye before it was kept.

To write them anew after a wanted change: run this file by `WRITE_GOLDEN=1 pytest -n 0`, then look at every
difference.
"""

from __future__ import annotations

import locale
import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import cast

import pytest
from review_values import AT_STEP, FACTS, LARGE, PLATES, REVIEW, SMALL, STEPS, HandDesk, shown

from trainer.screens.review import (
    agreement_rows,
    hazards_rows,
    question_rows,
    questions_rows,
    station_rows,
    stations_rows,
    step_rows,
    steps_rows,
    waste_rows,
)
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Leaf, Size

GOLDEN = Path(__file__).parent / "golden"
DESK = cast("Desk", HandDesk())
PAGES: Mapping[str, Callable[[Size], Leaf]] = {
    "steps": lambda size: steps_rows.leaf(DESK, (), size),
    "step": lambda size: step_rows.page(STEPS[1], REVIEW, FACTS, AT_STEP, size),
    "hazards": lambda size: hazards_rows.leaf(DESK, (), size),
    "hazard": lambda size: hazards_rows.one(DESK, (PLATES, "mind-the-glass"), size),
    "questions": lambda size: questions_rows.leaf(DESK, (), size),
    "question": lambda size: question_rows.leaf(DESK, (PLATES, "why_vacuum"), size),
    "stations": lambda size: stations_rows.leaf(DESK, (), size),
    "station": lambda size: station_rows.leaf(DESK, ("sink 2", PLATES, "wedge"), size),
    "waste": lambda size: waste_rows.leaf(DESK, (), size),
    "agreement": lambda size: agreement_rows.leaf(DESK, (), size),
}


@pytest.fixture(autouse=True)
def _line_drawing(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal with line drawing, whatever the locale of the machine that runs the tests."""
    monkeypatch.setattr(locale, "getencoding", lambda: "utf-8")


@pytest.mark.parametrize(
    ("name", "size"), [*((name, SMALL) for name in PAGES), ("steps", LARGE), ("station", LARGE)]
)
def test_pages_of_the_work(name: str, size: Size) -> None:
    """They stand on 80 and on 120 columns as they did when they were looked at."""
    kept = GOLDEN / f"{name}-{size.width + 2}.txt"
    text = shown(PAGES[name](size), size.width) + "\n"
    if os.environ.get("WRITE_GOLDEN"):
        kept.write_text(text, encoding="utf-8")
    assert text == kept.read_text(encoding="utf-8")
