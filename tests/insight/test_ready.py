"""Readiness from tables is readiness from events; deadlines are moved by nothing.

The same over the shipped walks: tests/record/test_real_runs.py.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest
from insight_kit import START, frames, record_of
from run_kit import RIGHT, Sink, plan_of

from trainer.insight import refresh
from trainer.insight.facts import ProcedureFacts, facts_of
from trainer.insight.frames import Frames
from trainer.insight.joined import joined
from trainer.insight.read import read
from trainer.insight.ready import ready, rule_words, stands_out
from trainer.insight.results import ReadyRow, RefreshRow
from trainer.procedure.model import Ready
from trainer.procedure.quantity import Quantity
from trainer.run import events as ev
from trainer.run import readiness
from trainer.run.clock import to_ms
from trainer.run.events import Event

DAY = timedelta(days=1)


@cache
def variety() -> list[tuple[Event, ...]]:
    """Runs that count, and runs that fail the rule in each way there is."""
    sinks = [
        Sink.open("solo").to_end(),
        Sink.open("solo").to_end(),
        Sink.open("cued").to_end(),
        Sink.open("solo"),
    ]
    stopped = Sink.open("solo").until("sign")
    stopped.run.stop("No instructor.")
    excused = Sink.open("solo").to_end()
    excused.run.excuse("I-1", "A helper spoke.")
    spoiled = Sink.open("solo").until("sign")
    spoiled.run.spoil("dropped")
    not_yet = Sink.open("solo").until("sign")
    not_yet.run.sign("I-1", RIGHT, "not_yet")
    handed = Sink.open("solo").until("take-plate")
    handed.run.hand_over("T-02")
    sinks += [stopped, excused, spoiled.to_end(), not_yet.to_end(), handed.to_end()]
    found = [sink.events for sink in sinks]
    whole = sinks[0].events
    opened = whole[0].body
    assert isinstance(opened, ev.RunOpened)
    found.append((replace(whole[0], body=replace(opened, rehearsal=True)), *whole[1:]))
    signed = (ev.SignedOff,)
    found.append(renumbered(event for event in whole if not isinstance(event.body, signed)))
    found.append(renumbered(event for event in spoiled.events if not isinstance(event.body, signed)))
    passed = [event for event in not_yet.events if getattr(event.body, "word", "") != "passed"]
    found.append(renumbered(passed))
    prompts = [event for event in whole if isinstance(event.body, ev.HazardAccepted)]
    found += [renumbered(event for event in whole if event is not one) for one in prompts]
    return found


def renumbered(events: Iterable[Event]) -> tuple[Event, ...]:
    """The events without a gap between their numbers."""
    return tuple(replace(event, seq=seq) for seq, event in enumerate(events, start=1))


def moment(event: Event, days: float) -> tuple[datetime, ev.Stamp]:
    """So many days after an event, as a time and as the stamp of a clock."""
    ms = to_ms(event.stamp.at) + round(days * 86_400_000)
    at = datetime.fromtimestamp(ms / 1000, UTC)
    return at, replace(event.stamp, at=at.isoformat(timespec="milliseconds").replace("+00:00", "Z"))


def facts() -> dict[str, ProcedureFacts]:
    """Of the test plate."""
    one = facts_of(plan_of("plate"))
    return {one.id: one}


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Frames:
    """All of them, from a record."""
    return read(record_of(tmp_path_factory.mktemp("r") / "record.db", plan_of("plate"), variety())).frames


@pytest.mark.parametrize("days", [0.5, 59, 61, -2])
def test_readiness_is_that_of_the_events(found: Frames, days: float) -> None:
    """Each run of every kind, with the reason why it does not count, in the very words of `run.readiness`."""
    runs = variety()
    now, stamp = moment(runs[0][-1], days)
    rule = plan_of("plate").procedure.ready
    assert rule is not None
    for plate in ("passes", None):
        held = Ready(solo_runs=rule.solo_runs, within=rule.within, hazards=rule.hazards, plate=plate)
        known = [readiness.ready(held, [run], "T-01", stamp).runs[0].why_not for run in runs]
        rows = ready(found, {"plate": replace(facts()["plate"], ready=held)}, now)
        said = {one.run: one.why_not for row in rows for one in row.held}
        assert [said[f"run-{number}"] for number in range(1, len(runs) + 1)] == known
        assert sum(row.counted for row in rows) == sum(not why for why in known)
        assert len(set(known)) > 6 or days < 0


def solo(count: int, good: int) -> Frames:
    """So many wet solo runs a day apart, the first `good` of them passed."""
    names = [f"r{number:02}" for number in range(count)]
    return frames(
        runs=[
            {"run": name, "guidance": "solo", "opened_at": START + nth * DAY, "closed_at": START + nth * DAY}
            for nth, name in enumerate(names)
        ],
        plates=[
            {"run": name, "how": "passed" if nth < good else "not_yet"} for nth, name in enumerate(names)
        ],
    )


def row_of(made: Frames) -> ReadyRow:
    """The only row."""
    (row,) = ready(made, facts(), START + 20 * DAY)
    return row


def test_the_count_stands_with_its_interval_and_the_chance() -> None:
    """Of 5/5 and 10/10: the chance of a rate under 0.8 as in scipy 1.17.1 (`beta.cdf`); ends as Wilson's."""
    five, ten = row_of(solo(5, 5)), row_of(solo(10, 10))
    assert (five.good.k, five.good.n, five.good.line, five.met) == (5, 5, 0.8, True)
    assert five.good.chance_below == pytest.approx(1 - 0.737856, abs=1e-6)
    assert ten.good.chance_below == pytest.approx(1 - 0.914101, abs=1e-6)
    assert ten.good.interval.low == pytest.approx(0.722467, abs=1e-6)
    mixed = row_of(solo(4, 1))
    assert (mixed.good.k, mixed.good.n, mixed.counted, mixed.met) == (1, 4, 1, False)


