"""Who may work alone: the rule an instructor states in a procedure, held against runs. From events only.

It says what the record shows. Whether somebody works alone is the instructor's word, not this page's.
"""

from __future__ import annotations

from collections.abc import Sequence

from trainer.procedure.model import Ready
from trainer.run import events as ev
from trainer.run.clock import to_ms
from trainer.run.events import Event, Stamp
from trainer.run.frozen import frozen
from trainer.run.put_right import put_right


@frozen
class Counted:
    """One run held against the rule. `why_not`: empty where it counts. `events`: what that rests on."""

    run: str
    why_not: str
    events: tuple[str, ...]


@frozen
class Readiness:
    """What the runs of one trainee come to."""

    trainee: str
    wanted: int
    runs: tuple[Counted, ...]

    @property
    def counted(self) -> tuple[str, ...]:
        """The runs that count."""
        return tuple(run.run for run in self.runs if not run.why_not)

    @property
    def met(self) -> bool:
        """Is the rule met?"""
        return len(self.counted) >= self.wanted

    @property
    def words(self) -> str:
        """In a sentence."""
        return f"{self.trainee}: {len(self.counted)} of the {self.wanted} runs that the rule wants."


def ready(rule: Ready, runs: Sequence[Sequence[Event]], trainee: str, now: Stamp) -> Readiness:
    """Hold the runs that `trainee` opened against a procedure's rule, as things stand at `now`."""
    own = [run for run in map(put_right, runs) if run and _opened(run).trainee == trainee]
    return Readiness(trainee, rule.solo_runs, tuple(_counted(rule, run, now) for run in own))


def _counted(rule: Ready, run: Sequence[Event], now: Stamp) -> Counted:
    for look in (_kind, _hands, _end, _age, _hazards, _plate):
        why_not, events = look(rule, run, now)
        if why_not:
            return Counted(run[0].run, why_not, events)
    return Counted(run[0].run, "", (run[0].id, run[-1].id))


_Found = tuple[str, tuple[str, ...]]
_FINE: _Found = ("", ())
_AHEAD_MS = 86_400_000


def _opened(run: Sequence[Event]) -> ev.RunOpened:
    body = run[0].body
    if not isinstance(body, ev.RunOpened):
        raise TypeError("a run begins with the event that opened it")
    return body


def _kind(rule: Ready, run: Sequence[Event], now: Stamp) -> _Found:
    del rule, now
    opened = _opened(run)
    if opened.rehearsal:
        return "a rehearsal, not a wet run", (run[0].id,)
    return _FINE if opened.guidance == "solo" else (f"at guidance {opened.guidance}, not solo", (run[0].id,))


def _hands(rule: Ready, run: Sequence[Event], now: Stamp) -> _Found:
    del rule, now
    for event in run:
        if isinstance(event.body, ev.RunHandedOver):
            return "handed over, so not one trainee's work", (event.id,)
    for event in reversed(run):  # the reason given last is the one that counts
        if isinstance(event.body, ev.RunExcused):
            return f"excused: {event.body.reason}", (event.id,)
    return _FINE


def _end(rule: Ready, run: Sequence[Event], now: Stamp) -> _Found:
    del rule, now
    for event in run:
        if isinstance(event.body, ev.RunClosed):
            return _FINE if event.body.how == "done" else (f"stopped: {event.body.reason}", (event.id,))
    return "not finished yet", (run[-1].id,)


def _age(rule: Ready, run: Sequence[Event], now: Stamp) -> _Found:
    """Closed within the time. A station's clock may be hours ahead; one that is further off tells no age."""
    closed = next(event for event in run if isinstance(event.body, ev.RunClosed))
    age_ms = to_ms(now.at) - to_ms(closed.stamp.at)
    if age_ms < -_AHEAD_MS:
        return "closed at a time that is still to come: the station's clock was wrong", (closed.id,)
    return ("longer ago than the rule allows", (closed.id,)) if age_ms > rule.within.to("s") * 1000 else _FINE


def _hazards(rule: Ready, run: Sequence[Event], now: Stamp) -> _Found:
    """Every safety prompt that came was accepted before anything else came."""
    del now
    waiting: Event | None = None
    for event in run if rule.hazards == "all" else ():
        if isinstance(event.body, ev.HazardAccepted):
            waiting = None
        elif isinstance(event.body, ev.StepShown | ev.RunClosed):
            if waiting is not None:
                return "a safety prompt was not accepted", (waiting.id, event.id)
            asks = isinstance(event.body, ev.StepShown) and event.body.task == "hazard"
            waiting = event if asks else None
    return _FINE


def _plate(rule: Ready, run: Sequence[Event], now: Stamp) -> _Found:
    """The word on the last plate is passed: the last one on the step that was signed last during the run.

    A word given after class on that step stands for the one before it, one on another step does not.
    """
    del now
    if rule.plate is None:
        return _FINE
    found: _Found = ("no plate was signed off", (run[-1].id,))
    signed, closed = "", False
    for event in run:
        match event.body:
            case ev.PlateSpoiled():
                found, signed = ("the last plate was not signed off", (event.id,)), ""
            case ev.RunClosed():
                closed = True
            case ev.SignedOff(of=of, word=word) if not (closed and signed not in ("", of)):
                found = _FINE if word == "passed" else ("the last look was not passed", (event.id,))
                signed = signed if closed else of
            case _:
                pass
    return found
