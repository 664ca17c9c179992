"""Makes the pictures of the README: `python tests/screens/pictures.py` draws what a walk has on the screen.

They are of the real app, on a clock that stands still. All that is seen is invented.
"""

from __future__ import annotations

import asyncio
import re
import tempfile
from pathlib import Path

from trainer import places
from trainer.procedure.load import load
from trainer.procedure.plan import Plan
from trainer.rehearsal.walk_model import Walk
from trainer.rehearsal.walk_right import do_right
from trainer.rehearsal.walker import Walker
from trainer.run.events import WaitBegun
from trainer.screens.opening import Opened
from trainer.screens.sinkside import SinksideApp
from trainer.screens.station import Station
from trainer.screens.ticket import Wanted

PROCEDURE = places.procedures_dir() / "negative-plate-two-burns.yaml"
PICTURES = (
    ("run-80x24", "soften", (80, 24)),
    ("hazard-80x24", "mind-the-glass", (80, 24)),
    ("run-120x40", "pump-on", (120, 40)),
)
"""Name of the picture, the step that it shows, columns and rows."""


def walked_to(plan: Plan, step: str) -> Walker:
    """A walk that has just come to `step`, its wait begun if it has one."""
    walk = Walk("picture", plan.procedure.id, job="tide-table", colour="blue")
    settings = {name: float(setting.value) for name, setting in plan.procedure.settings.items()}
    walker = Walker.start(walk, plan, settings)
    while walker.run.state.step != step:
        do_right(walker)
    if plan.steps[step].wait is not None:
        walker.press()
        begun = walker.events[-1].body
        assert isinstance(begun, WaitBegun)
        walker.pass_time(12.0)
    walker.pass_time(1.0)
    return walker


async def draw(walker: Walker, size: tuple[int, int], folder: Path) -> str:
    """The screen of a station that shows the walk's run, as SVG."""
    with Station.open(record=folder / "record.db", clock=walker.clock) as station:
        app = SinksideApp(station, Wanted(), Opened(walker.run))
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            picture = app.export_screenshot(title="Sinkside", simplify=True)
            app.exit()
    # No font is fetched from anywhere: the viewer's own fixed-width font will do.
    return re.sub(r"@font-face\s*{.*?}\s*", "", picture, flags=re.DOTALL).replace("Fira Code", "monospace")


def main() -> None:
    """Draw them all."""
    plan = load(PROCEDURE).require()
    for name, step, size in PICTURES:
        with tempfile.TemporaryDirectory() as folder:
            picture = asyncio.run(draw(walked_to(plan, step), size, Path(folder)))
        (places.assets_dir() / f"{name}.svg").write_text(picture, encoding="utf-8")


if __name__ == "__main__":
    main()
