"""What the run screen draws: its widgets, and the run's view put into them. What keys do is in `working`."""

from __future__ import annotations

from dataclasses import replace
from typing import Protocol

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.events import Resize
from textual.screen import Screen

from trainer.run.view import ActName, RunView, WaitView
from trainer.screens import actions, sheets, words
from trainer.screens.page import Block
from trainer.screens.widgets.countdown import Countdown
from trainer.screens.widgets.entry import NumberEntry
from trainer.screens.widgets.hazard import BETWEEN, Hazard
from trainer.screens.widgets.keys import Keys, of_view
from trainer.screens.widgets.place import Place
from trainer.screens.widgets.sheet import Sheet
from trainer.screens.widgets.side import Side
from trainer.tongue import spoken

WIDE = 100
"""Columns from which key points and drawing stand beside the act."""
LOW = 30
"""Rows under which the sheet does without a margin at the top."""
CARRIED = {"pick": "pick({})", "loupe": "loupe('{}')"}
"""What the keys of these actions ask for: which of them it was matters."""


def bindings() -> list[BindingType]:
    """One binding for each action of the registry; digits and arrows carry themselves along."""
    made: list[BindingType] = []
    for action in filter(lambda action: action.in_run, actions.ACTIONS):
        if doing := CARRIED.get(action.id):
            made += [
                Binding(key, doing.format(key), action.words, show=False, id=f"{action.id}.{key}")
                for key in action.keys
            ]
            continue
        keys = ",".join(action.keys)
        made.append(
            Binding(
                keys,
                f"act('{action.id}')",
                action.words,
                show=False,
                id=action.id,
            )
        )
    return made


class Shows(Protocol):
    """What is drawn: a run, or a procedure in the author's preview."""

    def view(self) -> RunView:
        """What it shows now."""

    def look_back(self, steps_back: int, /) -> RunView | None:
        """An earlier step as it was shown; None where there is none."""

    def tick(self) -> tuple[str, ...]:
        """What rings now."""


class Around(Protocol):
    """What stands around it: a station, or the folder of the author's file."""

    @property
    def notice(self) -> str:
        """What has to be said of the place all the time; may be empty."""

    def picture(self, procedure: str, picture: str, /) -> tuple[str, ...] | None:
        """A drawing of a procedure."""


