"""A trainee in lines of text who does the right thing, and types hostile words wherever words are wanted."""

from __future__ import annotations

import io
from collections import deque
from pathlib import Path

from hostile_procedure import NAME, picture, write
from hostile_sources import LINE, TEXT

from trainer.run.events import Stamp
from trainer.run.fakes import FakeClock, FakeSignOff
from trainer.run.session import Run
from trainer.run.view import RunView
from trainer.screens import plain
from trainer.screens.lines import StreamLines
from trainer.screens.station import Station

PIN = "271828"
BESIDE = [
    *("?", "v", "b", "b", "", "h", TEXT, f"7 {TEXT}"),
    *("n", TEXT, "o", TEXT, "o", "T-02", "a", "x", "7", TEXT),
]
"""Typed once, at an act: everything beside the work, with hostile words."""


class GoingClock(FakeClock):
    """Ten seconds go by between any two looks at the clock."""

    def now(self) -> Stamp:
        """The present moment."""
        self.pass_time(10.0)
        return super().now()


class Hand:
    """Lines from a hand that looks at the run, and all that was said to it."""

    def __init__(self) -> None:
        self.run: Run | None = None
        self.said: list[str] = []
        self._next = deque([""])
        self._done: set[str] = set()

    def say(self, text: str) -> None:
        """Keep a line."""
        self.said.append(text)

    def secret(self, ask: str) -> str:
        """The PIN."""
        self.said.append(ask)
        return PIN

    def read(self, timeout: float | None) -> str:
        """The next line, as the program's own reader of lines would give it on."""
        del timeout
        if not self._next and self.run is not None:
            self._next.extend(self._right(self.run.view()))
        typed = StreamLines(io.StringIO(f"{self._next.popleft()}\n"), io.StringIO())
        return typed.read(None) or ""

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
            return self._once("offer", ["s", TEXT], ["l"])
        if view.sign:
            return self._once("sign", ["s", TEXT, "2", TEXT], ["s", "I-1", "2", TEXT])
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
    hand = Hand()
    with Station.open(record=folder / "r.db", procedures=procedures, clock=GoingClock()) as station:
        station.sign_off = FakeSignOff({"I-1": PIN})
        run = plain._take_up_or_open(station, hand, NAME, "T-01", "full", LINE, LINE, None)
        assert run is not None
        hand.run = run
        plain.PlainRun(station, run, hand, sleep=lambda _: None).go()
        assert run.view().closed
    return "\n".join(hand.said).replace("\a*** ", "*** ")
