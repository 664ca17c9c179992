"""A single run act by act, and one of its events with all that is kept of it. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import TYPE_CHECKING

from trainer.insight.glance import RunSeen
from trainer.run import events as ev
from trainer.run.clock import wall_words
from trainer.run.events import Event
from trainer.run.scoring import score
from trainer.screens.review import saying
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Heading, Item, Leaf, Opens, Size, Words
from trainer.screens.review.replay import Showing, between, showings, since
from trainer.screens.review.telling import ASKED, BAD, told

if TYPE_CHECKING:
    from trainer.insight.facts import ProcedureFacts

ORDERS = ("only what stands out", "every act")
SHOWN = {
    True: "Only what stands out; o shows every act.",
    False: "Every act; o shows only what stands out.",
}
NOTHING = "Nothing stands out in this run; o shows every act."
SLOW = 20.0
"""Seconds to the first act from which on they are told."""
STYLES = {"!": "bold", "+": "", "·": "$quiet", "?": ""}


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The run `keys[0]`, at the event `keys[1]` where it is named."""
    del size
    name = keys[0]
    run = desk.any_run(name)
    if run is None:
        return Leaf("A run", (Words(f"There is no run {name} in this record.", gap=1),))
    events, troubles = desk.events(name)
    facts = desk.facts_of_run(run)
    items = [*head(desk, run, events), *(Words(said, first="! ", style="bold $warning") for said in troubles)]
    if facts is None and not run.practice:
        items.append(Words("The procedure it was opened with cannot be read; steps go by their ids.", "! "))
    at = Opens("act", (name, keys[1])) if len(keys) > 1 else None
    few = desk.order("run") == 0
    shown = acts(name, events, facts, few=few)
    if few and at is not None and at not in [one.opens for one in shown if isinstance(one, Words)]:
        few, shown = False, acts(name, events, facts)  # opened at an act that is as wanted
    items.append(Words(SHOWN[few] if shown else NOTHING, style="$quiet"))
    items += shown
    return Leaf(f"{run.trainee}, {saying.moment(run.opened_at)}", tuple(items), ORDERS, at)


def head(desk: Desk, run: RunSeen, events: Sequence[Event]) -> list[Item]:
    """Who, what, how it ended, and what instructors said."""
    what = " ".join(part for part in (desk.title(run.procedure), run.job, run.colour) if part)
    facts = [
        "fault practice" if run.practice else f"{saying.kind(run)}, guidance {run.guidance}",
        run.station and f"at {run.station}",
        saying.number_of(run.plate, "plate"),
        run.spoiled and f"{run.spoiled} given up",
        run.hints and f"key points asked for {saying.number_of(run.hints, 'time')}",
    ]
    took = f" after {saying.span(since(events[0].stamp, _last_work(events).stamp))}" if events else ""
    ended = saying.ENDS.get(run.closed, run.closed)
    reason = f": {run.reason}" if run.reason else ""
    who = desk.person(run.trainee) if run.trainee else "erased"
    items: list[Item] = [
        Words(f"{who}   {saying.moment(run.opened_at)}   {what}", style="bold", gap=1),
        Words("   ".join(str(fact) for fact in facts if fact)),
        Words(f"{ended}{took}{reason}", opens=Opens("trainee", (run.trainee,)) if run.trainee else None),
    ]
    if run.excused:
        items.append(Words(f"EXCUSED, it counts for nothing: {run.excused}", style="bold reverse"))
    items += [
        Words(told(event.body, "", None).words, first="» ", opens=Opens("act", (run.run, str(event.seq))))
        for event in events
        if isinstance(event.body, ev.NoteAdded | ev.SignedOff | ev.CodeMistyped)
    ]
    marks = score(events).skills
    said = "   ".join(
        f"{skill or 'other work'} {saying.of(one.hits, one.attempts)}"
        for skill, one in marks.items()
        if one.attempts
    )
    return [*items, Words(f"Right: {said}", style="$quiet")] if said else items


def _last_work(events: Sequence[Event]) -> Event:
    """The last event that belongs to the work itself: a note after class makes no run longer."""
    for event in events:
        if isinstance(event.body, ev.RunClosed):
            return event
    return events[-1]


def acts(run: str, events: Sequence[Event], facts: ProcedureFacts | None, *, few: bool = False) -> list[Item]:
    """Every showing of a step with what was done there, or those that stand out; each opens its event."""
    items: list[Item] = []
    stage, plate = "", 0
    for showing in showings(events):
        if few and not stands_out(showing):
            continue
        if showing.step and (showing.stage, showing.plate) != (stage, plate):
            stage, plate = showing.stage, showing.plate
            title = facts.stages.get(stage, stage) if facts else stage
            items.append(Heading(title, f"plate {plate}"))
        items += _showing(run, showing, facts, events[0])
    return items


