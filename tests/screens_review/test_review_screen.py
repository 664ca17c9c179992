"""The review on the screen, by keys alone: pages and back, filters that stay, acts with a PIN."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from review_desk import EMPTY, StillDesk, finding, hand_glance, kept_record, run_seen
from run_kit import plan_of
from stage import Stage, press, settled, text
from test_review_runs import whole_run
from textual import events
from textual.binding import Binding
from textual.pilot import Pilot

from trainer.insight.glance import glance, looking
from trainer.insight.results import Wanted
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.run import events as ev
from trainer.run.fakes import FakeClock
from trainer.screens import themes
from trainer.screens.ask import Line
from trainer.screens.review import finding as work
from trainer.screens.review.atop import Atop
from trainer.screens.review.desk import Desk, Found
from trainer.screens.review.keys import ACTIONS
from trainer.screens.review.leaf import Opens
from trainer.screens.review.ledger import Ledger
from trainer.screens.review.pages import TOP
from trainer.screens.review.reviewing import Reviewing

PIN = "271828"
CLOCK = FakeClock("2026-04-01T12:00:00.000Z")


@asynccontextmanager
async def reviewing(desk: Desk, size: tuple[int, int] = (80, 24)) -> AsyncIterator[tuple[Stage, Pilot[None]]]:
    """A review on a stage, with nothing left to be done."""
    stage = Stage(Reviewing(desk))
    async with stage.run_test(size=size) as pilot:
        await settled(pilot)
        yield stage, pilot


def screen(stage: Stage) -> Reviewing:
    """The review's own screen."""
    found = stage.screen_stack[1]
    assert isinstance(found, Reviewing)
    return found


def told(stage: Stage) -> str:
    """What was said over the page."""
    return "\n".join(one.message for one in stage._notifications)


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Findings are by hand: none of these tests is about them."""

    def find(
        path: object, now: object, wanted: Wanted, asked: int, record: object, *, dropped: object
    ) -> Found:
        del path, now, record, dropped
        return Found(asked, review=replace(EMPTY, wanted=wanted, findings=(finding(),)))

    monkeypatch.setattr(work, "find", find)


async def test_what_stands_out_comes_in_and_the_bar_stays() -> None:
    """The first page stands with its table; the finding comes in above, the bar stays on its trainee."""
    async with reviewing(StillDesk(hand_glance())) as (stage, _):
        assert "T-01 gets contact right" in text(stage)
        assert screen(stage).query_one(Ledger).opens == Opens("trainee", ("T-01",))


async def test_into_what_a_number_is_made_of_and_back() -> None:
    """Class, trainee, run, act: Enter goes in, b comes back to where one was."""
    async with reviewing(StillDesk(hand_glance())) as (stage, pilot):
        await press(pilot, "down", "enter")
        assert screen(stage).opens == Opens("trainee", ("T-02",))
        assert "T-02 Ada" in text(stage)
        await press(pilot, "b")
        assert screen(stage).opens == Opens("class")
        assert screen(stage).query_one(Ledger).opens == Opens("trainee", ("T-02",))
        await press(pilot, "b", "b")
        assert len(screen(stage).trail) == 1


async def test_each_page_of_the_top_row_by_its_digit() -> None:
    """Every digit opens its page, marked in the top row, and b leads to the class from there."""
    async with reviewing(StillDesk(hand_glance())) as (stage, pilot):
        for page in TOP:
            await press(pilot, page.digit)
            assert screen(stage).opens.page == page.id
            assert f"{page.digit} {page.short or page.title}" in text(stage).split("\n")[0]
            await press(pilot, "b")
            assert screen(stage).opens.page == "class"


async def test_filters_stay_from_page_to_page(tmp_path: Path) -> None:
    """What is looked at is chosen by keys, said on every page, kept while moving, and taken back by u."""
    async with reviewing(Desk(kept_record(tmp_path), CLOCK)) as (stage, pilot):
        await press(pilot, "f", "end", "enter")
        assert screen(stage).desk.wanted == Wanted(trainees=("T-02",))
        for keys in (["b"], ["3"], ["enter"]):
            await press(pilot, *keys)
            assert "1 run of 1 trainee, only T-02" in text(stage).split("\n")[1]
        await press(pilot, "u")
        assert "3 runs of 2 trainees, whole record" in text(stage).split("\n")[1]


async def typed(stage: Stage, pilot: Pilot[None], words: str) -> None:
    """A line typed into a prompt, and Enter."""
    stage.screen.query_one(Line).post_message(events.Paste(words))
    await pilot.pause()
    await press(pilot, "enter")


async def test_dates_are_typed_and_asked_again_where_they_are_none(tmp_path: Path) -> None:
    """A day that is none is asked for again; both days are taken in."""
    async with reviewing(Desk(kept_record(tmp_path), CLOCK)) as (stage, pilot):
        screen(stage).open(Opens("choose", ("period", "dates")))
        await pilot.pause()
        await typed(stage, pilot, "3 March")
        assert "3 March is no day" in text(stage)
        await typed(stage, pilot, "2026-03-03")
        await typed(stage, pilot, "2026-03-03")
        await settled(pilot)
        assert [run.run for run in screen(stage).desk.glance.runs] == ["r2"]
        assert "from 2026-03-03 to 2026-03-03" in text(stage)


async def with_instructor(folder: Path) -> Path:
    """A record with an instructor."""
    path = kept_record(folder)
    with StationJournal(path, CLOCK) as journal:
        People(journal).add("I-9", instructor=True, pin=PIN)
    return path


async def test_a_run_is_excused_with_a_reason_and_a_pin(tmp_path: Path) -> None:
    """From the run's page: reason, code, PIN; the event is kept, the figures are without it at once."""
    path = await with_instructor(tmp_path)
    async with reviewing(Desk(path, CLOCK)) as (stage, pilot):
        await press(pilot, "3", "enter", "e")
        for words in ("The lamp failed", "i-9", PIN):
            await typed(stage, pilot, words)
        await settled(pilot)
        assert "EXCUSED, it counts for nothing: The lamp failed" in text(stage)
        assert screen(stage).desk.glance.trainees[0].runs == 1
    with StationJournal(path, CLOCK) as journal:
        assert journal.events("r3")[-1].body == ev.RunExcused("I-9", "The lamp failed")


