"""The pages over a class made by driving the real run: everything opens, fits, and agrees with the tables."""

from __future__ import annotations

from collections import Counter
from threading import Event

import pytest

from trainer.insight.at_step import at_step
from trainer.insight.glance import looking
from trainer.insight.results import Wanted
from trainer.rehearsal.invented.making import make_class
from trainer.rehearsal.invented.writing import write
from trainer.run.clock import SystemClock
from trainer.screens.review.desk import Desk
from trainer.screens.review.finding import find
from trainer.screens.review.laying import lay
from trainer.screens.review.leaf import Opens, Size
from trainer.screens.review.pages import PAGES

pytestmark = pytest.mark.long
WORK = ("steps", "hazards", "questions", "stations", "waste", "agreement")
OURS = (*WORK, "step", "hazard", "question", "station")
SIZES = (Size(40, 8), Size(78, 21), Size(118, 37))
MOST = 30
"""Pages of a kind that are looked at: there are hundreds of steps."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    """A desk on an invented class of forty wet runs, its findings worked out."""
    path = tmp_path_factory.mktemp("class") / "class.db"
    write(make_class(7, 40, rehearsals=False), path)
    made = Desk(path, SystemClock())
    found = find(path, made.now, Wanted(), made.asked, None, dropped=Event())
    assert made.take(found), "nothing else was asked for"
    assert made.review is not None, made.state
    return made


def test_every_page_of_the_work_opens_all_that_it_names(desk: Desk) -> None:
    """From the six pages on, whatever can be opened is opened; no row is wider than its room, at any size."""
    waiting = [Opens(page) for page in WORK]
    seen: set[tuple[str, tuple[str, ...]]] = set()
    kinds = Counter[str]()
    while waiting:
        opens = waiting.pop(0)
        if (opens.page, opens.keys) in seen or kinds[opens.page] == MOST:
            continue
        seen.add((opens.page, opens.keys))
        kinds[opens.page] += 1
        for size in SIZES if opens.page in OURS else SIZES[1:2]:
            laid = lay(PAGES[opens.page].make(desk, opens, size), size.width)
            assert laid.lines, opens
            assert max(line.cell_length for line in laid.lines) <= size.width, opens
            if opens.page in OURS:
                waiting += [spot.opens for spot in laid.spots]
    assert {*OURS, "rests", "acts", "trainee"} <= kinds.keys()


def test_two_ways_to_the_same_figures_agree(desk: Desk) -> None:
    """What the frames say of each step is what its rows in the tables come to, person by person."""
    review = desk.found
    with looking(desk.path) as connection:
        for row in review.steps:
            people = at_step(connection, Wanted(), row.procedure, row.step, None).people
            told = (
                sum(one.misses.k for one in people),
                sum(one.misses.n for one in people),
                sum(one.hints for one in people),
                sum(one.spoiled for one in people),
            )
            assert told == (row.misses.k, row.misses.n, row.hints, row.spoiled), row.step


@pytest.mark.parametrize("wanted", [Wanted(trainees=("T-02", "T-05")), Wanted(kind="rehearsal")])
def test_they_agree_on_a_part_of_the_class_too(desk: Desk, wanted: Wanted) -> None:
    """The same with a filter; a kind of run that there is none of leaves sentences, not errors."""
    part = Desk(desk.path, SystemClock())
    part.wanted = wanted
    found = find(desk.path, part.now, wanted, part.asked, desk.record, dropped=Event())
    assert part.take(found)
    with looking(desk.path) as connection:
        for row in part.found.steps:
            people = at_step(connection, wanted, row.procedure, row.step, None).people
            assert sum(one.misses.n for one in people) == row.misses.n, row.step
    for page in WORK:
        assert PAGES[page].make(part, Opens(page), SIZES[1]).items
