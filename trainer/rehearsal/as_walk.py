"""A walk written from a run that really was: the same acts in the same order, to the same end.

People are not named in it: trainees become T-01, T-02, instructors I-1, I-2, in the order in which they come.
Time is written where it decides: in waits, and all through a rehearsal, where the bench goes by it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from trainer.procedure.model import Quiz
from trainer.procedure.plan import STOP, Plan
from trainer.procedure.scalars import resolve
from trainer.procedure.text import one_line
from trainer.procedure.units import plain
from trainer.run import events as ev
from trainer.run.clock import to_ms
from trainer.run.fold import fold

_BREATH = 0.5
"""What a walk lets go by before each act (`walker.breathe`)."""
_LEAST = 0.05
"""Seconds; less is not worth a line."""
_WITHOUT_BREATH = ("pass", "restart", "set", "sign", "take_setting")
_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9 .()/-]*")


@dataclass(slots=True)
class _Writing:
    """What is known while the acts are written. `at`: seconds that have gone by in the walk since `since`."""

    plan: Plan
    rehearsal: bool
    people: dict[str, str] = field(default_factory=dict)
    since: float = 0.0
    at: float = 0.0
    timed: bool = False
    wait: ev.WaitBegun | None = None
    """The wait that is running. `halfway`: the program was started again in it."""
    halfway: bool = False
    last: float = 0.0
    step: str = ""
    to: str = ""


def as_walk(plan: Plan, events: Sequence[ev.Event], name: str = "") -> str:
    """The walk of a run's events, in order and whole, over its procedure. Raises JournalTrouble (`fold`)."""
    opened = events[0].body
    assert isinstance(opened, ev.RunOpened)  # noqa: S101 - `fold` says so below for what is no whole run
    state = fold(plan, events)
    whole = _until_closed(events)
    writing = _Writing(plan, opened.rehearsal, timed=opened.rehearsal, since=_seconds(events[0]))
    writing.people[opened.trainee] = "T-01"
    acts = [line for event in whole for line in _acts(writing, event)]
    rows = [
        f"# Written from a run of revision {opened.revision}. Remarks stand in it as people typed them:",
        "# read it before you pass it on.",
        "walk: 1",
        f"name: {_text(name or 'A run as it was')}",
        *_top(plan, opened, whole),
        "acts:",
        *(f"  - {line}" for line in acts),
        "expect:",
    ]
    rows += [f"  closed: {state.closed}"] if state.closed else [f"  at: {state.step}"]
    rows.append(f"  plates: {state.plate}")
    readings = {
        name: f"{plain(float(taken.value))} {taken.unit}"
        for step in plan.steps.values()
        if step.reading is not None and (taken := state.taken(f"readings.{step.reading.name}")) is not None
        for name in [step.reading.name]
        if isinstance(taken.value, int | float)
    }
    if readings:
        rows.append(
            f"  readings: {{{', '.join(f'{key}: {_text(value)}' for key, value in readings.items())}}}"
        )
    rows += _after(writing, events[len(whole) :])
    return "\n".join(rows) + "\n"


def _until_closed(events: Sequence[ev.Event]) -> Sequence[ev.Event]:
    """What happened in the run: remarks that came after its end are no acts of it."""
    for number, event in enumerate(events, start=1):
        if isinstance(event.body, ev.RunClosed):
            return events[:number]
    return events


def _after(writing: _Writing, events: Sequence[ev.Event]) -> Iterator[str]:
    """What instructors added once the run had ended: it is no act of a walk, and stands there to be read."""
    told = [said for event in events if (said := _added(writing, event.body))]
    if told:
        yield "# After the end, which no walk goes through:"
        yield from (f"#   {one_line(said)}" for said in told)


def _added(writing: _Writing, body: ev.Body) -> str:
    match body:
        case ev.NoteAdded(by=by, text=text):
            return f"{_instructor(writing, by)} remarked: {text}"
        case ev.RunExcused(by=by, reason=reason):
            return f"{_instructor(writing, by)} took the run out of the statistics: {reason}"
        case ev.CodeMistyped(by=by):
            return f"{_instructor(writing, by)} put the trainee's code right"
        case ev.SignedOff(of=of, by=by, word=word, note=note):
            more = f". {note}" if note else ""
            return f"{_instructor(writing, by)} signed {of}: {word.replace('_', ' ')}{more}"
    return ""


def _top(plan: Plan, opened: ev.RunOpened, events: Sequence[ev.Event]) -> Iterator[str]:
    yield f"procedure: {plan.procedure.id}"
    yield f"guidance: {opened.guidance}"
    for key in ("job", "colour"):
        if value := getattr(opened, key):
            yield f"{key}: {_text(value)}"
    if opened.language != "en":
        yield f"language: {_text(opened.language)}"
    if opened.rehearsal:
        yield "rehearsal: true"
    ready = next((event.body for event in events if isinstance(event.body, ev.BenchReady)), None)
    if ready is not None:
        yield f"conditions: {{{', '.join(f'{key}: {_value(one)}' for key, one in ready.conditions.items())}}}"
    own = {name: float(setting.value) for name, setting in plan.procedure.settings.items()}
    changed = {name: value for name, value in opened.settings.items() if own.get(name) != value}
    if changed:
        yield f"settings: {{{', '.join(f'{name}: {plain(value)}' for name, value in changed.items())}}}"


