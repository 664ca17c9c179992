"""Makes the README's pictures of the review, of an invented class.

`sinkside demo --into FILE`, then
`TEXTUAL_COLOR_SYSTEM=truecolor python tests/screens_review/pictures_of_review.py
FILE`. All that is seen is invented, and says so.
"""

from __future__ import annotations

import asyncio
import re
import sys
import time
from pathlib import Path

from textual.pilot import Pilot

from trainer import places
from trainer.run.clock import SystemClock
from trainer.screens.review.reviewing import Reviewing
from trainer.screens.reviewing_app import desk_at
from trainer.screens.terminal_app import OneScreenApp

SIZE = (120, 40)
PICTURES = (
    ("review-class", ()),
    ("review-findings", ("2",)),
    ("review-station", ("7", "enter")),
)
"""Name of the picture, and the keys that lead there."""
PATIENCE = 120.0
"""Seconds that findings may take."""


async def drawn(record: Path, keys: tuple[str, ...]) -> str:
    """A page of the review as SVG, once all findings are there; in the viewer's own fixed-width font."""
    app = OneScreenApp(Reviewing(desk_at(record, SystemClock())))
    async with app.run_test(size=SIZE) as pilot:
        await found(app, pilot)
        for key in keys:
            await pilot.press(key)
            await pilot.pause()
        picture = app.export_screenshot(title="Sinkside", simplify=True)
        app.exit()
    bare = re.sub(r"@font-face\s*{.*?}\s*|\s*<!--.*?-->", "", picture, flags=re.DOTALL)
    return bare.replace("Fira Code", "monospace").replace("arial", "sans-serif")


async def found(app: OneScreenApp, pilot: Pilot[None]) -> None:
    """Wait until the findings are on the screen."""
    until = time.monotonic() + PATIENCE
    while not (isinstance(app.screen, Reviewing) and app.screen.desk.review is not None):
        if time.monotonic() > until:
            raise SystemExit("The findings did not come.")
        await pilot.pause(0.2)
    await pilot.pause()


def main(record: Path) -> None:
    """Write all of them."""
    for name, keys in PICTURES:
        (places.assets_dir() / f"{name}.svg").write_text(asyncio.run(drawn(record, keys)), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
