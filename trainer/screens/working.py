"""The run screen: every key is handed to the run, and what came of it is drawn."""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from textual import work
from textual.message import Message

from trainer.procedure.units import in_system
from trainer.run.ports import LeaseLost, PinVerdict, Trouble
from trainer.run.refusals import Refused, TooSoon
from trainer.screens import questions, themes
from trainer.screens.drawing import RunDrawing
from trainer.screens.widgets.entry import NumberEntry
from trainer.screens.widgets.hazard import Hazard
from trainer.screens.widgets.keys import Keys
from trainer.screens.widgets.sheet import Sheet
from trainer.tongue import spoken

if TYPE_CHECKING:
    from trainer.run.session import Run
    from trainer.screens.station import Station

Got = TypeVar("Got")
PAGE = 8
"""Rows that the sheet moves at a time."""


class Working(RunDrawing):
    """Dismissed with `left` (the run stays open), `closed`, or why it cannot be gone on with here."""

    class PinLooked(Message):
        """A PIN was looked at, off the screen's loop. trouble: a sentence, where it could not be."""

        def __init__(self, tried: questions.SignTry, verdict: PinVerdict | None, trouble: str = "") -> None:
            super().__init__()
            self.tried, self.verdict, self.trouble = tried, verdict, trouble

    def __init__(self, station: Station, run: Run) -> None:
        super().__init__(station, run)
        self.station = station
        self.run = run

    def action_act(self, action: str) -> None:
        """Do what the action's key says, if it works now."""
        if self._works(action):
            if doing := self.do(action):
                doing()
        elif action == "next" and (said := self._instead()):
            self.say(said)
        elif action in ("picture", "points") and self.opened == action:
            self.open(action)  # the key that opened it closes it

    def _instead(self) -> str:
        """Why the primary key does nothing now, and what does: a key without an answer looks broken."""
        now = self.now
        if now.hazard:
            return spoken("Space does not accept this. Read it, then press a.")
        if now.choice and (now.choice.several or now.choice.ordered):
            return spoken("Press the digits of your answer first, then Space.")
        if now.choice:
            return spoken("Press the digit of your answer.")
        if now.wait:
            return spoken("The time is not over yet.")
        if now.offer:
            return spoken("The instructor takes the new value with a PIN, or you go on without it.")
        return spoken("This needs an instructor's PIN.") if now.sign else ""

    def ring(self, rings: tuple[str, ...]) -> None:
        """Ring; what was said of a key pressed before it holds no longer."""
        self.said = ""
        super().ring(rings)

    def do(self, action: str) -> Callable[[], object] | None:
        """What an action does here; None where it is none of a run's."""
        doing: dict[str, Callable[[], object]] = {
            "next": self.next,
            "accept": self.accept,
            "unit": self.query_one(NumberEntry).next_unit,
            "points": self._points,
            "picture": self._picture,
            "sign": self._sign,
            "leave_setting": lambda: self.attempt(self.run.leave_setting),
            "back": self._look_back,
            "pause": self._pause,
            "spoil": lambda: self._ask(questions.asking_spoil(), self.run.spoil),
            "note": lambda: self._ask(questions.asking_note(), self.run.note),
            "hand_over": lambda: self._ask(questions.asking_hand_over(), self._hand_over),
            "stop": lambda: self._ask(questions.asking_stop(), self.run.stop),
            "down": lambda: self.move(PAGE),
            "up": lambda: self.move(-PAGE),
            "light": self._change_light,
            "help": self._help,
            "leave": lambda: self.dismiss("left"),
        }
        return doing.get(action)

    def _works(self, action: str) -> bool:
        from trainer.screens.actions import BY_ID

        act = BY_ID[action].act
        return act is None or act in self.acts()

    def move(self, rows: int) -> None:
        """Move the text that stands on the screen: the safety prompt's, else the sheet's."""
        if self.has_class("hazard"):
            self.query_one(Hazard).move(rows)
        else:
            self.query_one(Sheet).move(rows)

    def accept(self) -> None:
        """Accept the safety prompt, once its whole text stood on the screen."""
        prompt = self.query_one(Hazard)
        if self.has_class("hazard") and not prompt.read:
            prompt.move(PAGE)
            return
        self.attempt(self.run.accept)

    def action_pick(self, number: int) -> None:
        """Pick the option with that digit."""
        choice = self.now.choice
        if "pick" in self.acts() and choice and number <= len(choice.options):
            self.attempt(lambda: self.run.pick(number))

    def on_sheet_picked(self, message: Sheet.Picked) -> None:
        """A click on an option is its digit."""
        self.action_pick(message.number)

    def on_keys_pressed(self, message: Keys.Pressed) -> None:
        """A click on a key is that key."""
        self.action_act(message.action)

    def attempt(self, act: Callable[[], object]) -> bool:
        """Do one act of the run; say what was refused or went wrong. The act can then be done again."""
        try:
            act()
        except TooSoon:
            return False
        except LeaseLost as told:
            self.dismiss(str(told))
            return False
        except (Refused, Trouble) as told:
            self.say(str(told))
            return False
        self.said, self.opened, self.steps_back = "", "", 0
        self.draw_now()
        if self.now.closed:
            self.dismiss("closed")
        return True

    def say(self, sentence: str) -> None:
        """Show a sentence over the act until the next one is done."""
        self.said = sentence
        self.draw_now()

    def tick(self) -> tuple[str, ...]:
        """What rings now; a record that cannot be written is said, and looked at again at the next tick."""
        try:
            return self.ticks()
        except LeaseLost as told:
            self.dismiss(str(told))
            return ()
        except Trouble as told:
            if self.said != str(told):
                self.say(str(told))
            return ()

    def ticks(self) -> tuple[str, ...]:
        """Let time go by where it is looked at."""
        return self.run.tick()

    def next(self) -> None:
        """The primary key: back to the act, enter what was typed, or go on."""
        if self.opened or self.steps_back:
            self.opened, self.steps_back = "", 0
            self.draw_now()
        elif self.now.number and not self.now.paused:
            self._enter()
        else:
            self.attempt(self.run.next)

    def _enter(self) -> None:
        entry = self.query_one(NumberEntry)
        if not entry.text:
            self.say(spoken("Type the number first, then press Space."))
        elif self.attempt(lambda: self.run.enter(entry.text, entry.unit)) and self.now.number:
            entry.clear()

    def _points(self) -> None:
        if self.now.points_hidden and not self.attempt(self.run.points):
            return
        if not self.points_beside and not self.query_one(Sheet).whole:
            self.open("points")

    def _picture(self) -> None:
        self.open("picture")

    def open(self, what: str) -> None:
        """Open something over the act, or close it again."""
        self.opened = "" if self.opened == what else what
        self.draw_now()

    def _look_back(self) -> None:
        if self.run.look_back(self.steps_back + 1) is None:
            self.say(spoken("There is no step before this one.")) if not self.steps_back else None
            return
        self.steps_back += 1
        self.draw_now()

    def _pause(self) -> None:
        self.attempt(self.run.resume if self.now.paused else self.run.pause)

    def _change_light(self) -> None:
        self.app.theme = themes.after(self.app.theme)

    def _help(self) -> None:
        from trainer.screens.help import Help  # its page is only made when it is asked for

        self.app.push_screen(Help(replace(self.now, acts=self.acts())))

    def _ask(self, asking: Generator[questions.Question, str, Got], then: Callable[[Got], object]) -> None:
        from trainer.screens.ask import Ask  # a prompt is rare; its widgets are not needed before it

        def answered(got: Got | None) -> None:
            if got:
                self.attempt(lambda: then(got))

        self.app.push_screen(Ask(asking), answered)

    def as_instruments_show(self, units: tuple[str, ...]) -> tuple[str, ...]:
        """The units of a number, the one first that instruments of this shop show."""
        return in_system(units, self.station.instruments)

    def _hand_over(self, typed: str) -> None:
        self.run.hand_over(self.station.code(typed))

    def _sign(self) -> None:
        if self.now.offer:
            offer = self.now.offer
            self._ask(questions.asking_take_setting(offer.label, offer.new), self._look_at_pin)
        elif self.now.sign:
            self._ask(questions.asking_sign(self.now.sign.of), self._look_at_pin)

    def _look_at_pin(self, tried: questions.SignTry) -> None:
        tried = self.station.coded(tried)
        self.call_after_refresh(self.say, spoken("Looking at the PIN."))
        self._look(tried)

    @work(thread=True)
    def _look(self, tried: questions.SignTry) -> None:
        """In a thread: a PIN check is slow by design. Only a message comes back."""
        try:
            verdict = self.station.sign_off.check(tried.by, tried.pin)
        except Trouble as told:
            self.post_message(self.PinLooked(tried, None, str(told)))
            return
        self.post_message(self.PinLooked(tried, verdict))

    def on_working_pin_looked(self, message: PinLooked) -> None:
        """The PIN was looked at: the run keeps what came of it."""
        message.stop()
        tried, verdict = message.tried, message.verdict
        if verdict is None:
            self.say(message.trouble)
            return
        if self.now.offer:
            self._take_setting(tried, verdict)
        else:
            self.attempt(lambda: self.run.sign(tried.by, verdict, tried.word, tried.note))
        if verdict.verdict != "right" and (self.now.offer or verdict.verdict == "too_soon"):
            self.say(questions.refused_words(verdict.verdict, verdict.wait))

    def _take_setting(self, tried: questions.SignTry, verdict: PinVerdict) -> None:
        trouble = ""

        def take() -> None:
            nonlocal trouble
            trouble = self.station.take_setting(self.run, tried.by, verdict)

        if self.attempt(take) and trouble:
            self.say(trouble)
