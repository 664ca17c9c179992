"""The author's preview: a procedure as a trainee sees it, drawn anew as its file is saved.

It draws with the run's own screen. Nothing is kept: there is no run and no record.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message

from trainer.procedure.render import counted
from trainer.procedure.text import one_line
from trainer.run.view import RunView
from trainer.screens import actions, room, themes
from trainer.screens.drawing import LOW, RunDrawing
from trainer.screens.page import Block, lay_out
from trainer.screens.widgets.drawn import Drawn
from trainer.screens.widgets.hazard import Hazard
from trainer.screens.widgets.keys import Keys
from trainer.screens.widgets.sheet import Sheet

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.procedure.problems import Problem
    from trainer.screens.draft import Preview

WORKING = (
    "next",
    "back",
    "pick",
    "points",
    "picture",
    "stage",
    "trouble",
    "narrow",
    "down",
    "up",
    "light",
    "help",
    "leave",
)
NAMED = ("next", "back", "stage", "trouble", "narrow", "points", "picture", "leave", "help")
WORDS = {"next": "next", "back": "back", "stage": "stage", "trouble": "what is wrong", "leave": "end"}
LOOK_EVERY = 1.0
"""Seconds between two looks at the file, where the system tells nothing (a disk in the network)."""
SETTLES_MS, STEP_MS = 60, 20
MOST_ROWS = 9


class Beside(Drawn):
    """Under the trainee's screen: the file's state, what is wrong here, what does not fit, the ways on."""

    DEFAULT_CSS = """
    Beside { height: auto; padding: 0 1; background: $panel; color: $foreground; }
    """

    def show(self, blocks: list[Block], width: int, most: int) -> None:
        """Draw `blocks` in as few rows as they take, `most` at most."""
        lines = list(lay_out(blocks, max(8, width), 0).lines)
        if len(lines) > most:
            lines = [*lines[: most - 1], Content.styled("… more: sinkside check", "bold")]
        self.styles.height = len(lines)
        self.draw_lines(lines)


class Folder:
    """The folder of the author's file, around what is drawn."""

    notice = ""

    def __init__(self, file: Path) -> None:
        self.file = file

    def picture(self, procedure: str, picture: str) -> tuple[str, ...] | None:
        """A drawing of the procedure, from beside its file."""
        from trainer.procedure.pictures import read_picture

        del procedure
        return read_picture(self.file, picture)


