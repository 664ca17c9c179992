"""The start screen: who, what, how; or an open run to go on with."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import Screen

from trainer.procedure.text import clean, in_language
from trainer.run.clock import wall_words
from trainer.run.ports import Trouble
from trainer.screens.forwarding import LOOK_SECONDS, Forwarding
from trainer.screens.ticket import Ticket, Wanted, new_ticket
from trainer.screens.widgets.drawn import Drawn
from trainer.screens.widgets.form import Form
from trainer.screens.widgets.keys import Keys, as_spoken
from trainer.tongue import NAMES, marked, speak, spoken

if TYPE_CHECKING:
    from trainer.procedure.heads import Head
    from trainer.record.journal import OpenRun
    from trainer.screens.questions import SignTry
    from trainer.screens.station import Station

KEYS = [
    ("down", marked("Arrows"), marked("choose")),
    ("enter", marked("Enter"), marked("go on")),
    ("review", "F8", marked("after class")),
    ("help", "F1", marked("help")),
    ("leave", "F10", marked("leave")),
]


class Title(Drawn):
    """The name over the start screen."""

    DEFAULT_CSS = """
    Title { dock: top; height: 1; padding: 0 2; background: $panel; color: $foreground; }
    """


class Standing(Drawn):
    """One quiet line above the keys: how the station's forwarding stands."""

    DEFAULT_CSS = """
    Standing { dock: bottom; height: 1; margin: 0 0 1 0; padding: 0 2; }
    Standing { color: $quiet; background: $background; }
    """


