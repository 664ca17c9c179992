"""Views made by hand, and a run that shows them, for tests of what is drawn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from trainer.run.ports import PinVerdict, SignOff
from trainer.run.view import (
    AnswerView,
    ChoiceView,
    HazardView,
    NumberView,
    OfferView,
    Option,
    RunView,
    SignView,
    WaitView,
    WorkedView,
)
from trainer.screens.questions import SignTry

STAGES = ("Inspection", "Punching", "Vacuum", "Exposure", "Development", "Rinse", "Gumming", "Closing")

CONFIRM = RunView(
    run="run-1",
    trainee="T-03",
    procedure="negative-plate-two-burns",
    title="Negative-working plate, two burns",
    guidance="full",
    rehearsal=False,
    job="tide table",
    colour="blue",
    plate=1,
    stage="Vacuum",
    stage_number=3,
    stages=STAGES,
    step="draw-down",
    step_number=3,
    steps_in_stage=6,
    aside=False,
    act="Close the glass, lock the frame and start the pump.",
    key_points=("Frame locked", "No film edge under the gasket", "Watch the rings spread"),
    points_hidden=False,
    why="Any gap lets light creep under the film edge and thicken the image.",
    picture="frame-closed",
    acts=("next", "points", "picture", "back", "pause", "spoil", "note", "hand_over", "stop"),
)
BARE = replace(CONFIRM, act="", key_points=(), why="", picture=None)
COUNTDOWN = WaitView(form="countdown", state="running", elapsed=15.0, remaining=75.0, seconds=90.0)
WINDOW = WaitView(form="window", state="closing", elapsed=80.0, remaining=10.0, at_least=30.0, at_most=90.0)
DOSE = WaitView(form="dose", state="ready", units=24.0, estimate=72.0)

VIEWS: dict[str, RunView] = {
    "confirm": CONFIRM,
    "cued": replace(CONFIRM, guidance="cued", points_hidden=True),
    "hazard": replace(
        BARE,
        step="mind-the-glass",
        hazard=HazardView(
            "warning",
            "The frame can crush fingers, and glass under vacuum can break.",
            ("Both hands on the rim", "Never force the glass while the gauge shows vacuum"),
        ),
        acts=("accept", "back", "pause"),
    ),
    "countdown": replace(CONFIRM, act="Leave the plate in the developer.", wait=COUNTDOWN),
    "countdown-ready": replace(
        CONFIRM,
        act="Pour the developer over the whole plate.",
        wait=WaitView(form="countdown", state="ready", seconds=90.0),
    ),
    "countdown-due": replace(
        CONFIRM,
        act="Leave the plate in the developer.",
        wait=WaitView(form="countdown", state="due", elapsed=93.0, remaining=0.0, seconds=90.0),
    ),
    "window": replace(CONFIRM, act="Rub with the pad in circles.", wait=WINDOW),
    "dose": replace(CONFIRM, act="Expose the plate.", wait=DOSE),
    "unknown": replace(
        CONFIRM,
        wait=WaitView(form="countdown", state="unknown", seconds=90.0),
        choice=ChoiceView(
            "Was it long enough?", (Option("enough", "Long enough"), Option("again", "Start again"))
        ),
        acts=("pick", "back", "pause"),
    ),
    "reading": replace(
        CONFIRM,
        act="Read the gauge.",
        number=NumberView(("inHg", "kPa", "mbar")),
        acts=("next", "unit", "points", "back", "pause", "spoil", "stop"),
    ),
    "reading-miss": replace(
        CONFIRM,
        act="Read the gauge.",
        number=NumberView(
            ("inHg", "kPa", "mbar"),
            "17 inHg",
            "miss",
            "The pump has not finished or the frame leaks. Wait, then read again.",
        ),
        acts=("next", "unit", "points", "back", "pause", "spoil", "stop"),
    ),
    "judge": replace(
        CONFIRM,
        choice=ChoiceView(
            "How do the edges look?", (Option("clean", "Clean all round"), Option("fog", "A haze"))
        ),
        acts=("pick", "points", "back", "pause", "spoil"),
    ),
    "quiz": replace(
        BARE,
        choice=ChoiceView(
            "Why must film and plate touch all over?",
            (
                Option("a", "So that light cannot creep under the film edge and thicken the image"),
                Option("b", "So that the plate stays cool"),
                Option("c", "So that the pump can rest"),
            ),
        ),
        acts=("pick", "back", "pause"),
    ),
    "choices": replace(
        BARE,
        choice=ChoiceView(
            "Which of these spoil contact?",
            (Option("a", "Dust", picked=True), Option("b", "A taped edge"), Option("c", "A quiet pump")),
            several=True,
        ),
        acts=("next", "pick", "back", "pause"),
    ),
    "order": replace(
        BARE,
        choice=ChoiceView(
            "Put them in order.",
            (Option("a", "Rinse"), Option("b", "Develop", picked=True, place=1), Option("c", "Gum")),
            ordered=True,
        ),
        acts=("next", "pick", "back", "pause"),
    ),
    "solo": replace(
        BARE,
        guidance="solo",
        step="",
        picking_next=True,
        points_hidden=True,
        choice=ChoiceView(
            "What comes next?",
            tuple(Option(str(number), act) for number, act in enumerate(("Gum", "Rinse", "Dry", "Rub"))),
        ),
        acts=("pick", "back", "pause"),
    ),
    "right": replace(
        BARE,
        quiz_question="Why must film and plate touch all over?",
        answer=AnswerView(
            right=True,
            given="No creeping light",
            wanted="No creeping light",
            because="Light goes under any edge that is up.",
        ),
        acts=("next", "back", "pause"),
    ),
    "wrong": replace(
        BARE,
        quiz_question="Why must film and plate touch all over?",
        answer=AnswerView(
            right=False,
            given="A cool plate",
            wanted="No creeping light",
            because="Light goes under any edge that is up.",
        ),
        acts=("next", "back", "pause"),
    ),
    "worked": replace(
        BARE,
        worked=WorkedView(
            "Two wedge steps double the exposure.", "24 units x 10^(0.15 x (6 - 5)) = 33.9", "34 units"
        ),
        acts=("next", "back", "pause"),
    ),
    "offer": replace(
        BARE,
        offer=OfferView("Exposure", old="24 units", new="34 units", fits=True, limits="5 to 80 units"),
        acts=("sign", "leave_setting", "back", "pause"),
    ),
    "offer-outside": replace(
        BARE,
        offer=OfferView("Exposure", old="24 units", new="96 units", fits=False, limits="5 to 80 units"),
        acts=("next", "back", "pause"),
    ),
    "sign": replace(
        BARE,
        sign=SignView("The last look at the plate", "That PIN is wrong."),
        acts=("sign", "back", "pause"),
    ),
    "paused": replace(CONFIRM, paused=True, wait=COUNTDOWN, acts=("next",)),
}
"""One view for every kind of moment, by name."""


class ViewRun:
    """Shows a view by hand; every act is noted in `did` and may change what is shown."""

    def __init__(self, view: RunView, earlier: Sequence[RunView] = ()) -> None:
        self.shows = view
        self.earlier = list(earlier)
        self.did: list[tuple[object, ...]] = []
        self.rings: list[str] = []
        self.fails: Exception | None = None
        self.then: Callable[[ViewRun], None] | None = None

    def view(self) -> RunView:
        """What it was told to show."""
        return self.shows

    def look_back(self, steps_back: int) -> RunView | None:
        """An earlier view."""
        if not 1 <= steps_back <= len(self.earlier):
            return None
        return replace(self.earlier[-steps_back], acts=("back",))

    def tick(self) -> tuple[str, ...]:
        """What it was told to ring, once."""
        rings, self.rings = tuple(self.rings), []
        return rings

    def _do(self, *act: object) -> None:
        if self.fails:
            fails, self.fails = self.fails, None
            raise fails
        self.did.append(act)
        if self.then:
            self.then(self)

    def next(self) -> None:  # noqa: D102 - the acts of a run, by their names
        self._do("next")

    def accept(self) -> None:  # noqa: D102
        self._do("accept")

    def pick(self, n: int) -> None:  # noqa: D102
        self._do("pick", n)

    def enter(self, text: str, unit: str = "") -> None:  # noqa: D102
        self._do("enter", text, unit)

    def points(self) -> None:  # noqa: D102
        self._do("points")
        self.shows = replace(self.shows, points_hidden=False)

    def pause(self) -> None:  # noqa: D102
        self._do("pause")
        self.shows = replace(self.shows, paused=True)

    def resume(self) -> None:  # noqa: D102
        self._do("resume")
        self.shows = replace(self.shows, paused=False)

    def spoil(self, reason: str) -> None:  # noqa: D102
        self._do("spoil", reason)

    def stop(self, reason: str) -> None:  # noqa: D102
        self._do("stop", reason)
        self.shows = replace(self.shows, closed="stopped")

    def sign(self, by: str, verdict: PinVerdict, word: str, note: str = "") -> None:  # noqa: D102
        self._do("sign", by, verdict.verdict, word, note)

    def leave_setting(self) -> None:  # noqa: D102
        self._do("leave_setting")

    def note(self, text: str) -> None:  # noqa: D102
        self._do("note", text)

    def hand_over(self, to: str) -> None:  # noqa: D102
        self._do("hand_over", to)


class ViewStation:
    """As much of a station as the run screen asks for."""

    language = "en"
    notice = ""
    instruments = None

    def __init__(self, sign_off: SignOff, drawing: tuple[str, ...] | None = ("+--+", "|  |", "+--+")) -> None:
        self.sign_off = sign_off
        self.drawing = drawing
        self.procedures = Path()

    def picture(self, procedure: str, picture: str) -> tuple[str, ...] | None:
        """The same drawing always."""
        del procedure, picture
        return self.drawing

    def code(self, typed: str) -> str:
        """Codes are upper case."""
        return typed.upper()

    def coded(self, tried: SignTry) -> SignTry:
        """Codes are upper case."""
        return replace(tried, by=tried.by.upper())

    def take_setting(self, run: ViewRun, by: str, verdict: PinVerdict) -> str:
        """Noted in the run."""
        run.did.append(("take_setting", by, verdict.verdict))
        return ""