def stands_out(showing: Showing) -> bool:
    """Whether something there was not as wanted, key points were asked for, or the first act was slow."""
    slow = showing.hesitated is not None and showing.hesitated >= SLOW
    return slow or any(told(event.body, "", None).sign in (BAD, ASKED) for event in showing.events)


def _showing(run: str, showing: Showing, facts: ProcedureFacts | None, first: Event) -> list[Item]:
    items: list[Item] = []
    time = ""
    if showing.step:
        time = saying.clock(showing.began)
        at = Opens("act", (run, str(showing.seq)))
        words = step_words(showing.step, facts) + _times(showing)
        items.append(Words(words, first=time.rjust(7) + "  ", style="bold", opens=at))
    for event in showing.events:
        said = told(event.body, event.step or "", facts)
        if not said.words or (isinstance(event.body, ev.Confirmed) and _only_confirmed(showing)):
            continue
        now = saying.clock(since(first.stamp, event.stamp))
        lead = f"{'' if now == time else now:>7}    {said.sign} "
        time = now
        opens = Opens("act", (run, str(event.seq)))
        items.append(Words(said.words, first=lead, style=STYLES[said.sign], opens=opens))
    return items


def _only_confirmed(showing: Showing) -> bool:
    """Whether nothing was done at a step but to say that it is done: then its own line says it all."""
    acts = [event for event in showing.events if told(event.body, "", None).words]
    return len(acts) == 1 and bool(showing.step)


def step_words(step: str, facts: ProcedureFacts | None) -> str:
    """A step by its id and its act; a safety prompt by the harm it tells of."""
    if facts is None:
        return step
    hazard = facts.hazards.get(step)
    words = hazard.harm if hazard else facts.step_words(step)
    return step if words == step else f"{step}  {words}"


def _times(showing: Showing) -> str:
    times = [] if showing.lasted is None else [saying.span(showing.lasted)]
    if showing.hesitated is not None and showing.hesitated >= SLOW:
        times.append(f"first act after {saying.span(showing.hesitated)}")
    if showing.visit > 1:
        times.append(f"shown for the {saying.ordinal(showing.visit)} time")
    return f"   {', '.join(times)}" if times else ""


def act_leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """One event: what it says, when, and everything that is kept of it."""
    del size
    run, seq = desk.any_run(keys[0]), keys[1]
    events, _ = desk.events(keys[0])
    event = next((one for one in events if str(one.seq) == seq), None)
    if event is None or run is None:
        return Leaf("An act", (Words("This event is not there, or cannot be read.", gap=1),))
    facts = desk.facts_of_run(run)
    said = told(event.body, event.step or "", facts)
    step = event.step or ""
    items: list[Item] = [
        Words(said.words or event.body.kind.replace("_", " "), style="bold", gap=1),
        Words(step_words(step, facts) if step else "at no step", style="$quiet"),
        Heading("When"),
        Words(_when(events, event)),
        *([Heading("What is kept of it")] if fields(event.body) else []),
        *(
            Words(
                _shown(getattr(event.body, one.name)), first=f"{one.name.rstrip('_').replace('_', ' '):16} "
            )
            for one in fields(event.body)
        ),
        Words(f"number {event.seq} of the run, kind {event.body.kind}, id {event.id}", style="$quiet", gap=1),
    ]
    if step:
        items.append(Heading("More"))
        items.append(
            Words("this step over all trainees", first="> ", opens=Opens("step", (run.procedure, step)))
        )
    items.append(Words("the whole run", first="> ", opens=Opens("run", (run.run, seq))))
    return Leaf("An act", tuple(items))


def _when(events: Sequence[Event], event: Event) -> str:
    begun = saying.clock(since(events[0].stamp, event.stamp))
    before = next((one for one in reversed(events) if one.seq < event.seq), None)
    gap = between(before.stamp, event.stamp) if before else None
    after = "" if gap is None else f", {gap:.1f} s after the event before"
    at = wall_words(event.stamp.at, "%Y-%m-%d %H:%M:%S")
    return f"{at} (kept as {event.stamp.at}), {begun} into the run{after}"


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None or value == "":
        return "-"
    if isinstance(value, tuple | list):
        return ", ".join(_shown(part) for part in value) or "-"
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {_shown(part)}" for name, part in value.items()) or "-"
    return f"{value:.6g}" if isinstance(value, float) else str(value)
