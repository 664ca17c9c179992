"""The preview as text, at 80x24 and 120x40, looked at by eye before it was kept.

To write it anew after a wanted change: `WRITE_GOLDEN=1 pytest -n 0 tests/preview/test_preview_golden.py`,
then look at every difference.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from stage import compare, settled, text
from test_preview_screen import SOURCE, save, shown

GOLDEN = Path(__file__).resolve().parent / "golden"
WRONG = SOURCE.replace("to: find-leak", "to: fnd-leak")
SCENES = {
    "act": (SOURCE, "draw-down"),
    "hazard": (SOURCE, "mind-the-glass"),
    "wrong": (WRONG, "read-gauge"),
}
"""What the file holds, and the step that is looked at."""


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The small procedure with its drawing, in the folder that is worked in, so that no longer path shows."""
    monkeypatch.chdir(tmp_path)
    file = Path("small.yaml")
    save(file, SOURCE)
    (tmp_path / "pictures").mkdir()
    save(tmp_path / "pictures" / "frame-closed.txt", "+------+\n| seen |\n+------+\n")
    return file


@pytest.mark.parametrize(
    "scene", ["wrong", *(pytest.param(one, marks=pytest.mark.long) for one in ("act", "hazard"))]
)
async def test_the_preview_at_both_sizes(scene: str, file: Path) -> None:
    """The trainee's screen with the author's rows under it; what is wrong with the step stands there."""
    source, step = SCENES[scene]
    async with shown(file, (120, 40), step=step) as (pilot, screen):
        screen.workers.cancel_all()
        if source != SOURCE:
            save(file, source)
            screen._look()
        await settled(pilot)
        compare(f"preview-{scene}-120", text(pilot.app), GOLDEN)
        await pilot.resize_terminal(80, 24)
        await settled(pilot)
        compare(f"preview-{scene}-80", text(pilot.app), GOLDEN)
