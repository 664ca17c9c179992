"""A trainee in lines of text who does the right thing, and types hostile words wherever words are wanted."""

from __future__ import annotations

import io
from collections import deque
from pathlib import Path
from typing import Any, TextIO, cast
from unittest.mock import patch

from hostile_procedure import NAME, picture, write
from hostile_sources import LINE, TEXT

from trainer.run.events import Stamp
from trainer.run.fakes import FakeClock, FakeSignOff
from trainer.run.session import Run
from trainer.run.view import RunView
from trainer.screens import plain
from trainer.screens.station import Station

PIN = "271828"
BESIDE = [
    *("?", "v", "b", "b", "", "h", TEXT, f"7 {TEXT}"),
    *("n", TEXT, "o", TEXT, "o", "T-02", "a", "x", "8", TEXT),
]
"""Typed once, at an act: everything beside the work, with hostile words."""


class GoingClock(FakeClock):
    """Ten seconds go by between any two looks at the clock."""

    def now(self) -> Stamp:
        """The present moment."""
        self.pass_time(10.0)
        return super().now()


class Hand(io.TextIOBase):
    """A stream of lines from a hand that looks at the run."""

    def __init__(self) -> None:
        self.run: Run | None = None
        self._next = deque([""])
        self._done: set[str] = set()

    def isatty(self) -> bool:
        """A pipe: a PIN is a line like any other."""
        return False

    def readline(self, size: int | None = -1) -> str:  # type: ignore[override] # lines of text, as TextIO has them
        """The next line."""
        del size
        if not self._next and self.run is not None:
            self._next.extend(self._right(self.run.view()))
        return f"{self._next.popleft()}\n"

    def _once(self, what: str, typed: list[str], then: list[str]) -> list[str]:
        if what in self._done:
            return then
        self._done.add(what)
        return typed

    def _right(self, view: RunView) -> list[str]:
        """What to type at this moment."""
        if view.hazard:
            return ["a"]
        if view.answer or view.worked:
            return [""]
        if view.number:
            if view.quiz_question:
                return ["24"]
            return self._once("number", [f"12 {TEXT}", "5"], ["22"])
        if view.choice:
            return self._pick(view)
        if view.offer:
            return self._once("offer", ["s", TEXT, PIN], ["l"])
        if view.sign:
            return self._once("sign", ["s", TEXT, "2", TEXT, PIN], ["s", "I-1", "2", TEXT, PIN])
        return self._once("beside", BESIDE, [""]) if view.picture else [""]

    def _pick(self, view: RunView) -> list[str]:
        choice = view.choice
        assert choice is not None
        if choice.several or choice.ordered:
            return [*(str(place) for place in range(1, len(choice.options) + 1)), ""]
        return ["1"]


def whole_run(folder: Path, said: str) -> str:
    """All that is said in a run through a procedure whose every text is `said`, job and colour hostile."""
    procedures = folder / "procedures"
    write(procedures, said)
    picture(procedures, "[x] 5 [cm]")
    hand, said_then = Hand(), io.StringIO()
    with Station.open(record=folder / "r.db", procedures=procedures, clock=GoingClock()) as station:
        station.sign_off = FakeSignOff({"I-1": PIN})
        opening = station.open_run

        def opened(*words: Any, **named: Any) -> Run:  # noqa: ANN401 - as the station takes them
            hand.run = opening(*words, **named)
            return hand.run

        with patch.object(station, "open_run", opened):
            code = plain.run_plain(
                station,
                procedure=NAME,
                trainee="T-01",
                guidance="full",
                job=LINE,
                colour=LINE,
                source=cast("TextIO", hand),
                sink=said_then,
            )
    assert code == 0
    assert hand.run is not None
    assert hand.run.view().closed
    return said_then.getvalue().replace("\a*** ", "*** ")
