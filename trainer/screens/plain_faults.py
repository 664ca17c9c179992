"""Fault practice in lines of text: measures tell what the eye would; a drawing can be asked for."""

from __future__ import annotations

import io
import sys
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, TextIO

from trainer.run.ports import Trouble
from trainer.run.refusals import Refused, TooSoon
from trainer.screens.leaving import Signalled, nobody_reads, signals_raised, tell
from trainer.screens.lines import Gone, Lines, StreamLines
from trainer.screens.plain import ask_line
from trainer.tongue import counted, marked, spoken

if TYPE_CHECKING:
    from trainer.rehearsal.practice import Practice
    from trainer.rehearsal.practice_view import Measured, PracticeView
    from trainer.screens.station import Station

KEYS = marked("A digit answers.  m  take a measure.  v  draw the plate.  f  draw its film.  q  end.")
NEXT = marked("Enter  another plate.  m  take a measure.  v  draw the plate.  f  draw its film.  q  end.")
COLS, ROWS = 60, 48
"""Cells of the drawing."""


def run_plain_faults(
    station: Station,
    *,
    trainee: str | None = None,
    seed: int | None = None,
    source: TextIO | None = None,
    sink: TextIO | None = None,
) -> int:
    """Practise faults in lines of text and return the exit code, as `run_plain` does."""
    out = sink or sys.stdout
    if out is None:
        tell(spoken("There is nowhere to write to: stdout is closed."))
        return 2
    lines = StreamLines(source or sys.stdin or io.StringIO(), out)
    try:
        with signals_raised():
            return _practised(station, lines, trainee, seed)
    except Trouble as told:
        tell(str(told))
        return 1
    except Gone:
        nobody_reads()
        tell(spoken("Nobody reads the lines any more. What was answered is kept."))
        return 1
    except EOFError:
        return 0
    except KeyboardInterrupt as ended:
        return ended.code if isinstance(ended, Signalled) else 130


def _practised(station: Station, lines: Lines, trainee: str | None, seed: int | None) -> int:
    from trainer.screens.opening import practice

    opened = practice(station, trainee or ask_line(lines, spoken("Trainee's code, for instance T-01")), seed)
    try:
        PlainPractice(opened, lines).go()
    finally:
        opened.close()
    return 0


def _keys(view: PracticeView) -> str:
    """What can be typed now."""
    another = view.asks == "next"
    return spoken(NEXT) if another else spoken(KEYS)


def _measure_line(taken: Measured) -> str:
    """A measure, and what it is held against."""
    said = spoken("{measure}: {value}", measure=taken.label, value=taken.shown)
    return said + "   " + spoken("(wanted: {wanted})", wanted=taken.wanted)


class PlainPractice:
    """Practice, in lines. `sleep` is how a moment is let go by where an answer came too soon."""

    def __init__(self, practice: Practice, lines: Lines, sleep: Callable[[float], None] = time.sleep) -> None:
        self._practice = practice
        self._lines = lines
        self._sleep = sleep
        self._said: tuple[object, ...] = ()

    def go(self) -> None:
        """Until it is left. Raises EOFError, KeyboardInterrupt, Trouble."""
        self._plate()
        while True:
            self._question()
            typed = (self._lines.read(None) or "").strip().lower()
            if typed == "q":
                view = self._practice.view()
                said = counted(
                    "{right} of {number} answer right. Practice is over.",
                    "{right} of {number} answers right. Practice is over.",
                    view.asked,
                    right=view.right,
                )
                self._lines.say(said)
                return
            self._take(typed)

    def _take(self, typed: str) -> None:
        view = self._practice.view()
        if typed == "m":
            self._measure()
        elif typed == "v":
            self._draw()
        elif typed == "f":
            self._practice.swap()
            self._draw()
            self._practice.swap()
        elif not typed and view.asks == "next":
            self._attempt(self._practice.next)
            self._plate()
        elif typed.isdecimal() and view.options:
            if self._attempt(lambda: self._practice.pick(int(typed))):
                self._told()
        else:
            self._lines.say(_keys(view))

    def _plate(self) -> None:
        view = self._practice.view()
        said = spoken(
            "Plate {number}: {job}, {width} x {height} mm.",
            number=view.plate,
            job=view.job,
            width=f"{view.width:g}",
            height=f"{view.height:g}",
        )
        self._lines.say(said)
        self._lines.say(spoken('The folder says "{label}".', label=view.film))
        self._lines.say(spoken("One or two things went wrong when it was made."))

    def _question(self) -> None:
        """What is asked; the same question is not said twice."""
        view = self._practice.view()
        asked = (view.plate, view.ask, view.options)
        if asked == self._said:
            return
        self._said = asked
        if view.ask:
            self._lines.say(view.ask)
        for number, option in enumerate(view.options, 1):
            self._lines.say(f"  {number}  {option.label}")
        self._lines.say(_keys(view))

    def _told(self) -> None:
        for line in self._practice.view().told:
            self._lines.say(line)

    def _measure(self) -> None:
        """One measure, picked by its digit; those taken already are said again."""
        view = self._practice.view()
        for taken in view.measured:
            self._lines.say(f"  {_measure_line(taken)}")
        if not view.measures:
            self._lines.say(spoken("All measures are taken."))
            return
        self._lines.say(spoken("Which measure?"))
        for number, measure in enumerate(view.measures, 1):
            self._lines.say(f"  {number}  {measure.label}")
        typed = (self._lines.read(None) or "").strip()
        if not typed.isdecimal() or not 1 <= int(typed) <= len(view.measures):
            self._lines.say(spoken("Nothing was measured."))
            return
        found = self._practice.measure(view.measures[int(typed) - 1].key)
        self._lines.say(f"  {_measure_line(found)}")

    def _draw(self) -> None:
        from trainer.rehearsal import sight

        for row in sight.whole(self._practice, COLS, ROWS, "none").rows:
            self._lines.say("".join(run.text for run in row).rstrip())

    def _attempt(self, act: Callable[[], None]) -> bool:
        """Do one act; say what was refused."""
        try:
            try:
                act()
            except TooSoon as soon:
                self._sleep(soon.seconds)
                act()
        except (Refused, TooSoon) as told:
            self._lines.say(f"! {told}")
            return False
        return True
