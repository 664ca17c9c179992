"""The app at a station: the way from screen to screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from trainer.procedure.problems import ProcedureProblems
from trainer.run.events import PRACTICE
from trainer.run.ports import Trouble
from trainer.screens.forwarding import AFTER_SECONDS, Forwarding
from trainer.screens.opening import Opened, begun, practice, taken_up
from trainer.screens.terminal_app import TerminalApp
from trainer.screens.ticket import Wanted
from trainer.tongue import spoken

if TYPE_CHECKING:
    from trainer.rehearsal.rehearsal import Rehearsal
    from trainer.screens.page import Block
    from trainer.screens.station import Station
    from trainer.screens.working import Working


class SinksideApp(TerminalApp):
    """Goes from the start screen to a run, to its summary, and back.

    left_open: the trainee whose run was left open. said: why what the command asked for could not be begun.
    """

    def __init__(
        self, station: Station, wanted: Wanted, opened: Opened | None, seed: int | None = None
    ) -> None:
        super().__init__()
        self.station = station
        self.forwarding: Forwarding | None = None  # given by whoever runs it at a station
        self.left_open = ""
        self.said = ""
        self._wanted = wanted
        self._went_back = False
        self._seed = seed
        self._taken_up = opened
        self._at_work = opened.run if opened else None

    def on_mount(self) -> None:
        """Forward what waits, once the first screen stands (the base goes there)."""
        if self.forwarding is not None and self.forwarding.wanted:
            self.set_timer(AFTER_SECONDS, self.forwarding.begin)

    async def go(self) -> None:
        """From screen to screen, until somebody leaves."""
        wanted = self._wanted
        if self._taken_up is not None or wanted.faults or (wanted.procedure and wanted.trainee):
            self.said = await self._follow(self._wanted)
            return
        said = ""
        while not self.left_open and (asked := await self._start(said)) is not None:
            self._went_back = False
            said = await self._follow(asked)
            if said or self._went_back:  # what was filled in stays
                self._wanted = replace(asked, run="")
            else:
                self._wanted = wanted

    async def _start(self, said: str) -> Wanted | None:
        from trainer.screens.start import Start  # a run that is named begins without it

        return await self.push_screen_wait(Start(self.station, self._wanted, said, self.forwarding))

    async def _follow(self, wanted: Wanted) -> str:
        """Open or take up what is wanted, and see it to its end. Returns what went wrong, in a sentence."""
        if wanted.review:
            return await self._review()
        if wanted.faults:
            return await self._practise(wanted.trainee)
        try:
            opened = self._taken_up or await self._open(wanted)
        except (Trouble, ProcedureProblems) as told:
            return str(told)
        self._taken_up = None
        if opened is None:
            self._went_back = True
            return ""
        self._at_work = opened.run
        end = await self.push_screen_wait(self._work_screen(opened))
        self._at_work = None
        if end == "left":
            self.left_open = opened.run.view().trainee
        elif end != "closed":
            return end
        else:
            if opened.rehearsal:
                await self._after(opened.rehearsal)
            view = opened.run.view()
            await self._summary(view.run, view.title)
        return ""

    def _work_screen(self, opened: Opened) -> Working:
        if opened.rehearsal:
            from trainer.screens.rehearsing import Rehearsing  # NumPy is here already, with the bench

            return Rehearsing(self.station, opened.rehearsal)
        from trainer.screens.working import Working  # the run's room: 20 ms, only where one is open

        return Working(self.station, opened.run)

    async def _after(self, rehearsal: Rehearsal) -> None:
        """The plate that was made, and what came of it; of one just begun, what the one before it showed."""
        from trainer.rehearsal import after
        from trainer.rehearsal.sight import Before
        from trainer.screens.after import After, finding, page
        from trainer.screens.looking import Looking

        view = rehearsal.run.view()
        raw = rehearsal.work().stage == "raw"
        if raw and view.plate == 1:
            return
        sheet = None if raw else rehearsal.sheet()

        def more(show: Callable[[Sequence[Block]], object]) -> list[Block]:
            def first(told: after.After) -> None:
                show(page(sheet, view.plate, told.found))

            try:
                told = after.told(rehearsal, self.station.journal.events(view.run), first)
            except Trouble as trouble:
                kept = spoken("What made it so could not be kept")
                return page(sheet, view.plate, [(kept, [str(trouble)])])
            return page(sheet, view.plate, told.found)

        at_first = page(sheet, view.plate, () if sheet is not None and sheet.passes else finding())
        await self.push_screen_wait(After(at_first, Looking(Before(rehearsal)), more))

    async def _practise(self, trainee: str) -> str:
        """Fault practice, from the first plate to its summary. Returns what went wrong, in a sentence."""
        from trainer.screens import questions
        from trainer.screens.ask import Ask
        from trainer.screens.practising import Practising  # NumPy comes with the plates

        if not trainee:
            asked: str | None = await self.push_screen_wait(Ask(questions.asking_code()))
            if not asked:
                return ""
            trainee = asked
        try:
            begun_practice = practice(self.station, trainee, self._seed)
        except Trouble as told:
            return str(told)
        await self.push_screen_wait(Practising(begun_practice))
        await self._summary(begun_practice.run, spoken("Fault practice"))
        return ""

    async def _review(self) -> str:
        """What the class has done. Returns why it cannot be shown, in a sentence."""
        from trainer.screens.review import door
        from trainer.screens.review.desk import Desk
        from trainer.screens.review.reviewing import Reviewing

        try:
            desk = Desk(self.station.journal.path, self.station.clock)
            desk.is_open_to_all = not door.is_guarded(self.station)
        except Trouble as told:
            return str(told)
        await self.push_screen_wait(Reviewing(desk))
        return ""

    async def _open(self, wanted: Wanted) -> Opened | None:
        """The run; None where the trainee went back at the cautions. Raises Trouble, ProcedureProblems."""
        if wanted.run:
            return taken_up(self.station, wanted.run)
        self.station.code(wanted.trainee)
        title, cautions = self.station.before(wanted.procedure)
        if cautions:
            from trainer.screens.before import Before  # only where there is something to read

            load = partial(self.station.load, wanted.procedure)
            if not await self.push_screen_wait(Before(title, cautions, load)):
                return None
        return begun(self.station, wanted)

    async def _summary(self, run: str, title: str) -> None:
        from trainer.screens.summary import Summary  # only at the end of a run

        try:
            found = self.station.outcome(run)
        except Trouble as told:
            self.notify(str(told), markup=False)
            return
        skills = self.station.skills(run)
        if found.procedure == PRACTICE:
            from trainer.rehearsal import practice_words  # NumPy is there already

            skills = practice_words.skills()
        await self.push_screen_wait(Summary(found, title, skills))

    def before_leaving(self) -> None:
        """Note whose run is left open, where one is."""
        if self._at_work is not None and not (view := self._at_work.view()).closed:
            self.left_open = view.trainee