def _acts(writing: _Writing, event: ev.Event) -> Iterator[str]:
    """The acts that made an event, each as a line; the time before them where it decides."""
    writing.step = event.step or writing.step
    body = event.body
    if isinstance(body, ev.Moved):
        writing.to = body.to
    act = _act(writing, body)
    if act:
        if isinstance(body, ev.Resumed) and body.after == "restart":
            gap = max(0.0, _seconds(event) - writing.last)
            act = f"restart: {_time(gap)}"
            writing.at += gap
            writing.halfway = True
        else:
            yield from _time_before(writing, event, act)
        yield act
    if isinstance(body, ev.WaitBegun) and writing.wait is None:
        writing.timed, writing.halfway, writing.wait = True, False, body
        if not writing.rehearsal:
            writing.since, writing.at = _seconds(event), 0.0
    elif isinstance(body, ev.WaitEnded | ev.PlateSpoiled | ev.RunClosed):
        writing.timed, writing.wait = writing.rehearsal, None
    writing.last = _seconds(event)


def _time_before(writing: _Writing, event: ev.Event, act: str) -> Iterator[str]:
    """Let as much time go by as went by in the run, less what the act itself takes."""
    breath = 0.0 if act.split(":", 1)[0] in _WITHOUT_BREATH else _BREATH
    there = _seconds(event) - writing.since
    if isinstance(event.body, ev.WaitEnded) and not writing.rehearsal:
        there = _waited(writing, event.body, there)
    left = there - writing.at - breath
    if writing.timed and left > _LEAST:
        yield f"pass: {_time(left)}"
        writing.at += left
    writing.at += breath


def _waited(writing: _Writing, ended: ev.WaitEnded, seconds: float) -> float:
    """How long a wait took; where nobody knows that, at least as long as it had to."""
    if ended.seconds is not None:
        return ended.seconds
    begun = writing.wait
    return max(seconds, *((begun.seconds or 0.0, begun.at_least or 0.0) if begun is not None else (0.0,)))


def _act(writing: _Writing, body: ev.Body) -> str:  # noqa: C901, PLR0912 - one line a kind of event
    """The act that made an event; nothing where it came by itself."""
    match body:
        case ev.HazardAccepted():
            return "accept"
        case ev.Confirmed():
            offers = writing.plan.steps[writing.step].offer_setting is not None
            return "leave_setting" if offers else "confirm"
        case ev.WaitBegun() if writing.wait is not None:
            return ""  # after a restart it was begun again, the time being unknown; a walk knows it
        case ev.WaitBegun() | ev.WaitWarned(about="early"):
            return "confirm"
        case ev.WaitEnded(units=units):
            return f"read: {plain(units)} units" if units is not None and writing.halfway else "confirm"
        case ev.ReadingTaken():
            return f"read: {_text(f'{body.typed} {body.typed_unit}')}"
        case ev.Judged(answer=answer):
            return f"judge: {answer}"
        case ev.QuizAnswered():
            return f"answer: {_answer(writing, body)}"
        case ev.SettingChanged(by=by):
            return f"take_setting: {{by: {_instructor(writing, by)}}}"
        case ev.SignedOff(by=by, word=word, note=note):
            if writing.rehearsal:
                return "confirm"  # the bench judges, no instructor is near
            more = f", note: {_quoted(note)}" if note else ""
            return f"sign: {{by: {_instructor(writing, by)}, word: {word}{more}}}"
        case ev.SignOffRefused(by=by):
            who = f"by: {_instructor(writing, by)}"
            if writing.plan.steps[writing.step].offer_setting is not None:
                return f"take_setting: {{{who}, pin: wrong}}"
            return f"sign: {{{who}, word: passed, pin: wrong}}"
        case ev.BenchSet(control=control, value=value):
            return f"set: {{{control}: {_value(value)}}}"
        case ev.NextPicked(step=step):
            return f"pick: {step}"
        case ev.HintOpened():
            return "points"
        case ev.PlateSpoiled(reason=reason):
            return f"spoil: {_text(reason)}"
        case ev.Paused():
            return "pause"
        case ev.Resumed():
            return "resume"
        case ev.NoteAdded(text=text):
            return f"note: {_text(text)}"
        case ev.RunHandedOver(to=to):
            return f"hand_over: {_trainee(writing, to)}"
        case ev.RunClosed(how="stopped", reason=reason) if writing.to != STOP:
            return f"stop: {_text(reason)}"
    return ""


def _answer(writing: _Writing, body: ev.QuizAnswered) -> str:
    if body.form == "number":
        quiz = writing.plan.steps[writing.step].quiz
        unit = quiz.number.unit if isinstance(quiz, Quiz) and quiz.number is not None else ""
        return _text(f"{body.answer[0]} {unit}".strip())
    return body.answer[0] if body.form == "choice" else f"[{', '.join(body.answer)}]"


def _instructor(writing: _Writing, code: str) -> str:
    known = [one for one in writing.people.values() if one.startswith("I-")]
    return writing.people.setdefault(code, f"I-{len(known) + 1}")


def _trainee(writing: _Writing, code: str) -> str:
    known = [one for one in writing.people.values() if one.startswith("T-")]
    return writing.people.setdefault(code, f"T-{len(known) + 1:02}")


def _value(value: ev.Value) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return plain(value) if isinstance(value, int | float) else _text(value)


def _time(seconds: float) -> str:
    return f"{seconds:.3f}".rstrip("0").rstrip(".") + " s"


def _text(text: str) -> str:
    """A text as it may stand after a key: in quotes where it needs them."""
    plain_text = _PLAIN.fullmatch(text) and text == text.strip() and isinstance(resolve(text), str)
    return text if plain_text else _quoted(text)


def _quoted(text: str) -> str:
    """In double quotes; what JSON writes there, YAML reads as the same."""
    return json.dumps(text, ensure_ascii=False)


def _seconds(event: ev.Event) -> float:
    return to_ms(event.stamp.at) / 1000