async def test_a_wrong_pin_keeps_nothing_and_is_said(tmp_path: Path) -> None:
    """With a wrong PIN a note is refused in a sentence, and the run is as it was."""
    path = await with_instructor(tmp_path)
    async with reviewing(Desk(path, CLOCK)) as (stage, pilot):
        await press(pilot, "3", "enter", "n")
        for words in ("Good pad", "I-9", "314159"):
            await typed(stage, pilot, words)
        await settled(pilot)
        assert "not the PIN of I-9" in told(stage)
        assert "Good pad" not in text(stage)
    with StationJournal(path, CLOCK) as journal:
        assert not any(isinstance(event.body, ev.NoteAdded) for event in journal.events("r3"))


@pytest.mark.long
async def test_a_note_is_kept(tmp_path: Path) -> None:
    """A remark stands on the run's page at once, by whom."""
    async with reviewing(Desk(await with_instructor(tmp_path), CLOCK)) as (stage, pilot):
        await press(pilot, "3", "enter", "n")
        for words in ("Good pad [work]", "I-9", PIN):
            await typed(stage, pilot, words)
        await settled(pilot)
        assert "note by I-9: Good pad [work]" in text(stage)


@pytest.mark.long
async def test_nothing_to_sign_is_said(tmp_path: Path) -> None:
    """A run whose procedure cannot be read cannot be signed: a sentence, no prompt."""
    async with reviewing(Desk(await with_instructor(tmp_path), CLOCK)) as (stage, pilot):
        await press(pilot, "3", "enter", "s")
        await settled(pilot)
        assert stage.screen is screen(stage)
        assert "as the run was opened with it" in told(stage)


async def test_keys_named_are_those_that_work() -> None:
    """On the class no note can be made, and nothing is gone back to; on a run both are named."""
    async with reviewing(StillDesk(hand_glance())) as (stage, pilot):
        row = text(stage).rstrip("\n").split("\n")[-1]
        assert "back" not in row
        assert "note" not in row
        await press(pilot, "n", "e", "s")
        assert stage.screen is screen(stage)
        await press(pilot, "h")
        assert "Keys" in text(stage)


async def test_a_record_that_goes_bad_meanwhile_is_a_sentence(tmp_path: Path) -> None:
    """Where the record is gone when it is read again, that is said, and what stood there stays."""
    path = kept_record(tmp_path)
    async with reviewing(Desk(path, CLOCK)) as (stage, pilot):
        path.unlink()
        await press(pilot, "r")
        await settled(pilot)
        assert "There is no record" in told(stage)
        assert "T-01" in text(stage)
        await press(pilot, "3", "enter")
        assert "There is no record" in text(stage)