class Previewing(RunDrawing):
    """Dismissed when the author leaves. `narrow`: drawn as on a terminal of 80 columns and 24 rows."""

    DEFAULT_CSS = """
    Previewing #window { height: 1fr; width: 100%; }
    Previewing.narrow #window { height: 24; width: 81; border-right: solid $primary; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(key, f"act('{name}')", actions.BY_ID[name].words, show=False, id=f"preview.{name}.{key}")
        for name in WORKING
        if name != "pick"
        for key in actions.BY_ID[name].keys
    ]

    class Saved(Message):
        """Something happened to the file."""

    def __init__(self, preview: Preview, *, watching: bool = True) -> None:
        super().__init__(Folder(preview.file), preview)
        self.preview = preview
        self.narrow = False
        self._watching = watching
        self._seen: tuple[int, ...] = ()

    def compose(self) -> ComposeResult:
        """The trainee's screen in a window, and the author's rows under it."""
        with Vertical(id="window"):
            yield from super().compose()
        yield Beside()

    def on_mount(self) -> None:
        """Draw (the base does), and watch the file."""
        self._seen = signature(self.preview.file)
        if self._watching:
            self._watch()
            self.set_interval(LOOK_EVERY, self._look)

    @property
    def wide(self) -> bool:
        """Whether there is a column beside the act."""
        return not self.narrow and super().wide

    def draw(self, view: RunView) -> None:
        """Draw the step as a trainee sees it, then what the author should know."""
        self.query_one(Sheet).set_class(self.narrow or self.app.size.height < LOW, "low")
        super().draw(view)
        rows = self.app.size.height
        most = MOST_ROWS if rows >= room.ROWS + MOST_ROWS or self.narrow else max(3, rows // 4)
        self.query_one(Beside).show(self.told(view), self.app.size.width - 2, most)

    def show_number(self, present: bool) -> None:
        """Show that a number is asked for; digits stay the author's."""
        super().show_number(present)
        self.set_focus(None)

    def _draw_keys(self) -> None:
        vain = self._in_vain()
        said = [
            (name, actions.BY_ID[name].shown, WORDS.get(name, actions.BY_ID[name].words))
            for name in NAMED
            if name not in vain
        ]
        self.query_one(Keys).show(said)

    def _in_vain(self) -> set[str]:
        """Keys that would open nothing at this step."""
        view = self.shown
        there = {"points": bool(view.key_points or view.why), "picture": bool(self.drawing(view))}
        return set() if self.opened else {name for name, found in there.items() if not found}

    def told(self, view: RunView) -> list[Block]:
        """The author's rows."""
        preview = self.preview
        state = f"{one_line(preview.file.name)}: {counted(preview.draft.found)}"
        older = "  The file cannot be shown as it is: what stands above is older." if preview.older else ""
        head = f"{state}  {preview.step}{older}"
        blocks = [_row(head, "bold reverse" if preview.older else "bold")]
        blocks += map(_wrong, preview.here)
        blocks += [_row(f"80x24: {said}", "$warning", "▫ ") for said in room.shortfalls(view)]
        return [*blocks, *self._ways()]

    def _ways(self) -> list[Block]:
        preview = self.preview
        judged = preview.plan is not None and bool(preview.step) and preview.plan.steps[preview.step].judge
        told = [
            _row(f"if {when}: {to}", "", "   " if judged else f"{number}  ")
            for number, (when, to) in enumerate(preview.ways(), 1)
        ]
        return [*told, _row(preview.following, "", "Space  ")] if preview.following else told

    def action_act(self, action: str) -> None:
        """Do what the action's key says."""
        doing: dict[str, Callable[[], object]] = {
            "next": self._next,
            "back": self.preview.back,
            "stage": self.preview.next_stage,
            "trouble": self.preview.next_trouble,
            "points": lambda: self._open("points"),
            "picture": lambda: self._open("picture"),
            "narrow": self._narrow,
            "light": self._light,
            "help": self._help,
            "leave": lambda: self.dismiss("left"),
            "down": lambda: self._move(1),
            "up": lambda: self._move(-1),
        }
        if action not in doing:
            return
        doing[action]()
        if action not in ("points", "picture", "next", "down", "up", "leave", "help", "light"):
            self.opened = ""
        if action not in ("down", "up", "leave"):
            self.draw_now()

    def action_pick(self, number: int) -> None:
        """A digit answers, or takes that way on."""
        self.opened = ""
        self.preview.pick(number)
        self.draw_now()

    def on_sheet_picked(self, message: Sheet.Picked) -> None:
        """A click on an answer is its digit."""
        self.action_pick(message.number)

    def on_keys_pressed(self, message: Keys.Pressed) -> None:
        """A click on a key is that key."""
        self.action_act(message.action)

    def _next(self) -> None:
        if self.opened:
            self.opened = ""
        else:
            self.preview.next()

    def _open(self, what: str) -> None:
        self.opened = "" if self.opened == what else what

    def _narrow(self) -> None:
        self.narrow = not self.narrow
        self.set_class(self.narrow, "narrow")
        self.call_after_refresh(self.draw_now)

    def _move(self, pages: int) -> None:
        page = 8 * pages
        target: Hazard | Sheet = self.query_one(Hazard) if self.has_class("hazard") else self.query_one(Sheet)
        target.move(page)

    def _light(self) -> None:
        self.app.theme = themes.after(self.app.theme)

    def _help(self) -> None:
        from trainer.screens.help import Help  # its page is only made when it is asked for

        self.app.push_screen(Help(None, WORKING))

    def on_previewing_saved(self) -> None:
        """Read the file anew, at the same step."""
        self._seen = signature(self.preview.file)
        if self.preview.read_again():
            self.draw_now()

    def _look(self) -> None:
        """Where the system told nothing: is the file another?"""
        if signature(self.preview.file) != self._seen:
            self.post_message(self.Saved())

    @work(exclusive=True)
    async def _watch(self) -> None:
        """Say when something happens to the file: saved, put in its place, deleted, renamed.

        Where the system has no watch to give (there are only so many), the looks go on alone.
        """
        from watchfiles import awatch
        from watchfiles._rust_notify import WatchfilesRustInternalError  # it has no public name

        try:
            await self._say_changes(awatch)
        except (OSError, WatchfilesRustInternalError) as none:
            self.log.warning("No watch on the file: %s", none)

    async def _say_changes(self, awatch: Callable[..., AsyncIterator[object]]) -> None:
        file = self.preview.file.absolute()
        async for changes in awatch(
            file.parent,
            watch_filter=lambda _, path: path == str(file),
            debounce=SETTLES_MS,
            step=STEP_MS,
            recursive=False,
        ):
            if changes:
                self.post_message(self.Saved())


def signature(file: Path) -> tuple[int, ...]:
    """What tells one state of a file from another; empty where there is none."""
    try:
        found = file.stat()
    except (OSError, ValueError):
        return ()
    return found.st_mtime_ns, found.st_size, found.st_ino


def _wrong(problem: Problem) -> Block:
    """A problem as a row, told from a warning by more than its colour."""
    said = f"{one_line(problem.message)} {one_line(problem.help)}"
    if problem.severity == "warning":
        return _row(f"line {problem.place.line}, a warning: {said}", "$warning", "▫ ")
    return _row(f"line {problem.place.line}: {said}", "bold $error", "! ")


def _row(said: str, style: str = "", lead: str = "") -> Block:
    return Block(Content.styled(said, style), first=Content.styled(lead, style or "bold"), gap=0)
