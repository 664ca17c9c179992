"""An invented class in memory: the same from the same seed, whole, and of the shape of a term.

It is for the demo and for tests of findings; nothing here is checked against the world outside.
"""

from __future__ import annotations

from collections import Counter

import pytest

from trainer.rehearsal.invented import making, term
from trainer.rehearsal.invented.chance import dice
from trainer.rehearsal.invented.making import Class, begin, make_class, one_run, plan_of
from trainer.rehearsal.invented.people import trainee
from trainer.rehearsal.invented.planted import Planted, planted
from trainer.rehearsal.invented.stations import station
from trainer.run.events import Event, HazardAccepted, PlateMade, RunOpened
from trainer.run.fault_events import FaultFound
from trainer.run.fold import fold
from trainer.run.ids import parts
from trainer.run.wire import event_from_json, event_to_json

SEED = 11


@pytest.fixture(scope="module")
def made() -> Class:
    """The first run of each trainee, more or less; all wet."""
    return make_class(SEED, 14, rehearsals=False)


def test_the_same_seed_makes_the_same_events(made: Class) -> None:
    """A run made again by itself, and not after the others, is the same to the last id and millisecond."""
    for place in (0, 13):
        assert one_run(SEED, made.planted, made.sessions[place]) == made.runs[place]
    assert make_class(SEED + 1, 1, rehearsals=False).runs[0] != made.runs[0]


def test_every_run_folds_over_its_procedure(made: Class) -> None:
    """The events of each run are a whole run of the procedure that it was opened with."""
    for session, run in zip(made.sessions, made.runs, strict=True):
        state = fold(plan_of(session.procedure), run)
        assert state.closed or session.at_ms > term.bounds()[1] - 4 * 86_400_000
        assert state.seq == len(run)


def test_events_go_to_json_and_back(made: Class) -> None:
    """What the record would keep of a run is read again as it was."""
    run = made.runs[0]
    assert tuple(event_from_json(event_to_json(event)) for event in run) == run


def test_ids_rise_and_none_comes_twice(made: Class) -> None:
    """Ids are version 7 UUIDs that rise with a run's events, and no two events of a class share one."""
    ids = [event.id for run in made.runs for event in run]
    assert len(set(ids)) == len(ids)
    for run in made.runs:
        assert [parts(event.id) for event in run] == sorted(parts(event.id) for event in run)


def test_a_run_is_opened_by_who_and_where_the_term_says(made: Class) -> None:
    """Trainee, station, guidance and kind stand in the event that opened the run."""
    for session, run in zip(made.sessions, made.runs, strict=True):
        opened = _opened(run)
        assert (opened.trainee, opened.station) == (session.trainee, session.station)
        assert (opened.guidance, opened.rehearsal) == (session.guidance, session.rehearsal)


def test_time_never_goes_back_in_a_run(made: Class) -> None:
    """Stamps of a run rise, and its acts take a while: no held key passed a prompt."""
    for run in made.runs:
        ticks = [event.stamp.ticks_ms for event in run]
        assert ticks == sorted(ticks)
        assert all(e.body.seconds >= 0.4 for e in run if isinstance(e.body, HazardAccepted))


def test_a_term_is_spread_over_trainees_and_stations() -> None:
    """In 400 runs everybody has as many as the others, a fifth are rehearsals, guidance grows less."""
    begun = begin(SEED)
    by_trainee = Counter(one.trainee for one in begun.sessions)
    assert set(by_trainee) == set(term.TRAINEES)
    assert max(by_trainee.values()) - min(by_trainee.values()) <= 1
    assert set(Counter(one.station for one in begun.sessions)) == set(term.STATIONS)
    assert 0.15 < sum(one.rehearsal for one in begun.sessions) / 400 < 0.25
    for code in term.TRAINEES:
        levels = [
            o.guidance
            for o in begun.sessions
            if (o.trainee, o.procedure) == (code, "negative-plate-two-burns")
        ]
        assert levels == sorted(levels, key=("full", "cued", "solo").index)


def test_nobody_is_at_two_sinks_at_once() -> None:
    """No sink has two runs at a time, and no trainee."""
    slots = [(one.at_ms // 3_600_000, one.trainee) for one in begin(SEED).sessions]
    assert len(set(slots)) == len(slots)


def test_what_is_planted_goes_by_the_seed() -> None:
    """Three trainees and skills, a step, a question, a lamp; others for another seed, or none at all."""
    found = [planted(seed, term.TRAINEES, term.STATIONS, term.bounds()) for seed in range(8)]
    assert len({one.lines() for one in found}) == 8
    for one in found:
        assert len({weak.trainee for weak in one.weak}) == len({weak.skill for weak in one.weak}) == 3
        plan = plan_of(one.procedure)
        assert {one.ambiguous, one.question} <= plan.steps.keys()
        assert plan.steps[one.question].quiz is not None
        skills = {plan.steps[step].skill for step in (one.ambiguous, one.question)}
        assert skills.isdisjoint(weak.skill for weak in one.weak)
        assert {weak.skill for weak in one.weak} <= plan.procedure.skills.keys()
    assert begin(SEED, 1, plant=False).planted == Planted()


def test_a_weak_trainee_is_weak_at_one_skill_only() -> None:
    """The log odds at the planted skill are 2.5 less than they would be; the others are as they were."""
    hidden = planted(SEED, term.TRAINEES, term.STATIONS, term.bounds())
    one = hidden.weak[0]
    weak, plain = trainee(SEED, one.trainee, hidden), trainee(SEED, one.trainee, Planted())
    for skill in ("film", "contact", "exposure", "developing", "finishing", "register"):
        less = plain.logit("quiz", skill, 3) - weak.logit("quiz", skill, 3)
        assert less == pytest.approx(2.5 if skill == one.skill else 0.0)


def test_a_drifting_lamp_loses_what_is_planted_and_the_others_nothing() -> None:
    """The wedge falls by the planted steps from the middle of the term to its end; a dose takes longer."""
    hidden = planted(SEED, term.TRAINEES, term.STATIONS, term.bounds())
    assert hidden.drift is not None
    begins, ends = term.bounds()
    for name in term.STATIONS:
        at = station(SEED, name, hidden)
        lost = hidden.drift.steps if name == hidden.drift.station else 0.0
        assert at.lost((begins + ends) // 2) == 0.0
        assert at.lost(ends) == pytest.approx(lost)
        longer = at.seconds(24, ends, dice(1)) / at.seconds(24, begins, dice(1))
        assert (longer > 1.3) is (lost > 0)


def _opened(run: tuple[Event, ...]) -> RunOpened:
    opened = run[0].body
    assert isinstance(opened, RunOpened)
    return opened


@pytest.mark.long(seconds=8)
def test_two_processes_make_the_same_class(monkeypatch: pytest.MonkeyPatch) -> None:
    """And so do rehearsals, which have plates, and for some of them the acts that spoiled these."""
    monkeypatch.setattr(making, "_ENOUGH_FOR_TWO", 2)  # a small class by oneself is made more quickly
    monkeypatch.setattr(making, "_CHUNK", 2)
    one, two = (make_class(7, 4, processes=many) for many in (1, 2))
    assert one == two
    rehearsed = [run for session, run in zip(one.sessions, one.runs, strict=True) if session.rehearsal]
    kinds = {type(event.body) for run in rehearsed for event in run}
    assert {PlateMade, FaultFound} <= kinds