@pytest.mark.long
async def test_runs_that_came_meanwhile_are_read_by_r(tmp_path: Path) -> None:
    """Another run kept while the review is open is there once it is read again."""
    path = kept_record(tmp_path)
    async with reviewing(Desk(path, CLOCK)) as (stage, pilot):
        with looking(path) as connection:
            more = glance(connection)
        screen(stage).desk._look = lambda: replace(more, runs=(run_seen(9), *more.runs))  # type: ignore[method-assign]
        await press(pilot, "r")
        assert "4 runs" in text(stage)


async def test_a_late_answer_to_an_older_asking_is_of_no_use() -> None:
    """Findings for filters that were changed since are not shown."""
    desk = StillDesk(hand_glance())
    late = Found(desk.asked, review=EMPTY)
    desk.look_again()
    assert not desk.take(late)
    assert desk.review is None


async def test_tab_goes_from_part_to_part() -> None:
    """Each press brings the next part of a long page to the top, and after the last one the first again."""
    async with reviewing(StillDesk(hand_glance(40, skills=3))) as (stage, pilot):
        await press(pilot, "end", "tab")
        ledger = screen(stage).query_one(Ledger)
        assert (ledger.place.spot, ledger.place.top) == (0, 0)
        await press(pilot, "tab")
        assert ledger.laid.lines[ledger.place.top].plain.startswith("Trainees by skill")
        await press(pilot, "h")
        assert "Tab  part" in text(stage)


def test_every_key_has_something_to_do() -> None:
    """No key of the table is bound twice, and whatever works is something that is done."""
    keys = [binding.key for binding in Reviewing.BINDINGS if isinstance(binding, Binding)]
    assert len(keys) == len(set(keys))
    done = Reviewing(StillDesk(hand_glance())).doings()
    assert set(done) == {action.id for action in ACTIONS} - {"page"}


async def test_the_mouse_works_too() -> None:
    """A click puts the bar there, a second one opens; a page of the top row opens by a click."""
    async with reviewing(StillDesk(hand_glance())) as (stage, pilot):
        row = next(number for number, line in enumerate(text(stage).split("\n")) if line.startswith(" T-03"))
        for _ in range(2):
            await pilot.click(Ledger, offset=(2, row - 2))
        assert screen(stage).opens == Opens("trainee", ("T-03",))
        await pilot.click(Atop, offset=(10, 0))
        assert screen(stage).opens.page == "findings"


@pytest.mark.long
@pytest.mark.parametrize("size", [(40, 10), (20, 5), (200, 60)])
async def test_any_size_will_do(size: tuple[int, int]) -> None:
    """Small and large terminals draw every page without an error, each row as wide as the terminal."""
    async with reviewing(StillDesk(hand_glance(14, skills=8)), size) as (stage, pilot):
        for key in ("2", "3", "1", "enter", "f", "h", "end", "home", "pagedown", "tab", "t"):
            await press(pilot, key)
        assert text(stage)


@pytest.mark.long
async def test_the_theme_changes() -> None:
    """t changes between dark and light, as everywhere."""
    async with reviewing(StillDesk(hand_glance())) as (stage, pilot):
        await press(pilot, "t")
        assert stage.theme == themes.LIGHT


async def test_an_invented_record_says_so_all_the_time() -> None:
    """The second row says that the record is invented, on every page."""
    async with reviewing(StillDesk(hand_glance(invented="7"))) as (stage, pilot):
        for key in ("1", "2", "3", "f", "h"):
            await press(pilot, key)
            assert "INVENTED RECORD" in text(stage).split("\n")[1]


async def test_a_word_after_class(tmp_path: Path) -> None:
    """A run of a real procedure: what can be signed, the word and the note by keys, and the event kept."""
    path, events_of = tmp_path / "record.db", whole_run()
    plan = plan_of("plate")
    with StationJournal(path, CLOCK) as journal:
        journal.keep_procedure(plan.content_hash, plan.source, plan.procedure.id, plan.procedure.revision)
        journal.append(events_of)
        People(journal).add("I-9", instructor=True, pin=PIN)
    async with reviewing(Desk(path, CLOCK)) as (stage, pilot):
        await press(pilot, "3", "enter", "s")
        await settled(pilot)
        await press(pilot, "2")
        for words in ("A haze at the edge", "I-9", PIN):
            await typed(stage, pilot, words)
        await settled(pilot)
        assert "not yet: A haze at the edge" in text(stage)
    with StationJournal(path, CLOCK) as journal:
        kept = journal.events(events_of[0].run)[-1].body
    assert isinstance(kept, ev.SignedOff)
    assert (kept.by, kept.word, kept.note) == ("I-9", "not_yet", "A haze at the edge")
