"""Fault practice: plates out of the models, questions that can be answered by looking, everything kept."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.bench import causes, seen, signs
from trainer.bench.faults import CATALOGUE, CLASSES
from trainer.bench.settings import BenchSettings
from trainer.record.journal import StationJournal
from trainer.record.practised import faults_of
from trainer.record.rebuild import rebuild
from trainer.record.verify import verify
from trainer.rehearsal import practice_choice, practice_plates
from trainer.rehearsal.bench_settings import read_bench
from trainer.rehearsal.practice import Practice
from trainer.rehearsal.practice_choice import Tally, drawn, offered, remedies, tally
from trainer.rehearsal.practice_state import fold
from trainer.run.events import PRACTICE, Event, PlateSpoiled, QuizAnswered, Stamp
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.fault_events import FaultFound, PracticePlate
from trainer.run.ports import JournalTrouble
from trainer.run.refusals import Refused, TooSoon
from trainer.run.scoring import score

BENCH: BenchSettings = read_bench()
POSSIBLE = tuple(CATALOGUE)


class Desk:
    """One practice with its fakes."""

    def __init__(self, seed: int = 3) -> None:
        self.clock, self.journal = FakeClock(), FakeJournal()
        self.practice = Practice.open(
            run="P-1", trainee="T-01", journal=self.journal, clock=self.clock, settings=BENCH, seed=seed
        )

    @property
    def events(self) -> tuple[Event, ...]:
        """What was kept."""
        return tuple(self.journal.events("P-1"))

    @property
    def hidden(self) -> tuple[str, ...]:
        """The faults of the plate at hand."""
        plates = [event.body for event in self.events if isinstance(event.body, PracticePlate)]
        return plates[-1].faults

    def pick(self, *, right: bool) -> None:
        """Answer rightly or wrongly, after a moment."""
        self.clock.pass_time(1)
        view = self.practice.view()
        wanted = (
            {CATALOGUE[fault].alike for fault in self.hidden}
            if view.asks == "cause"
            else {self.practice.state.named[-1].fault}
        )
        place = next(n for n, one in enumerate(view.options, 1) if (one.key in wanted) is right)
        self.practice.pick(place)

    def finish(self, *, right: bool = True) -> None:
        """Name all faults of the plate and their remedies."""
        while self.practice.view().asks in {"cause", "remedy"}:
            self.pick(right=right)


def test_a_plate_is_named_and_its_remedy_chosen() -> None:
    """Right answers count, what it was is told, and then there is another plate."""
    desk = Desk()
    view = desk.practice.view()
    assert (view.plate, view.asks, view.right, view.asked) == (1, "cause", 0, 0)
    assert 3 <= len(view.options) <= 5
    desk.finish()
    view = desk.practice.view()
    assert view.asks == "next"
    assert view.right == view.asked == 2 * len(desk.hidden)
    assert view.told[0] == "Right."
    desk.practice.next()
    assert desk.practice.view().plate == 2
    assert desk.practice.plate == 2


def test_a_wrong_answer_is_told_and_counts() -> None:
    """After a wrong cause the right one is told, and the remedy is still asked for."""
    desk = Desk()
    desk.pick(right=False)
    view = desk.practice.view()
    assert (view.asks, view.right, view.asked) == ("remedy", 0, 1)
    assert view.told[0].startswith("No: ")
    assert CLASSES[CATALOGUE[desk.hidden[0]].alike].title in view.told[0]


def test_the_right_answer_is_always_among_the_options() -> None:
    """Over every fault: its class is offered once, its remedy once, and nothing twice."""
    for fault in CATALOGUE.values():
        dice = Random(fault.id)  # noqa: S311 - a test
        causes = offered(fault.alike, dice, [fault.alike])
        assert causes.count(fault.alike) == 1
        assert len(set(causes)) == len(causes) == practice_choice.MOST_OFFERED
        chosen = remedies(fault.id, dice)
        assert chosen.count(fault.id) == 1
        texts = [CATALOGUE[one].remedy for one in chosen]
        assert len(set(texts)) == len(texts) == practice_choice.MOST_OFFERED


def test_the_other_options_share_signs() -> None:
    """Beside the right class stands at least one that shares a measure or the stage with it."""
    for alike in CLASSES:
        mine = [one for one in CATALOGUE.values() if one.alike == alike]
        measures = {measure for one in mine for measure in one.measures}
        stages = {one.stage for one in mine}
        others = [key for key in offered(alike, Random(1), [alike]) if key != alike]  # noqa: S311 - a test
        near = [
            key
            for key in others
            if any(
                set(one.measures) & measures or one.stage in stages
                for one in CATALOGUE.values()
                if one.alike == key
            )
        ]
        assert near, alike


def test_measures_are_taken_one_by_one_and_kept() -> None:
    """A measure that is taken has its value, is kept once, and is not offered again."""
    desk = Desk()
    name = desk.practice.view().measures[0].key
    first = desk.practice.measure(name)
    assert desk.practice.measure(name) == first
    view = desk.practice.view()
    assert view.measured == (first,)
    assert name not in {one.key for one in view.measures}
    assert sum(event.body.kind == "practice_measured" for event in desk.events) == 1
    with pytest.raises(Refused, match="no measure"):
        desk.practice.measure("[bold]weight")


def test_what_cannot_be_done_is_refused() -> None:
    """A key at once, a place that is no option, another plate too early, anything after the end."""
    desk = Desk()
    with pytest.raises(TooSoon):
        desk.practice.pick(1)
    desk.clock.pass_time(1)
    with pytest.raises(Refused, match="Pick from 1"):
        desk.practice.pick(9)
    with pytest.raises(Refused, match="Say first"):
        desk.practice.next()
    kept = len(desk.events)
    desk.practice.close()
    desk.practice.close()
    assert len(desk.events) == kept + 1
    with pytest.raises(Refused, match="over"):
        desk.practice.pick(1)
    assert desk.practice.view().asks == "closed"


def test_a_record_that_fails_changes_nothing() -> None:
    """Where an answer could not be kept, the same question stands and can be answered again."""
    desk = Desk()
    before = desk.practice.view()
    desk.clock.pass_time(1)
    desk.journal.fail()
    with pytest.raises(JournalTrouble):
        desk.practice.pick(1)
    assert desk.practice.view() == before
    desk.practice.pick(1)
    assert desk.practice.view().asked == 1


def test_the_state_is_the_fold_of_the_events() -> None:
    """Read again from what was kept, practice stands where it stood."""
    desk = Desk()
    desk.finish(right=False)
    desk.practice.next()
    desk.pick(right=True)
    assert fold(desk.events) == desk.practice.state


@settings(max_examples=settings().max_examples // 8, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
@pytest.mark.long(seconds=10)
def test_the_same_seed_hides_the_same_faults(seed: int) -> None:
    """A seed gives the same plate again, and the plate of the record is the one that was shown."""
    first, second = (practice_plates.hide(1, seed, Tally(), BENCH) for _ in range(2))
    assert first.told == second.told
    assert first.work == second.work == practice_plates.made(first.told, BENCH).work
    assert 1 <= len(first.told.faults) <= 2


@given(seed=st.integers(0, 2**32 - 1))
def test_two_faults_of_a_plate_are_of_two_classes(seed: int) -> None:
    """One or two faults are drawn, never two that leave the same plate."""
    faults = drawn(Tally(), Random(seed), POSSIBLE)  # noqa: S311 - a test
    assert 1 <= len(faults) <= 2
    assert len({CATALOGUE[fault].alike for fault in faults}) == len(faults)


@given(seed=st.integers(0, 2**32 - 1), named=st.dictionaries(st.sampled_from(sorted(CLASSES)), st.booleans()))
def test_new_ones_come_first_then_the_weakest(seed: int, named: dict[str, bool]) -> None:
    """A class never practised comes before all others; with none left, one that was named wrong comes."""
    found = tally(_answered(alike, right=right, seq=n) for n, (alike, right) in enumerate(named.items(), 1))
    first = CATALOGUE[drawn(found, Random(seed), POSSIBLE)[0]].alike  # noqa: S311 - a test
    new = set(CLASSES) - set(named)
    if new:
        assert first in new
    elif not all(named.values()):
        assert not named[first]


def test_a_plate_with_two_faults_says_so_at_once() -> None:
    """The first question tells one fault from two; a trainee need not guess when to stop looking."""
    asked: dict[int, str] = {}
    for seed in range(12):
        desk = Desk(seed)
        asked[len(desk.hidden)] = desk.practice.view().ask
        if len(asked) == 2:
            break
    assert asked[1] == "What is wrong with this plate?"
    assert asked[2].startswith("Two things are wrong")


def test_each_third_plate_brings_back_what_was_named_wrong() -> None:
    """However much is new still: the third plate, the sixth, and so on, but never the one just had."""
    shown = _event(PracticePlate(1, 7, "tide-table", "black", ("emulsion-up",)), 1)
    right, wrong = _answered("islands", right=True, seq=2), _answered("veil", right=False, seq=3)
    for plates in range(7):
        found = tally([*[shown] * plates, right, wrong])
        for seed in range(8):
            first = drawn(found, Random(seed), POSSIBLE)[0]  # noqa: S311 - a test
            assert (CATALOGUE[first].alike == "veil") == (plates % 3 == 2)
        had = drawn(found, Random(1), POSSIBLE, just_had=["veil"])[0]  # noqa: S311 - a test
        assert CATALOGUE[had].alike not in {"veil", "islands"}


def test_what_was_named_wrong_comes_back_until_it_is_known() -> None:
    """Cause and remedy right on two plates running end its coming back; one wrong answer begins anew."""
    answers = [False, True, True, True]
    found = tally(_answered("veil", right=right, seq=n) for n, right in enumerate(answers, 1))
    assert found.missed("veil")
    found.add(_answered("veil", right=True, seq=5))
    assert not found.missed("veil")
    found.add(_answered("veil", right=False, seq=6))
    assert found.missed("veil")
    assert not found.missed("islands")


def test_the_film_shows_what_should_be_on_the_plate() -> None:
    """Another image is told by the job's own film, which lies under its mask without a flaw."""
    desk = Desk()
    practice = desk.practice
    told = practice.state.plate
    assert told is not None
    assert practice.film() is None
    assert practice.view().film == practice.job.film(told.film).label
    events = len(desk.events)
    practice.swap()
    film = practice.film()
    assert film is not None
    assert (film.film, film.mask) == (told.film, practice.job.film(told.film).mask)
    assert not film.wrong_reading
    assert len(desk.events) == events
    practice.swap()
    assert practice.film() is None


