"""From the save of a procedure to its preview being drawn, against reading and checking that file alone.

The wait that lets a save settle is in it: `preview.SETTLES_MS`. The bar is 300 ms on the reference machine.
"""

from __future__ import annotations

import asyncio
import statistics
import tempfile
import time
from pathlib import Path

from trainer import places
from trainer.procedure.load import load
from trainer.screens.draft import Preview
from trainer.screens.preview import Previewing
from trainer.screens.terminal_app import OneScreenApp

ROUNDS = 11
ACT = "Fetch the job folder."
LIMIT = 4.0


async def _saved(file: Path, source: str) -> list[float]:
    """Milliseconds of each save, from before the writing to the new act on the screen."""
    took: list[float] = []
    app = OneScreenApp(Previewing(Preview(file)))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, Previewing)
        for number in range(ROUNDS + 1):
            await asyncio.sleep(0.3)  # an author's pause, so that each save is one of its own
            act = f"Fetch folder {number}."
            start = time.perf_counter()
            await asyncio.to_thread(file.write_text, source.replace(ACT, act), encoding="utf-8")
            while not screen.shown.act.startswith(act):  # noqa: ASYNC110 - what is drawn tells nobody
                await asyncio.sleep(0.001)
            took.append((time.perf_counter() - start) * 1000)
    return took[1:]


def _checked(file: Path) -> float:
    start = time.perf_counter()
    load(file)
    return (time.perf_counter() - start) * 1000


def measure() -> list[tuple[str, float, float, float]]:
    """A row (what, ours in ms, baseline in ms, limit of the ratio): medians."""
    shipped = places.procedures_dir() / "negative-plate-two-burns.yaml"
    source = shipped.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as name:
        file = Path(name) / shipped.name
        file.write_text(source, encoding="utf-8")
        ours = statistics.median(asyncio.run(_saved(file, source)))
        base = statistics.median(_checked(file) for _ in range(ROUNDS))
    return [("save to preview drawn / check alone", ours, base, LIMIT)]


if __name__ == "__main__":
    for what, ours, base, _ in measure():
        print(f"{what}: {ours:.0f} ms, {base:.0f} ms")  # noqa: T201
