"""The screen of a rehearsal: the run screen with the bench's controls, its gauges and the plate."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from trainer.rehearsal import hands
from trainer.rehearsal.sight import Before
from trainer.run.answers import number
from trainer.run.refusals import Refused
from trainer.run.view import ActName, RunView, WaitView
from trainer.screens import bench_words, handles, sheets
from trainer.screens.drawing import same_but_time
from trainer.screens.looking import Looking
from trainer.screens.page import Block
from trainer.screens.widgets.countdown import TICKS, Countdown
from trainer.screens.widgets.entry import NumberEntry
from trainer.screens.widgets.gauges import Gauges
from trainer.screens.widgets.hazard import Hazard
from trainer.screens.widgets.keys import Keys
from trainer.screens.widgets.pane import Pane
from trainer.screens.widgets.picture import Picture
from trainer.screens.widgets.place import Place
from trainer.screens.widgets.sheet import Sheet
from trainer.screens.widgets.side import Side
from trainer.screens.working import Working
from trainer.tongue import spoken

if TYPE_CHECKING:
    from trainer.rehearsal.bench_view import ControlView
    from trainer.rehearsal.rehearsal import Rehearsal
    from trainer.screens.station import Station

PLATE = "plate"
"""What is opened when the plate has the place of the act."""
SPEEDS = (1.0, 5.0)
ROWS_OF_ACT = 3
"""What the act takes of the sheet where all controls are shown under it."""
WIDEST = 144
"""Columns from which key points and plate both stand beside the act."""


class Rehearsing(Working):
    """A run over a simulated bench. `at` is the control that the keys go to."""

    DEFAULT_CSS = """
    Rehearsing #act { width: 1fr; }
    Rehearsing.plate #act { display: none; }
    """

    def __init__(self, station: Station, rehearsal: Rehearsal) -> None:
        self.rehearsal = rehearsal
        self.bench = rehearsal.bench()
        self.at = ""
        self.everything = False
        self.before = Before(rehearsal)
        self.looking = Looking(self.before)
        self._waits = ""
        self._step: tuple[object, ...] = ()
        super().__init__(station, rehearsal.run)

    def compose(self) -> ComposeResult:
        """The run screen's widgets, the plate and the gauges."""
        yield Place()
        with Horizontal(id="middle"):
            with Vertical(id="act"):
                with Horizontal():
                    yield Sheet()
                    yield Side()
                yield NumberEntry()
                yield Countdown()
            yield Pane()
        yield Gauges()
        yield Keys()
        yield Hazard()

    def on_mount(self) -> None:
        """The bench goes on whether or not the run waits for something."""
        self.set_interval(1 / TICKS, self.time_goes_by)

    def draw_now(self) -> None:
        """Look at the bench too."""
        self.bench = self.rehearsal.bench()
        super().draw_now()

    def draw(self, view: RunView) -> None:
        """Draw the run, then the bench."""
        step = (self.now.step, self.now.plate)
        if step != self._step:
            self._step, self.at, self._waits, self.everything = step, "", "", False
        names = self._ring()
        self.at = handles.placed(names, self.at if self.at in names else self._waits)
        self.set_class(self.opened == PLATE, "plate")
        super().draw(view)
        self._draw_gauges()
        self.look_at_plate()

    def _draw_gauges(self) -> None:
        covered = self.steps_back or self.has_class("hazard")
        self.query_one(Gauges).show([] if covered else self.bench.gauges, (covered, self._step))

    def _ring(self) -> tuple[str, ...]:
        """What the keys can go to."""
        if self.steps_back or self.opened:
            return ()
        return handles.ring(self.bench, self.now, everything=self.everything)

    @property
    def control(self) -> ControlView | None:
        """The control that the keys go to."""
        return handles.find(self.bench, self.at)

    def acts(self) -> tuple[ActName, ...]:
        """The run's acts and the bench's."""
        if self.opened == PLATE:
            return handles.acts_at_plate(self.bench)
        if self.steps_back or self.opened or self.now.paused:
            return super().acts()
        acts = handles.acts(super().acts(), self.bench, self._ring(), self.at, everything=self.everything)
        shows = handles.ring(self.bench, self.now, everything=True)
        return acts if shows else tuple(act for act in acts if act != "controls")

    def blocks(self, view: RunView) -> list[Block]:
        """The sheet, with the controls between the act and what is asked."""
        names = self._ring()
        if self.everything and names:
            room = max(1, self.query_one(Sheet).size.height - ROWS_OF_ACT)
            controls = handles.blocks(self.bench, names, self.at, room)
        else:
            controls = [*bench_words.news(self.bench), *handles.blocks(self.bench, names, self.at)]
        return sheets.sheet(
            view,
            points_beside=self.points_beside,
            looking_back=bool(self.steps_back),
            controls=[] if self.steps_back else controls,
            digits=self.control is None,
            by_hand=self.bench.starts,
        )

    @property
    def points_beside(self) -> bool:
        """The plate has the column beside the act; key points have one too where there is room for both."""
        return self.app.size.width >= WIDEST

    def words_here(self) -> dict[str, str]:
        """A typed number is set before the act is done; what is held is let go."""
        said = super().words_here()
        control = self.control
        if control and control.kind == "number" and self.query_one(NumberEntry).text:
            said["next"] = spoken("set it")
        if handles.held(self.bench) and (control is None or control.going):
            said["operate"] = spoken("hands off")
        if self.everything:
            said["controls"] = spoken("only the act's")
        return said

    def digits(self) -> int:
        """Positions of the marked control, else answers."""
        control = self.control
        return super().digits() if control is None else len(control.options)

    def time_words(self) -> str:
        """How fast simulated time runs."""
        return bench_words.time_words(self.bench, paused=self.now.paused)

    def figures(self, view: RunView) -> WaitView | None:
        """The figures of a wait, unless a control's number or the plate has their place."""
        control = self.control
        if self.opened == PLATE or (control and control.kind == "number"):
            return None
        return super().figures(view)

    def show_number(self, present: bool) -> None:
        """The number that the marked control takes, or the one that the run asks."""
        control = self.control if present else None
        if control is None:
            super().show_number(present)
            return
        units = (control.unit,) if control.kind == "number" else None
        self.ask_number(units, (self._step, control.name), spoken("Set: {control}", control=control.label))

    def as_instruments_show(self, units: tuple[str, ...]) -> tuple[str, ...]:
        """The bench's instruments show the procedure's own units."""
        return units

    def what_is_asked(self) -> str:
        """A reading is no setting of a control that takes a number too."""
        typed = any(control.kind == "number" for control in self.bench.controls)
        return spoken("What you read") if typed else ""

    def time_goes_by(self) -> None:
        """Move the bench on, ring, and draw what changed."""
        rings = self.tick()
        if rings:
            self.ring(rings)
        view, bench = self.run.view(), self.rehearsal.bench()
        if rings or not same_but_time(view, self.now) or not bench_words.same_but_figures(bench, self.bench):
            self.draw_now()
            return
        self.now, self.bench = view, bench
        self.query_one(Countdown).show(self.figures(view))
        self._draw_gauges()
        self.look_at_plate()

    def ticks(self) -> tuple[str, ...]:
        """The bench's clock and the run's."""
        return self.rehearsal.tick()

    def on_countdown_tick(self, message: Countdown.Tick) -> None:
        """The bench has a timer of its own."""
        message.prevent_default()

    def do(self, action: str) -> Callable[[], object] | None:
        """What an action of the bench does, or the run's."""
        doing: dict[str, Callable[[], object]] = {
            "operate": self._operate,
            "control": self._next_control,
            "controls": self._all_controls,
            "speed": self._change_speed,
            "to_end": lambda: self._at_bench(self.rehearsal.to_the_end),
            "plate": lambda: self.open(PLATE),
            "magnify": self._magnify,
            "down": lambda: self._up_or_down("down"),
            "up": lambda: self._up_or_down("up"),
        }
        return doing.get(action) or super().do(action)

    def action_pick(self, number: int) -> None:
        """A digit is a position of the marked control, else an answer."""
        control = self.control
        if control is None:
            super().action_pick(number)
        elif number <= len(control.options):
            self._set(control.name, control.options[number - 1].key)

    def _operate(self) -> None:
        control = self.control
        if handles.held(self.bench) and (control is None or control.going):
            self._at_bench(self.rehearsal.let_go)
        elif control and control.options:
            self._set(control.name, handles.next_position(control))

    def _set(self, name: str, value: str | float) -> None:
        """Operate a control; where another one comes first, the keys go to that, and then back."""

        def act() -> None:
            try:
                hands.operate(self.rehearsal, name, value)
            except Refused as told:
                self.at, self._waits = told.control or name, name
                raise

        self._at_bench(act)

    def _at_bench(self, act: Callable[[], object]) -> None:
        """Do something at the bench; the plate stays open if it is."""
        opened = self.opened
        if self.attempt(act) and opened == PLATE and self.is_current:
            self.opened = opened
            self.draw_now()

    def next(self) -> None:
        """The typed number goes to the marked control; else the act is done."""
        entry, control = self.query_one(NumberEntry), self.control
        if self.opened or self.steps_back or control is None:
            super().next()
        elif control.kind == "number" and entry.text:
            self._set_number(control, entry)
        elif self.now.number or self.now.choice:
            self.at = handles.TASK  # what the run asks comes before going on
            self.draw_now()
        else:
            self.attempt(self.run.next)

    def _set_number(self, control: ControlView, entry: NumberEntry) -> None:
        try:
            value = number(entry.text)
        except Refused as told:
            self.say(str(told))
            return
        self._set(control.name, value)
        entry.clear()
        if self.at == control.name and not self.everything:  # on to what the step asks next
            self._next_control()

    def _next_control(self) -> None:
        self.at = handles.following(self._ring(), self.at)
        self.draw_now()

    def _all_controls(self) -> None:
        self.everything = not self.everything
        self.draw_now()
        self.call_after_refresh(self.draw_now)  # the sheet has another height then

    def _change_speed(self) -> None:
        faster = [speed for speed in SPEEDS if speed > self.bench.speed]
        self._at_bench(lambda: self.rehearsal.set_speed(faster[0] if faster else SPEEDS[0]))

    def _up_or_down(self, way: str) -> None:
        if self.opened == PLATE:
            self.action_loupe(way)
        elif self.everything and not self.opened:
            step = handles.before if way == "up" else handles.following
            self.at = step(self._ring(), self.at)
            self.draw_now()
        elif doing := super().do(way):
            doing()

    def action_loupe(self, key: str) -> None:
        """Move the loupe a quarter of what it shows."""
        if self.opened == PLATE:
            self.looking.move(self.query_one(Pane), key)
            self.look_at_plate()

    def _magnify(self) -> None:
        self.looking.magnify()
        self.look_at_plate()

    def on_picture_room(self, message: Picture.Room) -> None:
        """The pictures have another size."""
        message.stop()
        self.look_at_plate()

    def on_picture_pointed(self, message: Picture.Pointed) -> None:
        """A click on the plate puts the loupe there, and opens it."""
        message.stop()
        if not self.looking.point(self.query_one(Pane), message):
            return
        if self.opened == PLATE:
            self.look_at_plate()
        else:
            self.open(PLATE)

    def look_at_plate(self) -> None:
        """Draw the plate where it is seen."""
        pane, opened = self.query_one(Pane), self.opened == PLATE
        seen = opened or self.wide
        if pane.display != seen:
            pane.display = seen
        pane.set_class(opened, "opened")
        if seen:
            self.before.stands(self.bench)
            self.looking.draw(pane, opened=opened, told=self.bench.notice)
