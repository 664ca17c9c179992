"""The acts of one run as statements of the Experience API, an event a statement.

`STATED` and `LEFT_OUT` together are all kinds of events: what is stated, and why the rest is not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TypeVar

from trainer.record.exports import questions as q
from trainer.record.exports.forms import duration_of
from trainer.record.exports.naming import Json
from trainer.record.exports.reader import Reader, activity
from trainer.record.exports.vocabulary import CHECKLIST_ITEM, STEP
from trainer.run import events as ev
from trainer.run.events import Body, Event
from trainer.run.fault_events import FaultFound, PracticeMeasured, PracticePlate

_Say = Callable[[Reader, Event], Json | None]
_Kind = TypeVar("_Kind", bound=Body)


def statements(reader: Reader, events: Iterable[Event]) -> Iterator[Json]:
    """The statements of a run, from its events in order, its opening first."""
    for event in events:
        reader.follow(event)
        if isinstance(event.body, ev.RunExcused):
            yield from reader.voidings(event, event.body)
        elif not reader.wanted or reader.trainee in reader.wanted:
            say = STATED.get(type(event.body))
            said = say(reader, event) if say is not None else None
            if said is not None:
                reader.stated.append(event.id)
                yield said
        reader.leave(event)


def _states(kind: type[_Kind], say: Callable[[Reader, Event, _Kind], Json | None]) -> tuple[type[Body], _Say]:
    """How a kind of event is stated."""

    def said(at: Reader, event: Event) -> Json | None:
        return say(at, event, event.body) if isinstance(event.body, kind) else None

    return kind, said


def _opened(at: Reader, event: Event, body: ev.RunOpened) -> Json | None:
    del body
    return at.say(event, "initialized", at.procedure())


def _moved(at: Reader, event: Event, body: ev.Moved) -> Json | None:
    """A step that was on the screen is done."""
    if body.why not in ("finished", "guard"):
        return None
    if event.step is None or event.step != at.step:
        return None
    result: Json = {"completion": True, **at.lasted(at.shown.get(event.step), event)}
    return at.say(event, "completed", at.act(event.step), result)


def _hint(at: Reader, event: Event, body: ev.HintOpened) -> Json | None:
    del body
    return at.say(event, "experienced", at.act(event.step or "", STEP, "key-points"))


def _hazard(at: Reader, event: Event, body: ev.HazardAccepted) -> Json | None:
    result: Json = {"response": "true", "duration": duration_of(body.seconds)}
    return at.say(event, "acknowledged", at.act(event.step or "", CHECKLIST_ITEM, "safety"), result)


def _wait(at: Reader, event: Event, body: ev.WaitEnded) -> Json | None:
    extension = at.naming.extension
    extensions: Json = {extension("outcome"): body.outcome}
    if body.units is not None:
        extensions[extension("units")] = body.units
    result: Json = {"completion": True, "extensions": extensions}
    if body.seconds is not None:
        result["duration"] = duration_of(body.seconds)
    if body.outcome in ("early", "late"):
        result["success"] = False
    return at.say(event, "completed", at.act(event.step or "", STEP, "wait"), result)


def _reading(at: Reader, event: Event, body: ev.ReadingTaken) -> Json | None:
    if body.verdict == "slip":
        return None  # a slip of the keys is asked again
    result: Json = {
        "response": q.number(body.value),
        "success": body.verdict == "ok",
        "extensions": {at.naming.extension("unit"): body.unit},
    }
    return at.say(event, "answered", at.asked(event.step or "", body.name, q.measure(body.name)), result)


def _judged(at: Reader, event: Event, body: ev.Judged) -> Json | None:
    step = event.step or ""
    result: Json = {"response": body.answer}
    if body.right is not None:
        result["success"] = body.right
    return at.say(event, "answered", at.asked(step, body.name, q.judgement(at.known(step))), result)


def _answered(at: Reader, event: Event, body: ev.QuizAnswered) -> Json | None:
    step = event.step or ""
    result: Json = {"response": q.joined(body.answer), "success": body.right}
    return at.say(event, "answered", at.asked(step, body.name, q.question(body.form, at.known(step))), result)


def _picked(at: Reader, event: Event, body: ev.NextPicked) -> Json | None:
    offered = at.offered
    result: Json = {"response": body.step, "success": body.right}
    definition = q.pick((), body.step) if offered is None else q.pick(offered.steps, offered.right)
    if offered is None:
        del definition["correctResponsesPattern"], definition["choices"]
    about = activity(at.iri("next", offered.right if offered else event.step or ""), definition)
    return at.say(event, "answered", about, result)


def _signed(at: Reader, event: Event, body: ev.SignedOff) -> Json | None:
    passed = body.word == "passed"
    result: Json = {"success": passed, **at.lasted(at.shown.get(body.of), event)}
    return at.say(event, "passed" if passed else "failed", at.act(body.of), result, body.by)


def _made(at: Reader, event: Event, body: ev.PlateMade) -> Json | None:
    result: Json = {
        "success": body.passes,
        **at.lasted(at.plate_begun, event),
        "extensions": {at.naming.extension("plate-sheet"): dict(body.sheet)},
    }
    return at.say(event, "passed" if body.passes else "failed", at.plate_made(), result)


def _spoiled(at: Reader, event: Event, body: ev.PlateSpoiled) -> Json | None:
    del body
    result: Json = {"success": False, **at.lasted(at.plate_begun, event)}
    return at.say(event, "failed", at.plate_made(), result)


def _fault(at: Reader, event: Event, body: FaultFound) -> Json | None:
    extension = at.naming.extension
    result: Json = {"success": False, "extensions": {extension("fault"): body.fault or "unnamed"}}
    return at.say(event, "failed", at.act(body.of), result)


def _paused(at: Reader, event: Event, body: ev.Paused) -> Json | None:
    del body
    return at.say(event, "suspended", at.procedure())


def _resumed(at: Reader, event: Event, body: ev.Resumed) -> Json | None:
    del body
    return at.say(event, "resumed", at.procedure())


def _handed_over(at: Reader, event: Event, body: ev.RunHandedOver) -> Json | None:
    del body
    return at.say(event, "terminated", at.procedure(), at.lasted(at.begun, event))


def _closed(at: Reader, event: Event, body: ev.RunClosed) -> Json | None:
    done = body.how == "done"
    result: Json = {"completion": done, **at.lasted(at.begun, event)}
    return at.say(event, "completed" if done else "abandoned", at.procedure(), result)


STATED: Mapping[type[Body], _Say] = dict(
    [
        _states(ev.RunOpened, _opened),
        _states(ev.Moved, _moved),
        _states(ev.HintOpened, _hint),
        _states(ev.HazardAccepted, _hazard),
        _states(ev.WaitEnded, _wait),
        _states(ev.ReadingTaken, _reading),
        _states(ev.Judged, _judged),
        _states(ev.QuizAnswered, _answered),
        _states(ev.NextPicked, _picked),
        _states(ev.SignedOff, _signed),
        _states(ev.PlateMade, _made),
        _states(ev.PlateSpoiled, _spoiled),
        _states(FaultFound, _fault),
        _states(ev.Paused, _paused),
        _states(ev.Resumed, _resumed),
        _states(ev.RunHandedOver, _handed_over),
        _states(ev.RunClosed, _closed),
    ]
)
"""What is said of each kind of event. An excused run is not in it: its statements are voided."""

LEFT_OUT: Mapping[type[Body], str] = {
    ev.StepShown: "the step is stated once it is done",
    ev.Confirmed: "the step that it finishes is stated",
    ev.WaitBegun: "the wait is stated once it is over",
    ev.WaitWarned: "the program's act, not the trainee's",
    ev.WorkedOut: "the program's act, not the trainee's",
    ev.SettingOffered: "the program's act, not the trainee's",
    ev.SettingChanged: "it is about the shop, not about who learns",
    ev.SignOffRefused: "it is about a PIN, not about who learns",
    ev.BenchReady: "how the simulated bench was made ready",
    ev.BenchSet: "the plate that comes of it is stated",
    ev.NextOffered: "the pick is stated",
    PracticePlate: "how the practice was made; the answers are stated",
    PracticeMeasured: "the answers are stated",
    ev.CodeMistyped: "all statements of the run name the right person",
    ev.NoteAdded: "free words, in which a person may be named",
}
"""What is not stated, and why."""
