"""An instructor's acts after class: a remark, a run taken out of the statistics, a word on its plate.

Each is one more event at the end of the run, kept on an instructor's PIN; nothing that was kept is altered.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal

from trainer.procedure.problems import ProcedureProblems
from trainer.procedure.text import clean, in_language, one_line
from trainer.record.codes import code
from trainer.record.journal import StationJournal
from trainer.record.mistyped import ToPutRight
from trainer.run import events as ev
from trainer.run.clock import to_ms
from trainer.run.events import Event
from trainer.run.ids import ids_after
from trainer.run.ports import Clock, PinVerdict, SignOff, Trouble

if TYPE_CHECKING:
    from trainer.procedure.plan import Plan

LONGEST: Final = 500
"""Characters of a remark, a reason or a note that are kept."""


@dataclass(frozen=True, slots=True)
class Instructor:
    """Who acts: a code as it was typed, and the PIN, which is never shown."""

    code: str
    pin: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class Signable:
    """A step that can be signed after class. at: the step that asks for the word. words: what is signed."""

    of: str
    at: str
    words: str


class NotAfterClass(Trouble):
    """The run does not allow the act; nothing was kept."""


class PinRefused(Trouble):
    """The PIN was not right, or came too soon. Nothing was kept but the try itself."""

    def __init__(self, who: str, verdict: PinVerdict) -> None:
        self.verdict = verdict
        super().__init__(_refusal(who, verdict))


def _refusal(who: str, verdict: PinVerdict) -> str:
    later = f" The next try is looked at in {verdict.wait:.0f} s." if verdict.wait > 0 else ""
    if verdict.verdict == "unknown":
        return f"There is no instructor {who} here: `sinkside record person add` adds one. Nothing was kept."
    if verdict.verdict == "too_soon":
        return f"There were too many wrong PINs for {who}.{later} Nothing was kept."
    return f"This is not the PIN of {who}.{later} Nothing was kept."


class AfterClass:
    """The acts, on the runs of one record. Each checks the PIN: about 0.1 s, so not on a screen's loop.

    Each raises PinRefused, NotAfterClass or JournalTrouble, with a sentence; its event is durable when it
    returns. A run that is still open is taken over: whoever has it on a screen is told at the next act there,
    and takes it up again.
    """

    def __init__(self, journal: StationJournal, sign_off: SignOff, clock: Clock) -> None:
        self._journal = journal
        self._sign_off = sign_off
        self._clock = clock

    def note(self, run: str, by: Instructor, text: str) -> None:
        """Add a remark."""
        said = _words(text, "Type the remark first.")
        self._act(run, by, lambda who, _: (None, ev.NoteAdded(who, said)))

    def excuse(self, run: str, by: Instructor, reason: str) -> None:
        """Take the run out of the statistics. Of several reasons the last is the one that is told."""
        said = _words(reason, "Say why the run does not count.")
        self._act(run, by, lambda who, _: (None, ev.RunExcused(who, said)))

    def sign(
        self, run: str, by: Instructor, of: str, word: Literal["passed", "not_yet"], note: str = ""
    ) -> None:
        """Give a word on a step of a run that is closed: beside an earlier one, and the one that counts."""
        said = clean(note).strip()[:LONGEST]
        plan = self._signing(self._journal.events(run))

        def signed(who: str, events: Sequence[Event]) -> tuple[str, ev.Body]:
            at = _asked_by(plan, events, of)
            return at, ev.SignedOff(of, who, word, said, None)

        _asked_by(plan, self._journal.events(run), of)  # before anybody is asked for a PIN
        self._act(run, by, signed)

    def put_right(self, runs: ToPutRight, by: Instructor) -> None:
        """Put the runs of a mistyped code down to whose they are, one after another.

        Where it is broken off, those that are done are done: the same again does the rest.
        """
        who = self._checked(by)
        for run in runs.runs:
            self._keep(run, lambda _: (None, ev.CodeMistyped(who, runs.wrong, runs.right)))

    def signable(self, run: str) -> tuple[Signable, ...]:
        """What can be signed: the steps that the procedure asks a word for, and that the run came to."""
        events = self._journal.events(run)
        plan = self._signing(events)
        return _signable(plan, events)

    def _act(
        self, run: str, by: Instructor, made: Callable[[str, Sequence[Event]], tuple[str | None, ev.Body]]
    ) -> None:
        """Check the PIN, take the run, and keep one event at its end."""
        self._journal.events(run)  # a run that cannot be read is told before anybody is asked to wait
        who = self._checked(by)
        self._keep(run, lambda events: made(who, events))

    def _keep(self, run: str, made: Callable[[Sequence[Event]], tuple[str | None, ev.Body]]) -> None:
        """Take the run, and keep one event at its end."""
        self._journal.take_lease(run)
        events = self._journal.events(run)
        step, body = made(events)
        last, now = events[-1], self._clock.now()
        ident = ids_after(last.id).new(to_ms(now.at))
        self._journal.append([Event(ident, run, last.seq + 1, now, step, body)])

    def _checked(self, by: Instructor) -> str:
        """The instructor's code as the record keeps it, once the PIN was found right."""
        verdict = self._sign_off.check(by.code, by.pin)
        try:
            who = code(by.code)
        except ValueError as told:
            raise NotAfterClass(str(told)) from told
        if verdict.verdict != "right":
            raise PinRefused(who, verdict)
        return who

    def _signing(self, events: Sequence[Event]) -> Plan:
        """The procedure of a run that can be signed."""
        from trainer.procedure.load import (
            load_bytes,
        )  # CEL and the checks: 60 ms, only where there is signing

        opened = events[0].body
        if not isinstance(opened, ev.RunOpened) or opened.procedure == ev.PRACTICE:
            raise NotAfterClass("Fault practice has no plate of its own, so there is nothing to sign.")
        if not any(isinstance(event.body, ev.RunClosed) for event in events):
            raise NotAfterClass(
                "This run is still open. Sign it where it is worked on, or after it is finished or stopped."
            )
        source = self._journal.procedure(opened.content_hash)
        try:
            return load_bytes(source, f"{opened.procedure} (as the run was opened with it)").require()
        except ProcedureProblems as told:
            raise NotAfterClass(str(told)) from told