def test_what_went_wrong_at_the_bench_is_practised_first() -> None:
    """A new fault found at the bench comes first, then those of a stage where a plate was given up."""
    found = FaultFound(1, "emulsion-up", "mirrored-soft", "film-in-frame", "register", "film side", ())
    spoiled = PlateSpoiled(1, "gumming", "streaks", "wash-hands")
    dice = Random(5)  # noqa: S311 - a test
    assert drawn(tally([_event(found, 1), _event(spoiled, 2)]), dice, POSSIBLE)[0] == "emulsion-up"
    of_gum = drawn(tally([_event(spoiled, 1)]), dice, POSSIBLE)[0]
    assert CATALOGUE[of_gum].stage == "gumming"


def test_a_seed_gives_a_class_the_same_plates() -> None:
    """With a seed, what somebody practised before does not change the plates; without, it does."""
    past = [_answered(alike, right=True, seq=n) for n, alike in enumerate(sorted(CLASSES)[1:], 1)]

    def first_plate(seed: int | None, past: list[Event]) -> tuple[str, ...]:
        journal = FakeJournal()
        Practice.open(
            run="P", trainee="T-01", journal=journal, clock=FakeClock(), settings=BENCH, past=past, seed=seed
        )
        plates = [event.body for event in journal.events("P") if isinstance(event.body, PracticePlate)]
        return plates[0].faults

    assert first_plate(7, past) == first_plate(7, [])
    assert CATALOGUE[first_plate(None, past)[0]].alike == sorted(CLASSES)[0]


