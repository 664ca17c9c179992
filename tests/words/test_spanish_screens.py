"""The app in Spanish: nothing English is left on the way through a plate, and all of it fits 80 by 24."""

from __future__ import annotations

import ast
import inspect
from collections.abc import Iterator

import pytest
from stage import Stage, settled, text
from stand_ins import VIEWS, ViewRun, ViewStation
from test_catalogues import forms, messages
from test_plain import OnRun, Script
from textual.content import Content
from walked import PLAN, Spanish

from trainer import tongue
from trainer.bench import apparatus_acts
from trainer.procedure.text import in_language
from trainer.procedure.vocabulary import CONTROLS
from trainer.rehearsal import bench_terms, retold
from trainer.run.events import Guidance, RunClosed
from trainer.run.fakes import FakeSignOff
from trainer.run.view import RunView
from trainer.screens import actions, figures, letters, sheets, words
from trainer.screens.help import Help
from trainer.screens.page import lay_out
from trainer.screens.plain import PlainRun
from trainer.screens.room import shortfalls
from trainer.screens.widgets.countdown import countdown
from trainer.screens.widgets.hazard import framed
from trainer.screens.widgets.keys import of_view, row
from trainer.screens.widgets.place import place
from trainer.screens.working import Working

WIDTH, HEIGHT = 80, 24
SAME = {"sign", "speed", "narrow"}
"""Actions whose words are the same in Spanish: instructor, and figures."""
LEVELS: list[Guidance] = ["full", "cued", "solo"]


@pytest.fixture(autouse=True)
def spanish() -> Iterator[None]:
    """Spanish for one test, English after it."""
    tongue.speak("es")
    yield
    tongue.speak("en")


def english() -> list[str]:
    """Sentences and phrases of the app in English that have no values in them and no like in Spanish."""
    found = [message.id for message in messages("es") if isinstance(message.id, str)]
    spoken = {said for message in messages("es") for said in forms(message)}
    return [one for one in found if len(one) > 5 and "{" not in one and one not in spoken]


def left_in_english(shown: str) -> list[str]:
    """What of the app's English stands in a text."""
    return [phrase for phrase in english() if phrase in shown]


@pytest.mark.parametrize("guidance", LEVELS)
def test_a_whole_plate_in_lines_in_spanish(guidance: Guidance) -> None:
    """From the first act to the summary acts and safety words are Spanish, and no English phrase is said."""
    spanish = Spanish(guidance)

    class Right(Script):
        """The right line for whatever is asked."""

        def read(self, timeout: float | None) -> str | None:
            if not self.lines:
                spanish.clock.pass_time(1)
                spanish.wait_over()
                self.lines = spanish.typed()
            self.waited = 10
            return super().read(timeout)

    script, station = Right(spanish.clock, []), OnRun(spanish.journal, PLAN)
    station.sign_off = FakeSignOff({"I-1": "271828"})
    plain = PlainRun(station, spanish.run, script, sleep=spanish.clock.pass_time)  # type: ignore[arg-type] # as asked
    assert plain.go() == 0
    closed = spanish.journal.events("run-1")[-1].body
    assert isinstance(closed, RunClosed)
    assert closed.how == "done"
    passed = {one.step for one in spanish.run.state.path}
    acts = [in_language(PLAN.steps[step].do, "es") for step in passed if PLAN.steps[step].do]
    assert [act for act in acts if act not in script.text] == []
    for word in ("PELIGRO", "ADVERTENCIA", "PRECAUCIÓN", "--- Terminada: Plancha negativa, dos insolaciones"):
        assert word in script.text
    assert left_in_english(script.text) == []


def pieces(view: RunView) -> Iterator[tuple[str, Content]]:
    """What the run screen draws of a view at 80 by 24, by its part."""
    if view.hazard:
        yield "safety prompt", framed(view.hazard, ("b mirar atrás", ""), WIDTH, HEIGHT)[0]
    yield "place", place(view, WIDTH - 2)
    yield "keys", row(of_view(view, WIDTH), WIDTH - 2)[0]
    if view.wait:
        yield "figures", countdown(view.wait, WIDTH - 2)
    for line in lay_out(sheets.sheet(view), WIDTH - 2, HEIGHT).lines:
        yield "sheet", line