class RunDrawing(Screen[str]):
    """Draws a run. `opened` is what stands over the act where there is no room beside it."""

    DEFAULT_CSS = """
    RunDrawing { layout: vertical; background: $background; }
    RunDrawing #middle { height: 1fr; }
    RunDrawing.hazard Place, RunDrawing.hazard #middle, RunDrawing.hazard Keys { display: none; }
    RunDrawing.hazard Hazard { display: block; }
    """
    AUTO_FOCUS = ""  # a hidden number entry with the focus would swallow the digits that pick an answer
    BINDINGS = bindings()

    def __init__(self, around: Around, shows: Shows) -> None:
        super().__init__()
        self._around = around
        self._shows = shows
        self.now: RunView = shows.view()
        self.shown: RunView = self.now
        self.said = ""
        self.steps_back = 0
        self.opened = ""
        self._asked_for: tuple[object, ...] = ()

    def compose(self) -> ComposeResult:
        """Few widgets, all there from the first moment."""
        yield Place()
        with Horizontal(id="middle"):
            yield Sheet()
            yield Side()
        yield NumberEntry()
        yield Countdown()
        yield Keys()
        yield Hazard()

    def on_mount(self) -> None:
        """Draw the run as it stands."""
        self.draw_now()

    def on_resize(self, event: Resize) -> None:
        """Another size: beside or behind a key."""
        self.query_one(Sheet).set_class(event.size.height < LOW, "low")
        self.call_after_refresh(self.draw_now)

    @property
    def wide(self) -> bool:
        """Whether there is a column beside the act."""
        return self.app.size.width >= WIDE

    @property
    def points_beside(self) -> bool:
        """Whether key points and drawing stand in that column."""
        return self.wide

    def draw_now(self) -> None:
        """Ask the run what it shows, and draw that (or the earlier step that is looked back at)."""
        self.now = self._shows.view()
        earlier = self._shows.look_back(self.steps_back) if self.steps_back else None
        if earlier is None:
            self.steps_back = 0
        self.draw(earlier or self.now)

    def draw(self, view: RunView) -> None:
        """Draw `view`. The wait is always the present one: it goes on while somebody looks back."""
        self.shown = view
        present = not self.steps_back
        self.set_class(present and view.hazard is not None and not view.paused and not self.opened, "hazard")
        if self.has_class("hazard") and view.hazard:
            others = _other_keys(view, self.acts(), self.time_words().split(",")[0])
            self.query_one(Hazard).show(view.hazard, others, self._told(""))
        self.query_one(Place).show(view, self.steps_back, self.time_words())
        self.show_number(present and not view.paused and not self.opened)
        self.query_one(Countdown).show(self.figures(self.now))
        self._draw_middle(view)
        self._draw_keys()

    def _draw_keys(self) -> None:
        view = replace(self.shown, acts=self.acts())
        self.query_one(Keys).show(of_view(view, self.app.size.width, self.words_here(), self.digits()))

    def digits(self) -> int:
        """How many there are to pick from by a digit."""
        return len(self.shown.choice.options) if self.shown.choice else 0

    def on_number_entry_typed(self, message: NumberEntry.Typed) -> None:
        """The primary key may do something else now."""
        message.stop()
        self._draw_keys()

    def on_sheet_laid(self, message: Sheet.Laid) -> None:
        """The sheet has another room now, after a safety prompt, a wait or a number: name the keys anew."""
        message.stop()
        self._draw_keys()

    def _draw_middle(self, view: RunView) -> None:
        sheet = self.query_one(Sheet)
        if self.opened:
            sheet.show(self._opened_blocks(view))
        else:
            sheet.show(self.blocks(replace(view, notice=self._told(view.notice))))
        beside = sheets.side(view, self.drawing(view)) if self.points_beside else []
        side = self.query_one(Side)
        if side.display != bool(beside):
            side.display = bool(beside)
        if beside:
            side.show(beside)

    def _told(self, notice: str) -> str:
        """What stands over the act: what just went wrong or the run's own notice, then the station's."""
        return " ".join(part for part in (self.said or notice, self._around.notice) if part)

    def blocks(self, view: RunView) -> list[Block]:
        """What the sheet says."""
        return sheets.sheet(view, points_beside=self.points_beside, looking_back=bool(self.steps_back))

    def words_here(self) -> dict[str, str]:
        """What keys do, where it is not what they do as ever."""
        return {"next": spoken("back")} if self.opened or self.steps_back else {}

    def time_words(self) -> str:
        """How fast time runs, where it is not the clock's."""
        return ""

    def _opened_blocks(self, view: RunView) -> list[Block]:
        if self.opened == "picture":
            return [sheets.picture(self.drawing(view) or (spoken("There is no drawing here."),))]
        return [sheets.heading(spoken("Key points")), *sheets.points(view)]

    def show_number(self, present: bool) -> None:
        """Show the number that the run asks for, if it asks for one."""
        number = self.now.number if present else None
        if number is None:
            self.ask_number(None, ())
        else:
            units = self.as_instruments_show(number.units)
            asked = (self.now.step, self.now.plate, number.last, number.verdict, units)
            self.ask_number(units, asked, self.what_is_asked())

    def as_instruments_show(self, units: tuple[str, ...]) -> tuple[str, ...]:
        """The units that a number may be typed in, the one first that is read off here."""
        return units

    def what_is_asked(self) -> str:
        """The name of the number that the run asks for, where another one could be meant."""
        return ""

    def ask_number(
        self, units: tuple[str, ...] | None, asked_for: tuple[object, ...], what: str = ""
    ) -> None:
        """Ask for a number in one of `units`, None for none; something else `asked_for` begins it anew."""
        entry = self.query_one(NumberEntry)
        if entry.display != (units is not None):
            entry.display = units is not None
            self.set_focus(entry if units is not None else None)
        if units is not None and asked_for != self._asked_for:
            self._asked_for = asked_for
            entry.ask(units, what)

    def figures(self, view: RunView) -> WaitView | None:
        """The wait that is drawn in figures; where its count is asked for, that has their place."""
        return None if view.number else view.wait

    def drawing(self, view: RunView) -> tuple[str, ...]:
        """The picture of the step, where the guidance lets it be seen."""
        if not view.picture:
            return ()
        return self._around.picture(view.procedure, view.picture) or ()

    def acts(self) -> tuple[ActName, ...]:
        """The acts that do something on this screen, in the order of the row of keys."""
        if self.opened:
            return ("next",)
        if self.steps_back:
            return ("next", "back")
        sheet = self.query_one(Sheet)
        return sheets.acts_here(self.shown, wide=self.points_beside, whole=sheet.whole)

    def on_countdown_tick(self, message: Countdown.Tick) -> None:
        """The figures ask for a look at the time."""
        message.stop()
        self.time_goes_by()

    def time_goes_by(self) -> None:
        """Ring where the run says so, and draw what changed."""
        rings = self.tick()
        if rings:
            self.ring(rings)
        view = self._shows.view()
        if rings or not same_but_time(view, self.now):
            self.draw_now()
        else:
            self.now = view
            self.query_one(Countdown).show(self.figures(view))

    def tick(self) -> tuple[str, ...]:
        """What rings now."""
        return self._shows.tick()

    def ring(self, rings: tuple[str, ...]) -> None:
        """Ring the bell; say it also over a prompt that covers the figures."""
        self.app.bell()
        wait = self._shows.view().wait
        if wait and self.app.screen is not self and rings:
            self.app.notify(f"{words.wait_flag(wait)}: {words.wait_sentences(wait)[0]}", markup=False)


def _other_keys(view: RunView, acts: tuple[ActName, ...], time: str) -> str:
    """The keys named beside the one that accepts: few, so that nothing draws the eye from it.

    time: how fast it runs, in a rehearsal; it has the place of the last key.
    """
    beside: tuple[ActName, ...] = ("back", "pause")
    named = of_view(replace(view, acts=tuple(act for act in beside if act in acts)), 80)
    said = [f"{shown} {words_said}" for _, shown, words_said in named]
    return BETWEEN.join([*said[:-1], time] if time else said)


def same_but_time(view: RunView, other: RunView) -> bool:
    """Whether nothing but the figures of a running wait differs."""
    return replace(view, wait=_standing(view.wait)) == replace(other, wait=_standing(other.wait))


def _standing(wait: WaitView | None) -> WaitView | None:
    return replace(wait, elapsed=None, remaining=None) if wait else None
