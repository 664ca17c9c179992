"""Makes the pictures of the README: what a walk has on the screen.

`TEXTUAL_COLOR_SYSTEM=truecolor python tests/screens/pictures.py` draws them in full colour. They are of the
real screens, on a clock that stands still. All that is seen is invented.
"""

from __future__ import annotations

import asyncio
import re
import tempfile
from pathlib import Path

from stage import Stage, settled
from textual.screen import Screen

from trainer import places
from trainer.procedure.load import load
from trainer.procedure.plan import Plan
from trainer.rehearsal import after
from trainer.rehearsal.sight import Before
from trainer.rehearsal.walk_file import read_walk
from trainer.rehearsal.walk_model import Walk
from trainer.rehearsal.walk_right import do_right, operate_right
from trainer.rehearsal.walker import Walker
from trainer.run.events import WaitBegun
from trainer.screens.after import After, page
from trainer.screens.looking import Looking
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
WALKS = Path(__file__).parents[1] / "walks"
PLATES = (
    ("plate-good", WALKS / "two-burns-rehearsal-full.yaml"),
    ("plate-corner-missed", WALKS / "faults" / "corner-missed.yaml"),
    ("plate-emulsion-up", WALKS / "faults" / "emulsion-up.yaml"),
    ("plate-gum-late", WALKS / "faults" / "gum-late.yaml"),
)
"""Name of the picture, and the rehearsal that made its plate."""
WIDE = (120, 40)


def walked_to(plan: Plan, step: str) -> Walker:
    """A walk that has just come to `step`, its wait begun if it has one."""
    walk = Walk("picture", plan.procedure.id, job="tide-table", colour="blue")
    walker = Walker.start(walk, plan, shop_settings(plan))
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
        app = SinksideApp(station, Wanted(), Opened(walker.run, walker.rehearsal))
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            picture = app.export_screenshot(title="Sinkside", simplify=True)
            app.exit()
    return in_any_font(picture)


def in_any_font(picture: str) -> str:
    """No font is fetched from anywhere: the viewer's own fixed-width font will do."""
    bare = re.sub(r"@font-face\s*{.*?}\s*|\s*<!--.*?-->", "", picture, flags=re.DOTALL)
    return bare.replace("Fira Code", "monospace").replace("arial", "sans-serif")


def rehearsed_to(plan: Plan, step: str, seconds: float) -> Walker:
    """A right rehearsal at `step`, its controls operated and its wait begun so many seconds ago."""
    walker = Walker.start(Walk("picture", plan.procedure.id, rehearsal=True), plan, shop_settings(plan))
    while walker.run.state.step != step:
        do_right(walker)
    assert walker.rehearsal is not None
    operate_right(walker, walker.rehearsal)
    walker.press()
    walker.pass_time(seconds)
    return walker


def shop_settings(plan: Plan) -> dict[str, float]:
    """The settings that the procedure declares."""
    return {name: float(setting.value) for name, setting in plan.procedure.settings.items()}


def after_walk(plan: Plan, file: Path) -> After:
    """The page after the rehearsal of a walk file."""
    walk = read_walk(file).walk
    assert walk is not None
    walker = Walker.start(walk, plan, shop_settings(plan))
    for act in walk.acts:
        walker.do(act)
    rehearsal = walker.rehearsal
    assert rehearsal is not None
    told = after.told(rehearsal, walker.events)
    blocks = page(rehearsal.sheet(), walker.run.state.plate, told.found)
    return After(blocks, Looking(Before(rehearsal)))


async def drawn(screen: Screen[None]) -> str:
    """A screen by itself, as SVG."""
    stage = Stage(screen)
    async with stage.run_test(size=WIDE) as pilot:
        await settled(pilot)
        return in_any_font(stage.export_screenshot(title="Sinkside", simplify=True))


def keep(name: str, picture: str) -> None:
    """Write a picture."""
    (places.assets_dir() / f"{name}.svg").write_text(picture, encoding="utf-8")


def main() -> None:
    """Draw them all."""
    plan = load(PROCEDURE).require()
    for name, step, size in PICTURES:
        with tempfile.TemporaryDirectory() as folder:
            keep(name, asyncio.run(draw(walked_to(plan, step), size, Path(folder))))
    with tempfile.TemporaryDirectory() as folder:
        keep("rehearsal-120x40", asyncio.run(draw(rehearsed_to(plan, "rub", 16.0), WIDE, Path(folder))))
    for name, file in PLATES:
        keep(name, asyncio.run(drawn(after_walk(plan, file))))


if __name__ == "__main__":
    main()
