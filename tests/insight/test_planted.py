"""Planted truth: what is planted is in the events of a whole class, and the review names it and little else.

It is driven through the real run and bench; nothing here is checked against the world outside.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from statistics import mean, median

import pytest
from planted_kit import told

from trainer.rehearsal.invented import term
from trainer.rehearsal.invented.making import Class, make_class
from trainer.run.events import ReadingTaken, RunClosed
from trainer.run.scoring import Mark, score

pytestmark = pytest.mark.long(seconds=8)
TWO = pytest.mark.parametrize("made", [1, 2], indirect=True, scope="module")
FIVE = pytest.mark.parametrize("made", [1, 2, 3, 4, 5], indirect=True, scope="module")
Tally = dict[object, list[bool]]


@pytest.fixture(scope="module")
def made(request: pytest.FixtureRequest) -> Class:
    """A whole class by its seed, all wet: 400 runs of a term."""
    return make_class(int(request.param), 400, rehearsals=False)


@FIVE
def test_all_that_is_planted_is_named(made: Class) -> None:
    """Three trainees weak at one skill each, a step, a question and a lamp; hardly anything else."""
    class_told = told(made)
    assert len(class_told.planted) == 6
    assert class_told.found == class_told.planted
    assert len(class_told.false) <= 1, class_told.false


@pytest.mark.parametrize("seed", [1, 2])
def test_nothing_is_named_where_nothing_is_planted(seed: int) -> None:
    """A class of the same make with nothing planted: at most one thing is named that is sure to be chance."""
    found = told(make_class(seed, 400, rehearsals=False, plant=False))
    assert found.planted == frozenset()
    assert len(found.false) <= 1, found.false


def marks(made: Class) -> Iterator[Mark]:
    """Every mark of the procedure in which things are planted."""
    for session, run in zip(made.sessions, made.runs, strict=True):
        if session.procedure == made.planted.procedure:
            yield from score(run).marks


def rate(hits: list[bool]) -> float:
    """The share of hits."""
    return sum(hits) / len(hits)


@TWO
def test_each_weak_trainee_misses_more_at_that_skill(made: Class) -> None:
    """Than anybody else there, and than at any other skill."""
    found: Tally = defaultdict(list)
    for mark in marks(made):
        found[mark.trainee, mark.skill].append(mark.hit)
    for one in made.planted.weak:
        own = rate(found[one.trainee, one.skill])
        others = [rate(found[code, one.skill]) for code in term.TRAINEES if code != one.trainee]
        assert own < min(others)
        assert own < mean(others) - 0.15


@TWO
def test_the_ambiguous_step_trips_everybody(made: Class) -> None:
    """It is missed most of all readings and waits, and by everybody."""
    found: Tally = defaultdict(list)
    who: Tally = defaultdict(list)
    for mark in marks(made):
        if mark.kind in ("reading", "window"):
            found[mark.step].append(mark.hit)
            if mark.step == made.planted.ambiguous:
                who[mark.trainee].append(mark.hit)
    often = {step: rate(hits) for step, hits in found.items() if len(hits) > 50}
    assert min(often, key=lambda step: often[step]) == made.planted.ambiguous
    assert sum(rate(hits) < 0.75 for hits in who.values()) >= 12


@TWO
def test_the_bad_question_tells_the_able_from_the_others_least(made: Class) -> None:
    """The abler half does hardly better there than the other; at all other questions but one it does."""
    found: Tally = defaultdict(list)
    for mark in marks(made):
        found["all", mark.trainee].append(mark.hit)
        if mark.kind == "quiz":
            found[mark.step, mark.trainee].append(mark.hit)
    order = sorted(term.TRAINEES, key=lambda code: rate(found["all", code]))
    steps = {key[0] for key in found if isinstance(key, tuple) and key[0] != "all"}

    def tells(step: object) -> float:
        halves = (order[:7], order[7:])
        low, high = (rate([hit for code in half for hit in found[step, code]]) for half in halves)
        return high - low

    gaps = {step: tells(step) for step in steps}
    assert gaps[made.planted.question] < 0.05
    assert sorted(gaps.values()).index(gaps[made.planted.question]) <= 1


@TWO
def test_the_wedge_falls_at_the_drifting_station_alone(made: Class) -> None:
    """By more than a step from the first half of the term to its last fortnight, and hardly elsewhere."""
    begins, ends = term.bounds()
    read: dict[tuple[str, bool], list[float]] = defaultdict(list)
    for session, run in zip(made.sessions, made.runs, strict=True):
        late = session.at_ms > ends - 14 * 86_400_000
        if session.procedure == made.planted.procedure and (late or session.at_ms < (begins + ends) // 2):
            for event in run:
                if isinstance(event.body, ReadingTaken) and event.body.name == "wedge":
                    read[session.station, late].append(event.body.value)
    for name in term.STATIONS:
        fell = median(read[name, False]) - median(read[name, True])
        drifts = made.planted.drift is not None and made.planted.drift.station == name
        assert fell >= 1.0 if drifts else abs(fell) <= 0.5


@TWO
def test_practice_makes_quicker_and_surer(made: Class) -> None:
    """The second half of everybody's runs at one procedure takes less time, and misses less."""
    took: dict[bool, list[float]] = defaultdict(list)
    hits: dict[bool, list[bool]] = defaultdict(list)
    for session, run in zip(made.sessions, made.runs, strict=True):
        ends = isinstance(run[-1].body, RunClosed) and run[-1].body.how == "done"
        if session.procedure == made.planted.procedure and ends and session.guidance != "solo":
            late = session.own >= 4
            spoiled = sum(event.body.kind == "plate_spoiled" for event in run)
            if not spoiled:
                took[late].append((run[-1].stamp.ticks_ms - run[0].stamp.ticks_ms) / 60_000)
            hits[late] += [mark.hit for mark in score(run).marks if mark.kind == "quiz"]
    assert median(took[True]) < 0.95 * median(took[False])
    assert rate(hits[True]) > rate(hits[False])
