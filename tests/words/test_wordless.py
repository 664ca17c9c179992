"""In another language a trainee meets no English: a whole rehearsal, what came of it, fault practice.

What is found after each fault: tests/rehearsal/test_after_every_fault.py.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import cycle

import pytest
from test_plain import OnRun, Script
from textual.content import Content
from wordless import LANGUAGE, read_in, speaking, wordless_plan

from trainer.procedure.plan import Plan
from trainer.rehearsal import after, walk_right
from trainer.rehearsal.bench_settings import read_bench
from trainer.rehearsal.catalogue import as_text
from trainer.rehearsal.practice import Practice
from trainer.rehearsal.rehearsal import Rehearsal
from trainer.rehearsal.walker import RUN, Walker
from trainer.run.events import Guidance
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.screens import after as after_page
from trainer.screens import bench_words, handles, practice_page, sheets
from trainer.screens.page import lay_out
from trainer.screens.plain_bench import PlainRehearsal
from trainer.screens.plain_faults import PlainPractice
from trainer.screens.widgets import gauges
from trainer.screens.widgets.hazard import framed
from trainer.screens.widgets.keys import of_view, row
from trainer.screens.widgets.place import place

PLATE = "negative-plate-two-burns"
WIDTH, HEIGHT = 80, 24


@pytest.fixture(autouse=True)
def wordless() -> Iterator[None]:
    """The language without words for one test, English after it."""
    with speaking():
        yield


def begun(plan: Plan, guidance: Guidance) -> Walker:
    """A rehearsal of a trainee who speaks that language."""
    clock, journal = FakeClock(), FakeJournal()
    rehearsal = Rehearsal.open(
        plan,
        run=RUN,
        trainee="T-01",
        guidance=guidance,
        settings={name: float(one.value) for name, one in plan.procedure.settings.items()},
        journal=journal,
        clock=clock,
        language=LANGUAGE,
        conditions={"pinholes": 2},
        longest_gap=None,
    )
    return Walker(plan, rehearsal.run, clock, journal, rehearsal)


class Asking(Script):
    """Does the right thing at the bench before each line, and asks for all that can be read meanwhile.

    most: after so many lines it leaves.
    """

    def __init__(self, walker: Walker, most: int) -> None:
        super().__init__(walker.clock, [])
        self.walker, self.most = walker, most
        self.next = cycle(("look", "h", "?", "bench", "b", "pump sideways", "nonsense", "units 9999"))

    def read(self, timeout: float | None) -> str | None:
        """The next line."""
        self.waited, self.most = 0, self.most - 1
        if not self.walker.run.state.closed:
            walk_right.do_right(self.walker)
        self.lines = [next(self.next) if self.most else "q"]
        return super().read(timeout)


def said_in(guidance: Guidance, most: int) -> list[str]:
    """All that is said in a rehearsal in lines."""
    plan = wordless_plan(PLATE)
    walker = begun(plan, guidance)
    assert walker.rehearsal is not None
    asking, station = Asking(walker, most), OnRun(walker.journal, plan)
    plain = PlainRehearsal(station, walker.rehearsal, asking, walker.clock.pass_time)  # type: ignore[arg-type] # as asked
    assert plain.go() == 0
    return asking.text.splitlines()


def test_the_beginning_of_a_rehearsal_in_lines() -> None:
    """In its first lines, help and instruments among them, nothing is read."""
    said = said_in("full", 24)
    assert len(said) > 150
    assert read_in(said) == []


@pytest.mark.long
@pytest.mark.parametrize("guidance", ["full", "cued", "solo"])
def test_a_whole_rehearsal_in_lines(guidance: Guidance) -> None:
    """From the first step to the summary nothing is read that translators were not given."""
    said = said_in(guidance, 2000)
    assert len(said) > 1000
    assert read_in(said) == []


def drawn(walker: Walker) -> Iterator[Content]:
    """What the screen of a rehearsal draws now, as far as it is words."""
    assert walker.rehearsal is not None
    view, bench = walker.run.view(), walker.rehearsal.bench()
    if view.hazard:
        yield framed(view.hazard, ("~", ""), WIDTH, HEIGHT)[0]
    yield place(view, WIDTH - 2)
    yield row(of_view(view, WIDTH), WIDTH - 2)[0]
    for at in (name := handles.ring(bench, view, everything=True)):
        yield from lay_out(handles.blocks(bench, name, at), WIDTH - 2, HEIGHT * 4).lines
    for blocks in (sheets.sheet(view), bench_words.news(bench)):
        yield from lay_out(blocks, WIDTH - 2, HEIGHT).lines
    yield from gauges.rows(bench.gauges, WIDTH)
    yield Content(bench_words.time_words(bench))


@pytest.mark.long
def test_a_whole_rehearsal_on_the_screen() -> None:
    """Prompt, place, keys, sheet, controls, instruments and news, at every step; then the plate's page."""
    plan = wordless_plan(PLATE)
    walker, read = begun(plan, "full"), dict[str, None]()
    assert walker.rehearsal is not None
    while not walker.run.state.closed:
        read |= dict.fromkeys(line for one in drawn(walker) for line in read_in(one.plain.splitlines()))
        walk_right.do_right(walker)
    page = after_page.page(walker.rehearsal.sheet(), 1, after.told(walker.rehearsal, walker.events).found)
    read |= dict.fromkeys(read_in(line.plain for line in lay_out(page, WIDTH, 200).lines))
    assert list(read) == []


def test_the_catalogue_of_faults() -> None:
    """Every fault is told without English; only its id is left, for who writes to it."""
    listed = [
        line.replace(f"({one})", "")
        for line in as_text().splitlines()
        for one in [line.partition("(")[2].rstrip(")")]
    ]
    assert len(listed) > 200
    assert read_in(listed) == []


def practised(seed: int) -> list[str]:
    """What is said in fault practice: measures, a right and a wrong cause, remedies, another plate."""
    clock = FakeClock()
    practice = Practice.open(
        run="p1",
        trainee="T-01",
        journal=FakeJournal(),
        clock=clock,
        settings=read_bench(),
        seed=seed,
        language=LANGUAGE,
    )
    script = Script(clock, ["m", "1", "m", "x", "1", "9", "2", "3", "m", "2", "1", "2", "", "h", "q"])
    PlainPractice(practice, script, clock.pass_time).go()
    view = practice.view()
    blocks = [
        *practice_page.page(view, ""),
        *practice_page.measures(view, [one.key for one in view.measures], 0),
    ]
    return [
        *script.said,
        practice_page.head(view).plain,
        *(one.plain for one in lay_out(blocks, WIDTH, 200).lines),
    ]


@pytest.mark.long
def test_a_plate_of_fault_practice() -> None:
    """Question, answers, measures and what came of an answer: nothing is read."""
    assert read_in(practised(11)) == []


@pytest.mark.long
def test_many_plates_of_fault_practice() -> None:
    """The same over a dozen seeds, so that most faults come."""
    assert read_in(line for seed in range(12) for line in practised(seed)) == []