def test_answers_are_marked_under_the_skill_of_the_fault() -> None:
    """Each answer is a quiz mark of the hidden fault's skill and of the trainee."""
    desk = Desk()
    desk.finish()
    marks = score(desk.events).marks
    assert [mark.hit for mark in marks] == [True] * len(marks)
    assert {mark.skill for mark in marks} == {CATALOGUE[fault].skill for fault in desk.hidden}
    assert {mark.trainee for mark in marks} == {"T-01"}


def test_practice_is_kept_verified_and_made_anew(tmp_path: Path) -> None:
    """In a real record: no open run, verified, the same tables when made anew, read for the next one."""
    path, clock = tmp_path / "record.db", FakeClock()
    with StationJournal(path, clock) as journal:
        practice = Practice.open(run="P-1", trainee="T-01", journal=journal, clock=clock, settings=BENCH)
        assert journal.open_runs() == []
        clock.pass_time(1)
        practice.pick(1)
        practice.close()
        past = faults_of(journal, "T-01")
        assert [type(event.body) for event in past] == [QuizAnswered]
        assert faults_of(journal, "T-02") == ()
        assert sum(tally(past).named.values()) == 1
        before = _tables(journal)
        assert before["runs"]
        assert before["answers"]
    rebuild(path)
    assert verify(path).ok
    with StationJournal(path, clock) as journal:
        assert _tables(journal) == before


def _tables(journal: StationJournal) -> dict[str, list[tuple[object, ...]]]:
    with journal.reading() as connection:
        return {
            table: connection.execute(f"SELECT * FROM {table}").fetchall()  # noqa: S608 - our tables
            for table in ("runs", "attempts", "answers")
        }


def _answered(alike: str, *, right: bool, seq: int) -> Event:
    return _event(QuizAnswered("cause", "choice", (alike,), right), seq, alike)


def _event(
    body: FaultFound | PlateSpoiled | PracticePlate | QuizAnswered, seq: int, step: str | None = None
) -> Event:
    return Event(f"e{seq}", PRACTICE, seq, Stamp("2026-03-02T09:00:00.000Z", "b", seq), step, body)


@pytest.mark.long(seconds=18)
def test_hidden_faults_can_be_seen() -> None:
    """Of fifty plates all but one at most show every fault hidden in them, by the sheet's own causes."""
    blind = [seed for seed in range(50) if not _shows(practice_plates.hide(1, seed, Tally(), BENCH))]
    assert len(blind) <= 1, blind


def _shows(plate: practice_plates.HiddenPlate) -> bool:
    looked = signs.signs(seen.seen(plate.work, plate.right, BENCH, plate.wanted))
    named = set(causes.likeliest(looked))
    return {CATALOGUE[fault].alike for fault in plate.told.faults} <= named
