"""What each event of a run says on the page that replays it: a sign and words. Pure; English only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.run import events as ev
from trainer.run.events import Body, Value
from trainer.run.fault_events import FaultFound, PracticeMeasured, PracticePlate
from trainer.screens.review.saying import span

if TYPE_CHECKING:
    from trainer.insight.facts import ProcedureFacts

GOOD, BAD, PLAIN, ASKED = "+", "!", "·", "?"
"""Signs before an act: as wanted, not as wanted, neither, key points asked for."""


@dataclass(frozen=True, slots=True)
class Told:
    """Sign and words of an event; words are empty where it says nothing by itself."""

    sign: str
    words: str


def told(body: Body, step: str, facts: ProcedureFacts | None) -> Told:
    """What an event at a step says. facts: of the procedure as the run was opened with it."""
    for part in (_begun, _wait, _given, _plate, _people):
        said = part(body, step, facts)
        if said is not None:
            return said
    return Told(PLAIN, body.kind.replace("_", " "))


def _number(value: float) -> str:
    return f"{value:.6g}"


def _value(value: Value) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return _number(value) if isinstance(value, int | float) else value


def _values(values: Mapping[str, Value] | Mapping[str, float]) -> str:
    return ", ".join(f"{name.replace('_', ' ')} {_value(value)}" for name, value in values.items())


def _act(step: str, facts: ProcedureFacts | None) -> str:
    words = facts.step_words(step) if facts else step
    return step if words == step else f"{step} ({words})"


def _begun(body: Body, step: str, facts: ProcedureFacts | None) -> Told | None:
    del step
    match body:
        case ev.RunOpened():
            kind = "rehearsal" if body.rehearsal else "wet run"
            settings = f"; settings: {_values(body.settings)}" if body.settings else ""
            said = f"opened by {body.trainee}: {kind}, guidance {body.guidance}, revision {body.revision}"
            return Told(PLAIN, said + settings)
        case ev.StepShown():
            return Told(PLAIN, "")
        case ev.HintOpened():
            return Told(ASKED, "asked for the key points")
        case ev.HazardAccepted():
            return Told(GOOD, f"safety prompt ({body.signal}) accepted after {span(body.seconds)}")
        case ev.Confirmed():
            return Told(PLAIN, "done")
        case ev.Moved(why="guard" | "spoiled"):
            return Told(PLAIN, f"goes on at {_act(body.to, facts)}")
        case ev.Moved(why="again"):
            return Told(PLAIN, "asked again")
        case ev.Moved():
            return Told(PLAIN, "")
    return None


_ENDED = {
    "on_time": (GOOD, "ended on time"),
    "early": (BAD, "ended too early"),
    "late": (BAD, "ended too late"),
    "said": (PLAIN, "ended; how long it was is not known, a person decided"),
}
_WARNED = {
    "early": "wanted to end it too soon",
    "closing": "warned: nearly too late",
    "late": "warned: too late",
    "unknown": "time not known any more: a person was asked",
}


def _wait(body: Body, step: str, facts: ProcedureFacts | None) -> Told | None:
    del step, facts
    match body:
        case ev.WaitBegun(form="dose"):
            return Told(PLAIN, f"exposure begun, {_number(body.units or 0)} units")
        case ev.WaitBegun(form="window"):
            most = f", not after {span(body.at_most)}" if body.at_most is not None else ""
            return Told(PLAIN, f"wait begun: not before {span(body.at_least or 0)}{most}")
        case ev.WaitBegun():
            return Told(PLAIN, f"wait begun: {span(body.seconds or 0)}")
        case ev.WaitWarned():
            return Told(BAD, _WARNED.get(body.about, body.about))
        case ev.WaitEnded():
            sign, words = _ENDED.get(body.outcome, (PLAIN, body.outcome))
            after = "" if body.seconds is None else f" after {span(body.seconds)}"
            units = "" if body.units is None else f", {_number(body.units)} units"
            alone = f"; nobody was watching for {span(body.unwatched)}" if body.unwatched else ""
            return Told(sign, f"{words}{after}{units}{alone}")
    return None


_READ = {"ok": (GOOD, "good"), "miss": (BAD, "a miss"), "slip": (PLAIN, "a slip of the keys, asked again")}
_RIGHT = {True: (GOOD, ", right"), False: (BAD, ", not right"), None: (PLAIN, "")}


def _answered(answer: tuple[str, ...], name: str, facts: ProcedureFacts | None) -> str:
    known = facts.questions.get(name) if facts else None
    words = dict(known.options) if known else {}
    return "; ".join(f"{key}, {words[key]}" if key in words else key for key in answer)


def _given(body: Body, step: str, facts: ProcedureFacts | None) -> Told | None:
    del step
    match body:
        case ev.ReadingTaken():
            sign, words = _READ[body.verdict]
            typed = f"{body.typed} {body.typed_unit}"
            own = "" if body.typed_unit == body.unit else f" ({_number(body.value)} {body.unit})"
            return Told(sign, f"read {typed}{own}: {words}")
        case ev.Judged():
            sign, words = _RIGHT[body.right]
            return Told(sign, f"judged: {body.answer.replace('_', ' ')}{words}")
        case ev.QuizAnswered():
            sign, words = _RIGHT[body.right]
            return Told(sign, f"answered {_answered(body.answer, body.name, facts)}{words}")
        case ev.WorkedOut():
            return Told(PLAIN, f"worked out: {body.name.replace('_', ' ')} {_number(body.value)} {body.unit}")
        case ev.NextOffered():
            return Told(PLAIN, "")
        case ev.NextPicked():
            sign, words = _RIGHT[body.right]
            return Told(sign, f"picked as the next act: {_act(body.step, facts)}{words}")
    return None


def _plate(body: Body, step: str, facts: ProcedureFacts | None) -> Told | None:
    del step
    match body:
        case ev.BenchReady():
            return Told(PLAIN, f"bench made ready: film {body.film} of {body.artwork}")
        case ev.BenchSet():
            return Told(PLAIN, f"set {body.control.replace('_', ' ')} to {_value(body.value)}")
        case ev.PlateMade():
            sign, words = (GOOD, "passes") if body.passes else (BAD, "does not pass")
            return Told(sign, f"plate {body.plate} as it came off the bench {words}")
        case FaultFound():
            of = f" at {_act(body.of, facts)}" if body.of else ""
            return Told(BAD, f"fault of plate {body.plate}{of}: {body.words}")
        case ev.PlateSpoiled():
            return Told(BAD, f"plate {body.plate} given up: {body.reason}")
        case PracticePlate():
            return Told(PLAIN, f"practice plate {body.plate}, with {', '.join(body.faults) or 'no fault'}")
        case PracticeMeasured():
            return Told(PLAIN, f"measured {body.measure.replace('_', ' ')}")
        case ev.SettingOffered():
            return Told(PLAIN, f"new shop value offered: {body.setting} {_number(body.new)} {body.unit}")
        case ev.SettingChanged():
            changed = f"{body.setting} from {_number(body.old)} to {_number(body.new)} {body.unit}"
            return Told(PLAIN, f"{body.by} took a new shop value: {changed}")
    return None


_REFUSED = {
    "wrong_pin": "wrong PIN",
    "too_soon": "too soon after wrong tries",
    "unknown": "no such instructor",
}


def _people(body: Body, step: str, facts: ProcedureFacts | None) -> Told | None:
    del step
    match body:
        case ev.SignedOff():
            sign, word = (GOOD, "passed") if body.word == "passed" else (BAD, "not yet")
            note = f": {body.note}" if body.note else ""
            return Told(sign, f"{body.by} signed {_act(body.of, facts)}: {word}{note}")
        case ev.SignOffRefused():
            return Told(BAD, f"sign-off of {body.by} refused: {_REFUSED.get(body.reason, body.reason)}")
        case ev.NoteAdded():
            return Told(PLAIN, f"note by {body.by}: {body.text}")
        case ev.RunExcused():
            return Told(PLAIN, f"excused by {body.by}: {body.reason}")
        case ev.CodeMistyped():
            return Told(PLAIN, f"put down to {body.to} instead of {body.from_}, by {body.by}")
        case ev.RunHandedOver():
            return Told(PLAIN, f"handed over from {body.from_} to {body.to}")
        case ev.Paused():
            return Told(PLAIN, "paused")
        case ev.Resumed():
            return Told(PLAIN, "back" if body.after == "paused" else "back: the program was started again")
        case ev.RunClosed():
            return Told(PLAIN, "done" if body.how == "done" else f"stopped: {body.reason}")
    return None