@pytest.mark.parametrize("guidance", LEVELS)
def test_every_moment_fits_80_columns(guidance: Guidance) -> None:
    """No row of any moment of a whole plate is wider than the screen, and step, plate and keys are whole."""
    for view in Spanish(guidance).views():
        for part, content in pieces(view):
            for line in content.split("\n", allow_blank=True):
                assert line.cell_length <= WIDTH, (view.step, part, line.plain)
            if part == "place":
                assert not content.plain.endswith("…"), (view.step, content.plain)
        assert all("stand behind the key ?" in short for short in shortfalls(view)), view.step
        named = of_view(view, WIDTH)
        assert len(row(named, WIDTH - 2)[1]) == len(named), [said for _, _, said in named]
        assert named[-1][2] == "ayuda"


def test_a_safety_prompt_fits_whole() -> None:
    """Every Spanish safety prompt stands whole in 80 by 24, with its word in large letters."""
    for view in Spanish().views():
        if view.hazard:
            drawn = framed(view.hazard, ("", ""), WIDTH, HEIGHT)[0]
            word = words.signal_word(view.hazard.signal)
            assert "Abajo  más" not in drawn.plain, view.step
            assert drawn.plain.count(word) == 1, view.step
            sizes = [draw(word, gap=gap)[0] for draw in (figures.big, figures.half) for gap in (1, 2)]
            assert any(first in drawn.plain for first in sizes), view.step


def test_spanish_acts_are_drawn_in_large_letters() -> None:
    """Every letter of every Spanish act has a large shape."""
    acts = "".join(in_language(step.do, "es") for step in PLAN.steps.values())
    assert set(acts) - set(letters.SHAPES) == set()


def test_every_key_and_its_help_is_spanish() -> None:
    """The words of every action, and its sentence of help, have a translation."""
    for action in actions.ACTIONS:
        assert tongue.spoken(action.more) != action.more
        assert not action.words or tongue.spoken(action.words) != action.words or action.id in SAME


def test_every_control_of_the_bench_has_its_word() -> None:
    """Whatever a control is called and wherever it can be put, the screens have a Spanish word for it."""
    for name, control in CONTROLS.items():
        for key in (name, *control.options):
            said = retold.words(key)
            assert (said.capitalize() if key == name else said) in bench_terms.KNOWN


def test_every_refusal_of_the_bench_has_its_words() -> None:
    """Whatever sentence the bench refuses with stands in the table that is translated."""
    tree = ast.parse(inspect.getsource(apparatus_acts))
    said = [
        call.args[0]
        for call in ast.walk(tree)
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == "Refusal"
    ]
    plain = [str(one.value) for one in said if isinstance(one, ast.Constant)]
    joined = [one for one in said if not isinstance(one, ast.Constant)]
    assert len(plain) > 15
    assert set(plain) <= set(bench_terms.REFUSALS)
    assert len(joined) == 1  # of the vacuum on the glass: with its pump on, and off
    assert sum("vacuum on the glass" in one for one in bench_terms.REFUSALS) == 2


def test_a_rehearsal_refuses_in_spanish() -> None:
    """The lamp is not lit under open glass, and the sentence that says so is Spanish."""
    assert tongue.spoken("The glass is open, and the interlock keeps the light off.") == (
        "El vidrio está abierto y el enclavamiento mantiene apagada la luz."
    )


@pytest.mark.parametrize(
    "name", ["countdown-due", "hazard", "offer", "order", "paused", "reading-miss", "sign", "wrong"]
)
async def test_no_screen_shows_english(name: str) -> None:
    """On the run screen at 80 by 24, whatever is asked, none of the app's own words is English."""
    station = ViewStation(FakeSignOff({}))
    stage = Stage(Working(station, ViewRun(VIEWS[name])))  # type: ignore[arg-type] # as much of both as asked for
    async with stage.run_test(size=(WIDTH, HEIGHT)) as pilot:
        await settled(pilot)
        shown = text(stage)
        own = " ".join(str(part) for part in (VIEWS[name],))
        assert [phrase for phrase in left_in_english(shown) if phrase not in own] == []


async def test_the_help_page_is_spanish() -> None:
    """The page of all keys holds no English phrase of the app."""
    stage = Stage(Help(None))
    async with stage.run_test(size=(WIDTH, 120)) as pilot:
        await settled(pilot)
        assert left_in_english(text(stage)) == []
        assert "Teclas en la pantalla de inicio" in text(stage)