def test_who_meets_the_rule_is_named_with_what_it_rests_on() -> None:
    """Only who meets it; the sentence has the counts, the reason the rule, interval and chance."""
    met, not_met = row_of(solo(3, 3)), replace(row_of(solo(3, 1)), trainee="T-02")
    (said,) = stands_out([met, not_met], {"plate": "The test plate"}).findings
    assert (
        said.words == "T-01 meets the rule for working alone at The test plate: 3 runs count, 2 are wanted."
    )
    assert "3 of 3 wet solo runs within the time count (interval 44 to 100 %)" in said.why
    assert "41 in 100" in said.why
    assert said.runs == ("r00", "r01", "r02")


def test_the_rule_in_words() -> None:
    """What it wants, and no more."""
    within = Quantity(60, "days")
    assert rule_words(Ready(solo_runs=3, within=within, hazards="all", plate="passes")) == (
        "3 wet runs at solo within 60 days, every safety prompt accepted, the plate passed"
    )
    assert rule_words(Ready(solo_runs=1, within=within, hazards=None, plate=None)) == (
        "1 wet run at solo within 60 days"
    )


# Refreshing


def again(made: Frames, now: datetime, after: float | None = 180 * 86_400.0) -> tuple[RefreshRow, ...]:
    """Who must refresh the test plate, with a deadline of so many seconds."""
    one = replace(facts()["plate"], refresh_after=after)
    return refresh.refresh(joined(made), {"plate": one}, now)


def test_the_deadline_is_the_last_wet_run_that_was_done() -> None:
    """Later runs that were stopped, handed over or rehearsed move nothing, and no answer does."""
    later = START + 100 * DAY
    done = {"run": "done", "closed_at": START}
    others = [
        {"run": "stopped", "closed": "stopped", "closed_at": later, "opened_at": later},
        {"run": "handed", "handed": True, "closed_at": later, "opened_at": later},
        {"run": "rehearsed", "rehearsal": True, "closed_at": later, "opened_at": later},
    ]
    question = next(iter(facts()["plate"].questions))
    answers = [{"run": "rehearsed", "name": question, "at": later, "right": True}]
    for made in (frames(runs=[done]), frames(runs=[done, *others], answers=answers)):
        (row,) = again(made, START + 179 * DAY)
        assert (row.last_at, row.due_at, row.overdue) == (START, START + 180 * DAY, False)
        assert row.runs == ("done",)
        assert again(made, START + 181 * DAY)[0].overdue
    (free,) = again(frames(runs=[done]), START, after=None)
    assert (free.due_at, free.overdue) == (None, False)
    assert again(frames(runs=others), START) == ()


def test_questions_are_suggested_before_the_deadline_only() -> None:
    """Wrong at first: tomorrow; right: in two days (fsrs 6.3.2). Second tries in a run do not count."""
    question, *_ = facts()["plate"].questions
    for right, days in ((True, 2), (False, 1)):
        answers = [{"name": question, "right": right}, {"name": question, "right": not right}]
        (row,) = again(frames(runs=[{}], answers=answers), START)
        assert [(one.name, one.at) for one in row.quizzes] == [(question, START + days * DAY)]
        (short,) = again(frames(runs=[{}], answers=answers), START, after=86_400.0 * days)
        assert short.quizzes == ()
    other = [{"name": "gone", "right": True}, {"name": question, "form": "judge", "right": True}]
    assert again(frames(runs=[{}], answers=other), START)[0].quizzes == ()


def test_who_is_over_a_deadline_is_named_in_one_sentence() -> None:
    """The longest first, the rest counted; soon ones apart; nobody who has time."""
    names = [f"T-{number:02}" for number in range(1, 13)]
    closed = [START + nth * DAY for nth in range(12)]
    made = frames(
        runs=[
            {"run": f"r{name}", "trainee": name, "closed_at": at}
            for name, at in zip(names, closed, strict=True)
        ]
    )
    now = START + 189 * DAY + timedelta(hours=1)
    over, soon = refresh.stands_out(again(made, now), {"plate": "The test plate"}, now).findings
    if over.level != "act":
        over, soon = soon, over
    assert over.words == (
        "Over the deadline for doing The test plate again: T-01, T-02, T-03, T-04, T-05, T-06, T-07, T-08 "
        "and 2 more (10 in all; T-01 since 29 August 2026)."
    )
    assert soon.words.startswith(
        "Within 14 days of the deadline for doing The test plate again: T-11, T-12 (2 in all"
    )
    assert (over.n, soon.n, over.level, soon.level) == (10, 2, "act", "watch")
    early = START + 100 * DAY
    assert refresh.stands_out(again(made, early), {}, early).findings == ()
