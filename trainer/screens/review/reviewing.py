"""The review: one screen, a page at a time, and the trail of pages that led there."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from threading import Event
from typing import TYPE_CHECKING, ClassVar, TypeVar, TypeVarTuple

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen

from trainer import tongue
from trainer.run.ports import Trouble
from trainer.screens import themes
from trainer.screens.ask import Ask
from trainer.screens.questions import Asking
from trainer.screens.review import askings, filtering
from trainer.screens.review.atop import Atop
from trainer.screens.review.desk import Desk, Found
from trainer.screens.review.keys import ACTIONS, ACTS, MOVES, in_row
from trainer.screens.review.leaf import Leaf, Opens, Words
from trainer.screens.review.ledger import Ledger
from trainer.screens.review.moving import Place
from trainer.screens.review.pages import FIRST, PAGES, TOP
from trainer.screens.review.schools import with_marks
from trainer.screens.widgets.keys import Keys

if TYPE_CHECKING:
    from trainer.record.mistyped import ToPutRight

Given = TypeVarTuple("Given")
Got = TypeVar("Got")


@dataclass(slots=True)
class Visit:
    """A page that was opened, and where somebody was on it when it was left."""

    opens: Opens
    place: Place | None = None


class Reviewing(Screen[None]):
    """Dismissed when the instructor leaves."""

    DEFAULT_CSS = """
    Reviewing { background: $background; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(key, f"act('{action.id}')" if action.id != "page" else f"page('{key}')", show=False)
            for action in ACTIONS
            for key in action.keys
        ),
        *(Binding(key, f"move('{key}')", show=False) for key in MOVES),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.trail = [Visit(FIRST)]
        self.leaf = Leaf("", ())

    def compose(self) -> ComposeResult:
        """Two rows atop, the page, the row of keys."""
        yield Atop()
        yield Ledger()
        yield Keys()

    def on_mount(self) -> None:
        """English here, whatever the station speaks; the page at once, then what stands out."""
        tongue.speak("en")
        self.call_after_refresh(self._find)

    def on_resize(self) -> None:
        """Another size, another layout."""
        self.call_after_refresh(self.draw_now)

    # Pages

    @property
    def opens(self) -> Opens:
        """What the page at hand is."""
        return self.trail[-1].opens

    def draw_now(self, *, fresh: bool = False) -> None:
        """Draw the page at hand anew. fresh: it has just been opened, or come back to."""
        ledger = self.query_one(Ledger)
        self.leaf = self._made(self.opens)
        if fresh:
            ledger.show(self.leaf, self.trail[-1].place)
        else:
            ledger.show_again(self.leaf)
        self._draw_around()

    def _made(self, opens: Opens) -> Leaf:
        page = PAGES.get(opens.page)
        if page is None:
            return Leaf("", (Words("There is no such page.", gap=1),))
        if page.finds and self.desk.review is None:
            return Leaf(page.title, (Words(self.desk.state, style="$quiet", gap=1),))
        try:
            return with_marks(page.make(self.desk, opens, self.query_one(Ledger).room), self.desk.marks)
        except Trouble as told:
            return Leaf(page.title, (Words(str(told), first="! ", style="bold $warning", gap=1),))

    def _draw_around(self) -> None:
        ledger, desk = self.query_one(Ledger), self.desk
        top = next((visit.opens.page for visit in reversed(self.trail) if PAGES[visit.opens.page].digit), "")
        looked_at = filtering.line(desk)
        self.query_one(Atop).show(top, looked_at, ledger.rows, invented=bool(desk.glance.invented))
        named = self.working() if ledger.rows else self.working() - {"section"}  # all parts are in sight
        self.query_one(Keys).show(in_row(named))

    def working(self) -> frozenset[str]:
        """The actions that do something now."""
        found = {"filters", "leave", "help", "page", "light", "again", "section"}
        page, desk = self.opens.page, self.desk
        if self.query_one(Ledger).opens is not None:
            found.add("open")
        if len(self.trail) > 1:
            found.add("back")
        if page == "run":
            found |= {"note", "sign", "excuse", "code"}
        if page == "trainee":
            found.add("code")
        if self.leaf.orders:
            found.add("order")
        if page == "class" and len(desk.glance.skills) > 1:
            found |= {"left_out", "right_out"}
        if desk.wanted != type(desk.wanted)() or desk.path != desk.whole:
            found.add("all")
        return frozenset(found)

    def open(self, opens: Opens) -> None:
        """Open a page; a choice of the filters is made instead."""
        if opens.page == "choose":
            self._choose(*opens.keys)
            return
        self.trail[-1].place = self.query_one(Ledger).place
        self.trail.append(Visit(opens))
        self.draw_now(fresh=True)

    def on_ledger_opened(self, message: Ledger.Opened) -> None:
        """A click on what the bar is on."""
        self.open(message.opens)

    def on_atop_picked(self, message: Atop.Picked) -> None:
        """A click on a page in the top row."""
        self.action_page(message.digit)

    def on_keys_pressed(self, message: Keys.Pressed) -> None:
        """A click on a key is that key."""
        self.action_act(message.action)

    # Keys

    def action_move(self, key: str) -> None:
        """Move the bar, or the rows."""
        self.query_one(Ledger).move(key)
        self._draw_around()

    def action_page(self, digit: str) -> None:
        """Go to a page of the top row; back leads to the class from there."""
        page = next((one for one in TOP if one.digit == digit), None)
        if page is None or self.opens.page == page.id:
            return
        self.trail[-1].place = self.query_one(Ledger).place
        self.trail = [self.trail[0]] if page.id == "class" else [self.trail[0], Visit(Opens(page.id))]
        self.draw_now(fresh=True)

    def action_act(self, action: str) -> None:
        """Do what a key says, if it works now."""
        doing = self.doings().get(action)
        if doing is None or action not in self.working():
            return
        if action in ACTS and (sentence := askings.refused_here(self.desk.path)):
            self.say(sentence)
        else:
            doing()

    def doings(self) -> dict[str, Callable[[], object]]:
        """What each action does; `page` goes by its digit."""
        return {
            "open": self._open_under,
            "back": self._back,
            "note": lambda: self._ask_act(askings.asking_note()),
            "excuse": lambda: self._ask_act(askings.asking_excuse()),
            "sign": self._look_what_to_sign,
            "code": self._ask_code,
            "order": self._order,
            "section": partial(self.action_move, "tab"),
            "left_out": partial(self._shift, -1),
            "right_out": partial(self._shift, 1),
            "filters": partial(self._open_once, "filters"),
            "all": self._all,
            "again": partial(self._look_again, changed=True),
            "light": self._light,
            "help": partial(self._open_once, "help"),
            "leave": lambda: self.dismiss(None),
        }

    def _open_under(self) -> None:
        under = self.query_one(Ledger).opens
        if under is not None:
            self.open(under)

    def _open_once(self, page: str) -> None:
        if self.opens.page != page:
            self.open(Opens(page))

    def _back(self) -> None:
        self.trail.pop()
        self.draw_now(fresh=True)

    def _order(self) -> None:
        """Another order, from its beginning: what it puts first is what was asked for."""
        self.desk.turn_order(self.opens.page, self.leaf.orders)
        self.trail[-1] = Visit(self.opens)
        self.draw_now(fresh=True)

    def _shift(self, step: int) -> None:
        self.desk.turn_shift("class", (self.desk.shift("class") + step) % len(self.desk.glance.skills))
        self.draw_now()

    def _light(self) -> None:
        self.app.theme = themes.after(self.app.theme)

    # What is looked at

    def _choose(self, what: str, key: str) -> None:
        if key == filtering.DATES:
            self.app.push_screen(Ask(askings.asking_days()), self._take_days)
            return
        if what in filtering.PLACES:
            filtering.choose_place(self.desk, what, key)
            self.trail = [self.trail[0], self.trail[-1]]  # what was open before goes by other codes
        else:
            self.desk.wanted = filtering.choose(self.desk, what, key)
        self._look_again(changed=what in filtering.PLACES)

    def _take_days(self, days: askings.Days | None) -> None:
        if days is not None:
            self.desk.period = filtering.DATES
            self.desk.wanted = filtering.with_dates(self.desk.wanted, *days)
            self._look_again()

    def _all(self) -> None:
        changed = self.desk.path != self.desk.whole
        if changed:
            self.trail = self.trail[:1]
        self.desk.turn_to((), ())
        self.desk.wanted, self.desk.period = type(self.desk.wanted)(), "all"
        self._look_again(changed=changed)

    def _look_again(self, *, changed: bool = False) -> None:
        try:
            self.desk.look_again(changed=changed)
        except Trouble as told:
            self.say(str(told))
            return
        self.draw_now()
        self._find()

    @work(exclusive=True, group="finding")
    async def _find(self) -> None:
        """In a thread. Left, or something else asked for: it is cancelled, and the thread ends soon."""
        from trainer.screens.review.finding import find

        desk, dropped = self.desk, Event()
        try:
            doing = partial(find, dropped=dropped)
            found = await aside(doing, desk.path, desk.now, desk.wanted, desk.asked, desk.record)
        finally:
            dropped.set()
        self._take(found)

    def _take(self, found: Found) -> None:
        """What stands out has come in. A screen loses its rows before its workers end, once it is left."""
        if self.is_running and self.desk.take(found):
            self.draw_now()

    # An instructor's acts

    def _ask_act(self, asking: Asking[askings.Said]) -> None:
        self.app.push_screen(Ask(asking), self._do)

    def _do(self, said: askings.Said | None) -> None:
        if said is not None:
            self._keep(self.opens.keys[0], said)

    def _ask_code(self) -> None:
        """Whose the trainee's runs are, or this one: first the right code, then what that would change."""
        key, alone = self.opens.keys[0], self.opens.page == "run"
        try:
            run = self.desk.any_run(key) if alone else None
        except Trouble as told:
            self.say(str(told))
            return
        wrong = run.trainee if run is not None else "" if alone else key
        if not wrong:
            self.say("Nobody's code is kept with this run any more, so that there is none to put right.")
            return
        which = run.run if run is not None else ""
        asking = askings.asking_right_code(wrong, alone=alone)
        self.app.push_screen(Ask(asking), lambda right: self._look_what_changes(wrong, right or "", which))

    def _look_what_changes(self, wrong: str, right: str, run: str) -> None:
        if right:
            self._look_at_runs(self.opens, wrong, right, run)

    @work
    async def _look_at_runs(self, opens: Opens, wrong: str, right: str, run: str) -> None:
        from trainer.screens.review.doing import mistyped

        runs, sentence = await aside(mistyped, self.desk.path, self.desk.clock, wrong, right, run)
        if not self.is_current or self.opens != opens:
            return  # somebody went on, or left, meanwhile
        if runs is None:
            self.say(sentence)
        else:
            sure: Ask[askings.Said | None] = Ask(askings.asking_put_right(runs))
            self.app.push_screen(sure, self._do)

    @work
    async def _keep(self, run: str, said: askings.Said) -> None:
        """An act is kept, and everything is read anew; or it was refused, and that is said."""
        from trainer.screens.review.doing import do  # argon2: only where a PIN is looked at

        kept, sentence = await aside(do, self.desk.path, self.desk.clock, run, said)
        self.say(sentence)
        if not self.is_running:
            return
        if kept and said.runs is not None:
            self._follow(said.runs)
        if kept or said.runs is not None:  # of several runs, those before a trouble are put right
            self._look_again(changed=True)

    def _follow(self, runs: ToPutRight) -> None:
        """After all runs of a code were put right: the page of whom they are now."""
        if self.opens == Opens("trainee", (runs.wrong,)):
            self.trail[-1] = Visit(Opens("trainee", (runs.right,)))
            self.desk.wanted = filtering.with_right_code(self.desk.wanted, runs.wrong, runs.right)

    @work
    async def _look_what_to_sign(self) -> None:
        from trainer.screens.review.doing import signable

        run = self.opens.keys[0]
        found, sentence = await aside(signable, self.desk.path, self.desk.clock, run)
        if not self.is_running or self.opens.page != "run" or self.opens.keys[0] != run:
            return  # somebody went on, or left, meanwhile
        if sentence:
            self.say(sentence)
        else:
            self._ask_act(askings.asking_sign([(one.of, one.words) for one in found]))

    def say(self, sentence: str) -> None:
        """Say it over the page, for a while."""
        self.app.notify(sentence, markup=False)


async def aside(do: Callable[[*Given], Got], *given: *Given) -> Got:
    """Do it in a thread that knows nothing of the screen: one that is left meanwhile is freed."""
    return await asyncio.get_running_loop().run_in_executor(None, do, *given)