def _signable(plan: Plan, events: Sequence[Event]) -> tuple[Signable, ...]:
    from trainer.run.fold import fold  # as above

    try:
        state = fold(plan, events)
    except (LookupError, TypeError, ValueError) as fault:  # events that no run of this procedure ever made
        raise NotAfterClass(
            "What the record holds of this run does not fit its procedure: see `sinkside record verify`."
        ) from fault
    found = []
    for step in plan.steps.values():
        if step.sign_off is None:
            continue
        of = step.sign_off.of
        since = state.arrivals.get(of)
        if since is not None and any(_shows(event, of) and event.seq >= since for event in events):
            signed = plan.steps[of]
            found.append(Signable(of, step.id, in_language(signed.do or "", "en") or of))
    return tuple(found)


def _shows(event: Event, step: str) -> bool:
    return isinstance(event.body, ev.StepShown) and event.step == step


def _asked_by(plan: Plan, events: Sequence[Event], of: str) -> str:
    """The step that asks for a word on `of`. Raises NotAfterClass where none does, or none was come to."""
    can = _signable(plan, events)
    for one in can:
        if one.of == of:
            return one.at
    asked = [step.sign_off.of for step in plan.steps.values() if step.sign_off is not None]
    if of in asked:
        raise NotAfterClass(
            f"The last plate of this run never came to `{one_line(of)}`, so there is nothing to sign."
        )
    named = ", ".join(f"`{one.of}`" for one in can) or "nothing in this run"
    raise NotAfterClass(
        f"`{one_line(of)[:63]}` is not signed for in this procedure. What can be signed: {named}."
    )


def _words(text: str, wanted: str) -> str:
    said = clean(text).strip()[:LONGEST]
    if not said:
        raise NotAfterClass(wanted)
    return said
