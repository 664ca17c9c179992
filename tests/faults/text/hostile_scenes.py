"""Every screen and widget of the program, shown with a hostile text in every place that has one."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import hostile_bench
import hostile_review
from hostile_procedure import NAME as PROCEDURE
from hostile_procedure import write
from hostile_sources import NAME, tampered
from rich.cells import cell_len
from stage import Stage, press, segments, settled, working
from stand_ins import CONFIRM, COUNTDOWN, VIEWS, ViewRun
from test_literal import PLACES
from textual import events
from textual.screen import Screen
from textual.widget import Widget

import trainer.screens
from trainer.run.view import RunView
from trainer.screens.before import Before
from trainer.screens.draft import Preview
from trainer.screens.forwarding import Forwarding
from trainer.screens.help import Help
from trainer.screens.outcome import Outcome, SkillLine
from trainer.screens.preview import Previewing
from trainer.screens.start import Start
from trainer.screens.station import Station
from trainer.screens.summary import Summary
from trainer.screens.ticket import Wanted

Size = tuple[int, int]
SCREENS = Path(trainer.screens.__file__ or "").parent


_ROOTS = ("textual.widget", "textual.widgets", "textual.screen", "textual.containers", "textual.app")


def classes() -> set[str]:
    """The names of all screens and widgets that the program makes, read off its sources."""
    trees = [ast.parse(file.read_text(encoding="utf-8")) for file in SCREENS.rglob("*.py")]
    nodes = [node for tree in trees for node in ast.walk(tree)]
    drawn = {
        alias.name
        for node in nodes
        if isinstance(node, ast.ImportFrom) and node.module in _ROOTS
        for alias in node.names
    }
    made = [(node.name, node.bases) for node in nodes if isinstance(node, ast.ClassDef)]
    own: set[str] = set()
    while more := {name for name, bases in made if _names(bases) & (drawn | own)} - own:
        own |= more
    return own


def _names(bases: list[ast.expr]) -> set[str]:
    return {name.id for base in bases for name in ast.walk(base) if isinstance(name, ast.Name)}


def rows(stage: Stage) -> Iterator[str]:
    """The rows on the terminal."""
    for row in segments(stage):
        yield "".join(piece.text for piece in row)


def seen(stage: Stage) -> str:
    """All rows, which must be exactly as wide as the terminal: nothing pushes what stands beside it."""
    width = stage.size.width
    found = list(rows(stage))
    wide = [row for row in found if cell_len(row) != width]
    assert not wide, f"{cell_len(wide[0])} cells in a terminal of {width}: {wide[0]!r}"
    return "\n".join(found)


def there(stage: Stage) -> set[str]:
    """The names of the classes of which something is on the screens now, or of what they are made from."""
    parts = [part for screen in stage.screen_stack for part in (screen, *screen.query(Widget))]
    return {base.__name__ for part in parts for base in type(part).__mro__}


def _everywhere(said: str) -> Iterator[RunView]:
    """Views with the text in every place at once, and in each place alone."""
    full = replace(
        CONFIRM,
        trainee=said,
        job=said,
        colour=said,
        stage=said,
        stages=(said, said, said),
        act=said,
        key_points=(said, said),
        why=said,
        notice=said,
        title=said,
        wait=COUNTDOWN,
    )
    yield full
    yield from (make(said) for make in PLACES.values())
    yield replace(VIEWS["reading-miss"], stages=(said,), job=said)


async def _work(said: str, size: Size, folder: Path, look: Callable[[Stage], None]) -> None:
    del folder
    run = ViewRun(CONFIRM)
    stage, screen = working(run)
    async with stage.run_test(size=size) as pilot:
        for view in _everywhere(said):
            run.shows = view
            screen.draw_now()
            await pilot.pause()
            look(stage)
        screen.say(said)
        await pilot.pause()
        look(stage)
        screen.app.notify(said, markup=False)
        await settled(pilot)
        look(stage)


async def _ask(said: str, size: Size, folder: Path, look: Callable[[Stage], None]) -> None:
    del folder
    run = ViewRun(PLACES["sign"](said))
    stage, _ = working(run)
    async with stage.run_test(size=size) as pilot:
        await press(pilot, "s")
        await settled(pilot)
        look(stage)


async def _showing(screen: Screen[Any], size: Size, look: Callable[[Stage], None]) -> None:
    stage = Stage(screen)
    async with stage.run_test(size=size) as pilot:
        await settled(pilot)
        look(stage)
        await press(pilot, "down")
        look(stage)


async def _before(said: str, size: Size, folder: Path, look: Callable[[Stage], None]) -> None:
    del folder
    await _showing(Before(said, [said, said], lambda: None), size, look)


async def _help(said: str, size: Size, folder: Path, look: Callable[[Stage], None]) -> None:
    del folder
    await _showing(Help(PLACES["act"](said)), size, look)


async def _summary(said: str, size: Size, folder: Path, look: Callable[[Stage], None]) -> None:
    del folder
    line = SkillLine("care", 3, 1, 2, (said, said))
    outcome = Outcome(
        "r1", said, said, "full", "stopped", said, "", 1.0, 2, 1, (line,), (said,), 9, "abc", said
    )
    await _showing(Summary(outcome, said, {"care": said}), size, look)


async def _start(said: str, size: Size, folder: Path, look: Callable[[Stage], None]) -> None:
    """The start screen over a hostile folder of procedures and a record that was tampered with."""
    procedures = folder / "procedures"
    write(procedures, said)
    write(procedures, said, f"broken {NAME}")
    change = "UPDATE runs SET trainee = ?, procedure = ?, job = ?, colour = ?, last_at = ?"
    record = tampered(folder, change, "UPDATE standing SET step = ?")
    given = Wanted(trainee=said[:16], job=said, colour=said)
    record.with_name("shared.conf").write_text(said, encoding="utf-8")
    with Station.open(record=record, procedures=procedures) as station:
        stage = Stage(Start(station, given, "", Forwarding(record, station.clock)))
        async with stage.run_test(size=size) as pilot:
            await settled(pilot)
            look(stage)
            stage.screen.query_one("Form").post_message(events.Paste(said))
            await press(pilot, "down", "down")
            look(stage)


async def _rehearsal(said: str, size: Size, folder: Path, look: Callable[[Stage], None]) -> None:
    del folder
    with hostile_bench.by_hand():
        screen, hand = hostile_bench.rehearsal(said)
        stage = Stage(screen)
        async with stage.run_test(size=size) as pilot:
            for bench in hostile_bench.benches(said):
                hand.shows = bench
                for keys in (["k"], ["i"], ["space"]):
                    screen.draw_now()
                    await press(pilot, *keys)
                    look(stage)


async def _after(said: str, size: Size, folder: Path, look: Callable[[Stage], None]) -> None:
    del folder
    with hostile_bench.by_hand():
        await _showing(hostile_bench.after(said), size, look)


async def _practice(said: str, size: Size, folder: Path, look: Callable[[Stage], None]) -> None:
    del folder
    with hostile_bench.by_hand():
        stage = Stage(hostile_bench.practice(said))
        async with stage.run_test(size=size) as pilot:
            for keys in ([], ["r"], ["space", "i"]):
                await press(pilot, *keys)
                look(stage)


async def _preview(said: str, size: Size, folder: Path, look: Callable[[Stage], None]) -> None:
    """A preview of a hostile file: of a good one, then of one that cannot be shown any more."""
    file = write(folder / "written", said, PROCEDURE)
    screen = Previewing(Preview(file), watching=False)
    stage = Stage(screen)
    async with stage.run_test(size=size) as pilot:
        for key in ("down", "space", "space", "question_mark", "space", "j", "z", "b", "2"):
            await press(pilot, key)
            look(stage)
        file.write_text(f"titel: {said}", encoding="utf-8", errors="replace")
        screen.on_previewing_saved()
        await settled(pilot)
        look(stage)


Scene = Callable[[str, Size, Path, Callable[[Stage], None]], Any]
SCENES: Mapping[str, Scene] = {
    "work": _work,
    "ask": _ask,
    "before": _before,
    "help": _help,
    "summary": _summary,
    "start": _start,
    "rehearsal": _rehearsal,
    "after": _after,
    "practice": _practice,
    "preview": _preview,
    "review": hostile_review.show,
}
"""What is shown with hostile texts."""

SHOWN_IN: Mapping[str, str] = {
    "Working": "work",
    "RunDrawing": "work",
    "Place": "work",
    "Sheet": "work",
    "Side": "work",
    "NumberEntry": "work",
    "Countdown": "work",
    "Hazard": "work",
    "Keys": "work",
    "Drawn": "work",
    "Ask": "ask",
    "Asked": "ask",
    "Line": "ask",
    "Before": "before",
    "Reading": "before",
    "Help": "help",
    "Summary": "summary",
    "Start": "start",
    "Title": "start",
    "Standing": "start",
    "Form": "start",
    "Rehearsing": "rehearsal",
    "Pane": "rehearsal",
    "Picture": "rehearsal",
    "Caption": "rehearsal",
    "Gauges": "rehearsal",
    "After": "after",
    "PlateReading": "after",
    "Practising": "practice",
    "Head": "practice",
    "Previewing": "preview",
    "Beside": "preview",
    "Reviewing": "review",
    "Ledger": "review",
    "Atop": "review",
    "OneScreenApp": "the terminal",  # it draws nothing but Reviewing or Previewing
    "TerminalApp": "the terminal",  # test_faults_text_terminal
    "SinksideApp": "the terminal",
}
"""By class: the scene that it is shown in."""