class Start(Screen[Wanted | None]):
    """Dismissed with what is wanted, or None to leave."""

    DEFAULT_CSS = """
    Start { background: $background; }
    Start Keys { dock: bottom; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", id="start.help", show=False),
        Binding("f8", "review", id="start.review", show=False),
        Binding("f10", "leave", id="start.leave", show=False),
    ]

    def __init__(
        self, station: Station, given: Wanted, said: str = "", forwarding: Forwarding | None = None
    ) -> None:
        super().__init__()
        self._forwarding = forwarding if forwarding is not None and forwarding.wanted else None
        self._station = station
        self._given = given
        self._said = said

    def compose(self) -> ComposeResult:
        """A title and the row of keys, at once; the form when the files are read."""
        yield Title()
        yield Keys()
        if self._forwarding is not None:
            yield Standing()

    def on_mount(self) -> None:
        """Draw what does not change, in the language of the station: the last run may have had another."""
        speak(self._station.language)
        self._draw_title()
        self.call_after_refresh(self._fill)
        if self._forwarding is not None:
            self._draw_standing()
            self.set_interval(LOOK_SECONDS, self._draw_standing)

    def _draw_standing(self) -> None:
        if self._forwarding is not None:
            self.query_one(Standing).draw(Content(self._forwarding.line()))

    def _draw_title(self) -> None:
        name = Content.assemble(("Sinkside", "bold $primary"), "   " + spoken("a guide beside the sink"))
        self.query_one(Title).draw(name)

    def _fill(self) -> None:
        ticket, summaries = self._ticket()
        self.mount(Form(ticket, summaries), before=self.query_one(Keys))

    def on_resize(self) -> None:
        """The keys, as many as there is room for."""
        self.query_one(Keys).show(as_spoken(KEYS))

    def _ticket(self) -> tuple[Ticket, dict[str, str]]:
        """The form over what this station has; what cannot be read is said, not hidden."""
        said = self._said
        heads: list[Head] = []
        open_runs: list[OpenRun] = []
        known: list[str] = []
        try:
            heads = self._station.heads()
            open_runs = self._station.open_runs()
            known = self._station.trainees()
        except Trouble as told:
            said = str(told)
        bad = [head for head in heads if head.problem]
        if bad and not said:
            said = spoken(
                "Left out, since it cannot be read: {id}. {problem}", id=bad[0].id, problem=bad[0].problem
            )
        said = " ".join(part for part in (said, self._station.notice) if part)
        language = self._station.language
        titles = {head.id: in_language(head.title, language) for head in heads if not head.problem}
        summaries = {head.id: in_language(head.summary, language) for head in heads if not head.problem}
        ticket = new_ticket(
            [(run.run, open_words(run, titles)) for run in open_runs],
            [(key, title, summaries[key]) for key, title in titles.items()],
            self._given,
            languages=_languages(heads, language),
            language=language,
            rehearsed=[head.id for head in heads if head.has_bench],
            known=known,
        )
        ticket.said = said
        return ticket, summaries

    def on_form_asked(self, message: Form.Asked) -> None:
        """Something is wanted."""
        self.dismiss(message.wanted)

    def on_form_spoken(self, message: Form.Spoken) -> None:
        """Another language: everything anew, with what was typed and chosen where it was."""
        self._station.speak(message.language)
        form = self.query_one(Form)
        chosen = {row.id: row.value for row in form.ticket.rows if row.kind in ("line", "choice")}
        ticket, summaries = self._ticket()
        ticket.take(chosen)
        ticket.go_to("language")
        form.fill(ticket, summaries)
        form.show()
        self._draw_title()
        self._draw_standing()
        self.on_resize()

    def on_keys_pressed(self, message: Keys.Pressed) -> None:
        """A click on a key."""
        doing = {"help": self.action_help, "leave": self.action_leave, "review": self.action_review}
        if message.action in doing:
            doing[message.action]()

    def action_help(self) -> None:
        """Show the help page."""
        from trainer.screens.help import Help  # its page is only made when it is asked for

        self.app.push_screen(Help(None))

    def action_review(self) -> None:
        """For instructors: the review of this station's record, behind a PIN where there is one."""
        from trainer.screens.review import door  # as long as nobody wants in, nothing is looked up

        try:
            guarded = door.is_guarded(self._station)
        except Trouble as told:
            self._say(str(told))
            return
        if guarded:
            from trainer.screens.ask import Ask

            self.app.push_screen(Ask(door.asking_in()), self._try_in)
        else:
            self.dismiss(Wanted(review=True))

    def _try_in(self, tried: SignTry | None) -> None:
        if tried is not None:
            self._say(spoken("Looking at the PIN."))
            self._look(tried)

    @work
    async def _look(self, tried: SignTry) -> None:
        """In a thread: a PIN check is slow by design. The form stays as it is where it is not right."""
        from trainer.screens.review import door

        said = await asyncio.to_thread(door.refused, self._station, tried)
        if said:
            self._say(said)
        elif self.is_current:
            self.dismiss(Wanted(review=True))

    def _say(self, sentence: str) -> None:
        """Say it over the form, for a while."""
        self.app.clear_notifications()
        self.app.notify(sentence, markup=False)

    def action_leave(self) -> None:
        """Leave the program."""
        self.dismiss(None)


def _languages(heads: list[Head], spoken_now: str) -> list[tuple[str, str]]:
    """The languages that can be picked: the app's own, and those that a procedure's title is written in."""
    titled = [code for head in heads if isinstance(head.title, dict) for code in head.title]
    codes = dict.fromkeys([*NAMES, spoken_now, *sorted(titled)])
    return [(code, NAMES.get(code, clean(code))) for code in codes]


def open_words(run: OpenRun, titles: dict[str, str]) -> str:
    """An open run in one line; what tells runs of one trainee apart comes before what may be cut off."""
    job = " ".join(part for part in (run.job, run.colour) if part)
    parts = (
        run.trainee,
        wall_words(run.last_at, "%m-%d %H:%M"),
        spoken("rehearsal") if run.rehearsal else "",
        titles.get(run.procedure, run.procedure),
        spoken("at {step}", step=run.step) if run.step else "",
        spoken("plate {number}", number=run.plate) if run.plate > 1 else "",
        job,
    )
    return clean("  ".join(part for part in parts if part))
