"""The wait, in figures to be read from two metres, and the word that rings."""

from __future__ import annotations

from textual.content import Content
from textual.message import Message
from textual.timer import Timer

from trainer.run.view import WaitView
from trainer.screens import figures, words
from trainer.screens.widgets.drawn import Drawn

TICKS = 4
"""Ticks a second. A tick only asks what time it is and draws what changed."""


class Countdown(Drawn):
    """Figures of 7 rows by 6 cells, a label above, the ringing word beside or after it."""

    DEFAULT_CSS = """
    Countdown {
        height: 10; padding: 1 1; display: none;
        background: $surface; color: $primary;
    }
    Countdown.rings { background: $primary; color: $background; text-style: bold; }
    Countdown.rings:ansi { background: ansi_default; color: ansi_default; text-style: bold reverse; }
    """

    class Tick(Message):
        """Time goes by: somebody who knows the run should look."""

    timer: Timer | None = None

    def on_mount(self) -> None:
        """One timer, here, and it rests where nothing runs."""
        self.timer = self.set_interval(1 / TICKS, self.tick, pause=True)

    def tick(self) -> None:
        """Say that time goes by."""
        self.post_message(self.Tick())

    def show(self, wait: WaitView | None) -> None:
        """Draw `wait`; None hides the figures and rests the timer."""
        runs = wait is not None and wait.state not in ("ready", "unknown")
        if self.timer:
            (self.timer.resume if runs else self.timer.pause)()
        if self.display != (wait is not None):
            self.display = wait is not None
        if wait is None:
            return
        self.set_class(bool(words.wait_flag(wait)), "rings")
        self.draw(countdown(wait, self.size.width or self.app.size.width - 2))


def countdown(wait: WaitView, width: int) -> Content:
    """The label, then the figures and, when it rings, its word in large letters beside them."""
    shown, flag = words.wait_figures(wait), words.wait_flag(wait)
    label = words.wait_label(wait)
    rows = _beside(figures.big(shown), flag, width) if figures.has_shapes(shown) else (shown,)
    head = f"{flag}  {label}" if flag else label
    return Content("\n").join([Content.styled(head, "bold"), *(Content(row) for row in rows)])


def _beside(shapes: tuple[str, ...], flag: str, width: int) -> tuple[str, ...]:
    """The word in big letters at the right, where both fit."""
    if not flag:
        return shapes
    for draw in (_wide, _narrow):
        letters = draw(flag)
        gap = width - len(shapes[0]) - len(letters[0])
        if gap >= 1:
            return tuple(left + " " * gap + right for left, right in zip(shapes, letters, strict=True))
    return shapes


def _wide(word: str) -> tuple[str, ...]:
    return figures.big(word, gap=1)


def _narrow(word: str) -> tuple[str, ...]:
    low = figures.half(word)
    empty = " " * len(low[0])
    return (empty, *low, empty, empty)
