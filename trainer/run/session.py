"""A run: opened or taken up, moved by acts, shown as a view.

Every act is turned into events, which are durable in the journal before the state moves. Where the journal
cannot keep them, nothing has happened and the act can be done again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Literal

from trainer.procedure.expressions import FormulaFault
from trainer.procedure.plan import Plan
from trainer.procedure.text import clean
from trainer.run import acts, answers, views, waits
from trainer.run import events as ev
from trainer.run.batch import Batch
from trainer.run.events import Guidance, Stamp
from trainer.run.facts import Facts
from trainer.run.fault_events import FaultFound
from trainer.run.flow import arrive, go_on, new_plate
from trainer.run.fold import fold
from trainer.run.guard import GUARD_MS, quiet_ms
from trainer.run.ids import Ids, ids_after
from trainer.run.machine import StepMachine
from trainer.run.ports import Bench, Clock, Journal, JournalTrouble, LeaseLost, PinVerdict, Trouble
from trainer.run.refusals import Refused, TooSoon
from trainer.run.situation import situation
from trainer.run.state import State
from trainer.run.view import RunView
from trainer.tongue import marked, spoken

__all__ = ["JournalTrouble", "LeaseLost", "Refused", "Run", "TooSoon", "Trouble"]

_LONGEST_TEXT = 500
_PAUSED = marked("The run is paused. Go on with it first.")
_DOES_NOT_FIT = marked(
    "What the record holds of this run does not fit its procedure, so it cannot be gone on with. "
    "`sinkside record verify` says what was altered. Open a new run."
)


class Run:
    """One trainee going through one procedure once."""

    guard_ms = GUARD_MS

    def __init__(  # noqa: PLR0913, PLR0917 - made by `open` and `take_up` alone
        self, plan: Plan, state: State, journal: Journal, clock: Clock, ids: Ids, bench: Bench | None = None
    ) -> None:
        """Use `open` or `take_up`."""
        self._plan = plan
        self._bench = bench
        self._state = state
        self._journal = journal
        self._clock = clock
        self._ids = ids
        self._machine = StepMachine(plan)
        self._estimate: float | None = None
        self._pressed: Stamp | None = None  # the last press that was not taken
        self._draft: tuple[Stamp, tuple[str, ...]] = (state.shown, ())  # picked, not yet submitted
        self._rung: Stamp | None = None  # the wait that rang when it was due

    @classmethod
    def open(  # noqa: PLR0913 - all named where it is called
        cls,
        plan: Plan,
        *,
        run: str,
        trainee: str,
        guidance: Guidance,
        settings: Mapping[str, float],
        journal: Journal,
        clock: Clock,
        job: str = "",
        colour: str = "",
        station: str = "",
        language: str = "en",
        estimate: float | None = None,
        bench: Bench | None = None,
    ) -> Run:
        """A new run at its first step: a rehearsal where there is a bench, else a wet run. Raises Trouble.

        estimate: seconds a dose unit takes.
        """
        ids = Ids()
        batch = Batch(plan, run, clock.now(), ids, None, bench)
        defaults = {name: float(setting.value) for name, setting in plan.procedure.settings.items()}
        opened = ev.RunOpened(
            trainee=clean(trainee),
            procedure=plan.procedure.id,
            revision=plan.procedure.revision,
            content_hash=plan.content_hash,
            guidance=guidance,
            rehearsal=bench is not None,
            settings={**defaults, **settings},
            language=language,
            job=clean(job),
            colour=clean(colour),
            station=clean(station),
        )
        opening = cls(plan, batch.add(opened), journal, clock, ids, bench)
        if bench is not None:
            batch.add(bench.made_ready())
        try:
            arrive(batch, opening._machine)
        except FormulaFault as fault:
            raise Trouble(spoken("The procedure cannot begin: {fault}", fault=fault)) from fault
        opening._estimate = estimate
        opening._keep(batch)
        return opening

    @classmethod
    def take_up(  # noqa: PLR0913 - all named where it is called
        cls,
        plan: Plan,
        run: str,
        *,
        journal: Journal,
        clock: Clock,
        estimate: float | None = None,
        bench: Bench | None = None,
    ) -> Run:
        """A run of the journal, gone on with where it stood. A closed one is only looked at.

        Raises JournalTrouble where its record is not whole or cannot be read.
        """
        kept = journal.events(run)
        try:
            taken_up = cls(plan, fold(plan, kept), journal, clock, ids_after(kept[-1].id), bench)
            taken_up._estimate = estimate
            taken_up.view()
            for steps_back in range(1, len(taken_up.state.path) + 1):  # what may be asked for later too
                taken_up.look_back(steps_back)
        except (LookupError, TypeError, ValueError) as fault:
            # Events that can be read one by one, and that no run of this procedure ever made.
            raise JournalTrouble(spoken(_DOES_NOT_FIT)) from fault
        if not taken_up.state.closed:
            batch = taken_up._batch()
            batch.add(ev.Resumed("restart"))
            _warn_of_unknown(batch)
            taken_up._keep(batch)
        return taken_up

    @property
    def state(self) -> State:
        """Where the run stands."""
        return self._state

    @property
    def plan(self) -> Plan:
        """The procedure the run goes through."""
        return self._plan

    def facts(self) -> Facts:
        """What formulas may ask of the run now."""
        return self._batch().facts()

    def view(self) -> RunView:
        """All that a front end shows now."""
        return views.view(self._plan, self._state, self._clock.now(), self._picked, self._estimate)

    def look_back(self, steps_back: int) -> RunView | None:
        """An earlier step as it was shown; 1 is the one before this. None where there is none."""
        return views.look_back(self._plan, self._state, steps_back)

    def next(self) -> None:
        """The primary act: confirm, begin or end a wait, submit what was picked, go on after an answer."""
        self._guarded(lambda batch: acts.next_act(batch, self._machine, self._picked))

    def accept(self) -> None:
        """Accept a safety prompt."""
        self._guarded(lambda batch: acts.accept(batch, self._machine))

    def pick(self, place: int) -> None:
        """Pick an option by its place, from 1. Where several hold or order counts, it is only marked."""
        self._guarded(lambda batch: self._pick(batch, place))

    def operate(self, control: str, value: ev.Value) -> None:
        """In a rehearsal: operate a control of the bench. Raises Refused where a bench does not allow it."""
        self._open()
        self._do(lambda batch: self._operate(batch, control, value))

    def enter(self, text: str, unit: str = "") -> None:
        """Enter a number as it was typed, in one of the units shown; the first where none is given."""
        self._guarded(lambda batch: acts.enter(batch, self._machine, clean(text), clean(unit)))

    def points(self) -> None:
        """Ask for the key points; asking is recorded."""
        if "points" not in self.view().acts:
            raise Refused(spoken("There are no key points to open here."))
        self._do(lambda batch: batch.add(ev.HintOpened()))

    def pause(self) -> None:
        """The trainee goes away for a while. Waits go on."""
        self._open(spoken("The run is paused already."))
        self._do(lambda batch: batch.add(ev.Paused()))

    def resume(self) -> None:
        """Back from a pause."""
        if not self._state.paused:
            raise Refused(spoken("The run is not paused."))
        self._do(lambda batch: batch.add(ev.Resumed("paused")))

    def spoil(self, reason: str) -> None:
        """Give the plate up and begin another where the procedure says."""
        self._open()
        if self._plan.new_plate_from(self._state.work) is None:
            raise Refused(spoken("No plate is at work in this stage, so none can be spoiled."))
        said = _words(reason, spoken("Say in a word or two what happened to the plate."))
        self._do(lambda batch: new_plate(batch, self._machine, said), last_of_plate=True)

    def stop(self, reason: str) -> None:
        """End the run before its end."""
        self._not_closed()
        said = _words(reason, spoken("Say in a word or two why the run is stopped."))
        self._do(lambda batch: batch.add(ev.RunClosed("stopped", said)), last_of_plate=True)

    def hand_over(self, to: str) -> None:
        """Another trainee goes on. Safety prompts are accepted anew."""
        self._not_closed()
        trainee = _words(to, spoken("Say who goes on with the work."))
        if trainee == self._state.trainee:
            raise Refused(spoken("{trainee} has the work already.", trainee=trainee))
        self._do(lambda batch: self._hand_over(batch, trainee))

    def sign(self, by: str, verdict: PinVerdict, word: Literal["passed", "not_yet"], note: str = "") -> None:
        """An instructor's word on a step, with what the check of the PIN found."""
        said = (word, clean(note)[:_LONGEST_TEXT])
        self._do(lambda batch: self._sign(batch, clean(by), verdict, said))

    def take_setting(self, by: str, verdict: PinVerdict) -> ev.SettingChanged | None:
        """Take the offered shop value. What changed, for the shop file; None where the PIN was not right."""
        changed: list[ev.SettingChanged] = []
        self._do(lambda batch: changed.extend(self._take_setting(batch, by, verdict)))
        return changed[0] if changed else None

    def leave_setting(self) -> None:
        """Go on without the offered value."""
        self._guarded(self._leave_setting)

    def note(self, text: str, by: str = "") -> None:
        """Add a remark; by the trainee where nobody else is named."""
        said = _words(text, spoken("Type the remark first."))
        self._do(lambda batch: batch.add(ev.NoteAdded(clean(by) or self._state.trainee, said)))

    def excuse(self, by: str, reason: str) -> None:
        """An instructor takes the run out of the statistics."""
        said = _words(reason, spoken("Say why the run does not count."))
        self._do(lambda batch: batch.add(ev.RunExcused(clean(by), said)))

    def add_found(self, found: Sequence[FaultFound]) -> None:
        """After a rehearsal: keep what was found out about its plate, also once closed. Raises Trouble."""
        self._do(lambda batch: [batch.add(one) for one in found])

    def tick(self) -> tuple[str, ...]:
        """What rings now: `due`, `closing`, `late`; each once for a wait. Call it four times a second."""
        wait = self._state.wait
        if wait is None or self._state.closed:
            return ()
        batch = self._batch()
        shown = waits.show(wait.amounts, wait, batch.stamp, None).state
        rings = ["due"] if shown in ("due", "closing") and self._rung != wait.begun else []
        if shown in ("closing", "late") and shown not in wait.warned:
            batch.add(ev.WaitWarned(shown))
            rings.append(shown)
        _warn_of_unknown(batch)
        self._keep(batch)
        if shown in ("due", "closing", "late"):
            self._rung = wait.begun
        return tuple(rings)

    def _operate(self, batch: Batch, control: str, value: ev.Value) -> None:
        if self._bench is None:
            raise Refused(
                spoken("This is a wet run: the work is done with your hands, and not on the screen.")
            )
        hindered = self._bench.hinders(control, value, batch.stamp)
        if hindered is not None:
            raise Refused(spoken(hindered.sentence), hindered.control)
        batch.add(ev.BenchSet(control, value))

    @property
    def _picked(self) -> tuple[str, ...]:
        prompt, picked = self._draft
        return picked if prompt == self._state.shown else ()

    def _pick(self, batch: Batch, place: int) -> None:
        if situation(self._plan, self._state, batch.stamp) in ("quiz_several", "quiz_order"):
            options = answers.options(acts.quiz_of(batch), self._state.run)
            self._draft = (self._state.shown, acts.toggled(options, self._picked, place))
        else:
            acts.pick(batch, self._machine, place)

    def _hand_over(self, batch: Batch, to: str) -> None:
        state = batch.add(ev.RunHandedOver(self._state.trainee, to))
        if state.phase == "arrived":
            arrive(batch, self._machine)

    def _sign(
        self, batch: Batch, by: str, verdict: PinVerdict, said: tuple[Literal["passed", "not_yet"], str]
    ) -> None:
        sign_off = self._plan.steps[self._state.step].sign_off if self._asks("sign_off", batch) else None
        if sign_off is None:
            raise Refused(spoken("There is nothing to sign here."))
        if verdict.verdict != "right":
            batch.add(ev.SignOffRefused(by, verdict.verdict))
            return
        word, note = said
        batch.add(ev.SignedOff(sign_off.of, by, word, note, sign_off.name))
        go_on(batch, self._machine)

    def _take_setting(self, batch: Batch, by: str, verdict: PinVerdict) -> list[ev.SettingChanged]:
        offered = self._state.new_setting if self._asks("offer", batch) else None
        if offered is None:
            raise Refused(spoken("There is no new value to take here."))
        if verdict.verdict != "right":
            batch.add(ev.SignOffRefused(clean(by), verdict.verdict))
            return []
        changed = ev.SettingChanged(offered.setting, offered.old, offered.new, offered.unit, clean(by))
        batch.add(changed)
        go_on(batch, self._machine)
        return [changed]

    def _leave_setting(self, batch: Batch) -> None:
        if not (self._asks("offer", batch) or self._asks("offer_idle", batch)):
            raise Refused(spoken("There is no new value to leave here."))
        batch.add(ev.Confirmed())
        go_on(batch, self._machine)

    def _asks(self, wanted: str, batch: Batch) -> bool:
        return situation(self._plan, self._state, batch.stamp) == wanted

    def _not_closed(self) -> None:
        if self._state.closed:
            over = acts.WANTED["closed"]
            raise Refused(spoken(over))

    def _open(self, paused: str = "") -> None:
        self._not_closed()
        if self._state.paused:
            raise Refused(paused or spoken(_PAUSED))

    def _guarded(self, act: Callable[[Batch], None]) -> None:
        """Do an act that a held key must not do: not too soon after its prompt or after a press not taken."""
        now = self._clock.now()
        since = [stamp for stamp in (self._state.shown, self._pressed) if stamp is not None]
        quiet = [ms for stamp in since if (ms := quiet_ms(stamp, now)) is not None]
        if quiet and min(quiet) < self.guard_ms:
            self._pressed = now
            raise TooSoon(self.guard_ms / 1000)
        try:
            self._do(act)
        except (Refused, Trouble):
            self._pressed = now
            raise

    def _do(self, act: Callable[[Batch], object], *, last_of_plate: bool = False) -> None:
        """Make the events of an act, keep them, move. JournalTrouble or Refused: nothing has changed.

        In a rehearsal, what has become of the plate since it was last told comes first.
        """
        batch = self._batch()
        try:
            if not self._state.closed:
                batch.tell_plate(always=last_of_plate)
            act(batch)
        except FormulaFault as fault:
            raise Refused(
                spoken("{fault} Tell your instructor: the procedure needs a look.", fault=fault)
            ) from fault
        self._keep(batch)

    def _batch(self) -> Batch:
        return Batch(self._plan, self._state.run, self._clock.now(), self._ids, self._state, self._bench)

    def _keep(self, batch: Batch) -> None:
        if batch.events:
            self._journal.append(batch.events)
            self._state = batch.state
            if self._bench is not None:
                self._bench.follow(batch.events)


def _warn_of_unknown(batch: Batch) -> None:
    """A running wait whose time nobody knows is said to be so, once."""
    wait = batch.state.wait
    if wait is not None and waits.elapsed(wait, batch.stamp) is None and "unknown" not in wait.warned:
        batch.add(ev.WaitWarned("unknown"))


def _words(text: str, wanted: str) -> str:
    """A text by a person, cleaned and not too long. Raises Refused with `wanted` where there is none."""
    said = clean(text).strip()[:_LONGEST_TEXT]
    if not said:
        raise Refused(wanted)
    return said
