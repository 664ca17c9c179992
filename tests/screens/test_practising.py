"""Fault practice on the screen: looking, measuring one by one, naming cause and remedy, the next plate."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import pytest
from bench_stand_ins import HandSight, HandWork
from stage import Stage, compare, press, text

from trainer.rehearsal.practice_view import Measured, PracticeOption, PracticeView
from trainer.run.ports import JournalTrouble
from trainer.run.refusals import Refused, TooSoon
from trainer.screens import looking
from trainer.screens.practising import Practising
from trainer.screens.widgets.keys import Keys

NAMES = (
    *("solid_step", "ghost_steps", "background", "uneven", "tone_50", "smallest_dot", "growth", "position"),
    *("register_error", "pinholes", "gum"),
)
CAUSE = PracticeView(
    plate=3,
    job="Tide-table card",
    film="Black",
    width=250.0,
    height=400.0,
    asks="cause",
    ask="What is wrong with this plate?",
    options=tuple(
        PracticeOption(f"c{number}", words)
        for number, words in enumerate(("Poor contact", "Too little light", "[b]Fogged[/b]"))
    ),
    measures=tuple(PracticeOption(name, name) for name in NAMES),
    measured=(),
    told=(),
    right=2,
    asked=4,
    acts=("pick", "measure", "close"),
)
REMEDY = replace(
    CAUSE,
    asks="remedy",
    ask="What do you do about it?",
    told=("No: Too little light. The wedge is short and fine dots are gone.",),
    options=(
        PracticeOption("r1", "Read the card before you set the units."),
        PracticeOption("r2", "Pull again."),
    ),
)
NEXT = replace(
    CAUSE,
    asks="next",
    ask="",
    options=(),
    told=("Right.", "Here it was: the integrator was set to 12 units."),
    acts=("next", "measure", "close"),
)


class HandPractice:
    """Shows a view by hand; every act is noted in `did` and may change what is shown."""

    def __init__(self, view: PracticeView = CAUSE) -> None:
        self.shows = view
        self.did: list[tuple[object, ...]] = []
        self.fails: Exception | None = None
        self.then: Callable[[HandPractice], None] | None = None
        self.job = SimpleNamespace(width=250.0, height=400.0)
        self.settings = None
        self.film_is_out = False

    def view(self) -> PracticeView:
        """What it was told to show."""
        return self.shows

    def work(self) -> HandWork:
        """The plate, another mark for each."""
        return HandWork("#" if self.shows.plate == 3 else "%", "gummed")

    def film(self) -> HandWork | None:
        """The film, while it is out."""
        return HandWork("o", "film") if self.film_is_out else None

    def swap(self) -> None:
        """Film or plate."""
        self.film_is_out = not self.film_is_out

    def _do(self, *act: object) -> None:
        if self.fails:
            fails, self.fails = self.fails, None
            raise fails
        self.did.append(act)
        if self.then:
            self.then(self)

    def measure(self, name: str) -> None:
        """Noted; the value stands then."""
        self._do("measure", name)
        left = tuple(option for option in self.shows.measures if option.key != name)
        taken = Measured(name, name, "5.2 %", "at most 1 %")
        self.shows = replace(self.shows, measures=left, measured=(*self.shows.measured, taken))

    def pick(self, place: int) -> None:
        """Noted."""
        self._do("pick", place)

    def next(self) -> None:
        """Noted."""
        self._do("next")

    def close(self) -> None:
        """Noted."""
        self._do("close")


@pytest.fixture(autouse=True)
def _sight(monkeypatch: pytest.MonkeyPatch) -> None:
    """The plate is drawn by hand."""
    monkeypatch.setattr(looking, "sight", HandSight())


def on_stage(view: PracticeView = CAUSE) -> tuple[Stage, HandPractice]:
    """A practice by hand, and its stage."""
    practice = HandPractice(view)
    return Stage(Practising(practice)), practice  # type: ignore[arg-type] # as much as is asked for


@pytest.mark.parametrize(
    ("view", "keys", "did"),
    [
        (CAUSE, ["2"], [("pick", 2)]),
        (CAUSE, ["4", "9", "space", "c"], []),
        (CAUSE, ["r", "1", "3"], [("measure", "solid_step"), ("measure", "background")]),
        (CAUSE, ["r", "c", "2"], [("measure", "gum")]),
        (CAUSE, ["r", "c", "3"], []),
        (CAUSE, ["r", "c", "c", "1"], [("measure", "solid_step")]),
        (
            CAUSE,
            ["r", "1", "2", "space", "1"],
            [("measure", "solid_step"), ("measure", "ghost_steps"), ("pick", 1)],
        ),
        (CAUSE, ["i", "2", "r", "c", "space", "2"], [("pick", 2)]),
        (REMEDY, ["1"], [("pick", 1)]),
        (NEXT, ["1", "space"], [("next",)]),
        (NEXT, ["enter"], [("next",)]),
        (CAUSE, ["q"], [("close",)]),
        (NEXT, ["f10"], [("close",)]),
    ],
)
@pytest.mark.sweep(quick=5)
async def test_a_key_does_its_act(view: PracticeView, keys: list[str], did: list[tuple[object, ...]]) -> None:
    """Digits answer, or take measures where those are shown; nothing answers while the plate is open."""
    stage, practice = on_stage(view)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, *keys)
        assert practice.did == did


GOLDEN: dict[str, tuple[PracticeView, list[str]]] = {
    "cause": (CAUSE, []),
    "measures": (CAUSE, ["r", "3", "5"]),
    "remedy": (REMEDY, ["r", "3", "space"]),
    "next": (NEXT, []),
}


@pytest.mark.parametrize(
    ("name", "cols", "rows"), [*((name, 80, 24) for name in GOLDEN), ("remedy", 120, 40)]
)
async def test_practice_looks_as_it_did(name: str, cols: int, rows: int) -> None:
    """Question, measures, remedy and result look as they did when they were looked at."""
    view, keys = GOLDEN[name]
    stage, _ = on_stage(view)
    async with stage.run_test(size=(cols, rows)) as pilot:
        await pilot.pause()
        await press(pilot, *keys)
        await pilot.pause()
        compare(f"practice-{name}-{cols}", text(stage))


@pytest.mark.parametrize("told", [Refused("Pick from 1 to 3."), JournalTrouble("The record is full.")])
async def test_what_is_refused_is_said(told: Exception) -> None:
    """A refusal, or a record that cannot be written, stands on the screen, and the act can be done again."""
    stage, practice = on_stage()
    practice.fails = told
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "1")
        assert str(told) in text(stage)
        await press(pilot, "1")
        assert practice.did == [("pick", 1)]
        assert str(told) not in text(stage)


async def test_a_key_too_soon_is_not_taken() -> None:
    """A key that was meant for the question before does nothing and says nothing."""
    stage, practice = on_stage()
    practice.fails = TooSoon(0.3)
    async with stage.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        before = text(stage)
        await press(pilot, "1")
        assert practice.did == []
        assert text(stage) == before


async def test_another_plate_is_another_picture() -> None:
    """With the next plate the picture is drawn anew and its measures are to be taken again."""
    stage, practice = on_stage(NEXT)

    def other(moved: HandPractice) -> None:
        moved.shows = replace(CAUSE, plate=4)

    practice.then = other
    async with stage.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        assert "####" in text(stage)
        await press(pilot, "space")
        await pilot.pause()
        assert "####" not in text(stage)
        assert "%%%%" in text(stage)


async def test_leaving_where_the_record_fails_stays() -> None:
    """Where the end cannot be kept the screen stays and says so; the next try leaves."""
    stage, practice = on_stage()
    practice.fails = JournalTrouble("The record is full.")
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "q")
        assert stage.results == []
        await press(pilot, "q")
        assert stage.results == [None]


async def test_keys_can_be_clicked_and_help_names_them() -> None:
    """A click on a key of the row is that key, and help names what works now first."""
    stage, practice = on_stage()
    async with stage.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        row = stage.screen.query_one(Keys).shown
        await pilot.click(offset=(1 + row.index(" r "), 23))
        assert "Take a measure" in text(stage)
        await press(pilot, "2", "h")
        await pilot.pause()
        shown = text(stage)
        assert shown.index("Keys that work now") < shown.index("Picks the answer with that digit.")
        await press(pilot, "space", "space")
        assert practice.did == [("measure", "ghost_steps")]


@pytest.mark.parametrize(("size", "opened"), [((80, 24), True), ((120, 40), False)])
async def test_the_jobs_film_can_be_looked_at(size: tuple[int, int], opened: bool) -> None:
    """One key lays the film there and brings the plate back; where there is no room, it gets all of it."""
    stage, practice = on_stage()
    async with stage.run_test(size=size) as pilot:
        await press(pilot, "v")
        assert practice.film_is_out
        screen = stage.screen
        assert isinstance(screen, Practising)
        assert screen.opened == opened
        assert "on the light table" in text(stage)
        await press(pilot, "v")
        assert "gummed" in text(stage)
        assert practice.did == []
