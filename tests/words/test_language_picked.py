"""The trainee picks the language: on the start screen, by `--language`, or by the environment."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from stage import Stage, press, settled, text
from test_ticket import station

from trainer import tongue
from trainer.cli import main
from trainer.run.events import RunOpened
from trainer.screens.opening import taken_up
from trainer.screens.start import Start
from trainer.screens.ticket import Wanted


@pytest.fixture(autouse=True)
def english_again() -> Iterator[None]:
    """English after each test."""
    yield
    tongue.speak("en")


async def test_the_start_screen_turns_spanish_at_once(tmp_path: Path) -> None:
    """Right on the row of languages turns title, rows and keys; what was typed stays; Left turns back."""
    with station(tmp_path) as here:
        stage = Stage(Start(here, Wanted()))
        async with stage.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "t", "minus", "7", "up")
            assert "Language" in text(stage)
            await press(pilot, "right")
            await settled(pilot)
            shown = text(stage)
            for word in ("una guía junto a la pila", "Aprendiz", "t-7", "Idioma", "Español", "salir"):
                assert word in shown
            assert here.language == "es"
            await press(pilot, "left")
            await settled(pilot)
            assert "Trainee" in text(stage)


async def test_a_run_begun_in_spanish_is_recorded_as_such(tmp_path: Path) -> None:
    """The run opened after the pick says `es`; taken up where English is spoken, it goes on in Spanish."""
    with station(tmp_path) as here:
        here.speak("es")
        run = here.open_run("plate", "T-01")
        opened = here.journal.events(run.state.run)[0].body
        assert isinstance(opened, RunOpened)
        assert opened.language == "es"
        here.speak("en")
        taken_up(here, run.state.run)
        assert tongue.language() == "es"
        assert here.language == "en"


def test_the_option_comes_before_the_environment(tmp_path: Path) -> None:
    """`--language es` speaks Spanish whatever SINKSIDE_LANG says, before the command or after its name."""
    for arguments in (["run", "--language", "es", "--plain"], ["--language", "es", "run", "--plain"]):
        said = CliRunner().invoke(
            main,
            arguments,
            env={"SINKSIDE_HOME": str(tmp_path), "SINKSIDE_LANG": "de"},
            input="T-01\n",
        )
        assert "Código del aprendiz, por ejemplo T-01" in said.stdout
        assert "Plancha negativa, dos insolaciones" in said.stdout


def test_what_is_no_code_is_refused(tmp_path: Path) -> None:
    """A word that is no code of a language is refused with what one looks like."""
    said = CliRunner().invoke(main, ["--language", "../spanish"], env={"SINKSIDE_HOME": str(tmp_path)})
    assert said.exit_code == 2
    assert "'../spanish' is not the code of a language, such as es." in said.output


def test_an_unknown_language_leaves_english(tmp_path: Path) -> None:
    """A language that neither the app nor the procedure has: everything in English, nothing fails."""
    said = CliRunner().invoke(
        main, ["run", "--language", "fi", "--plain"], env={"SINKSIDE_HOME": str(tmp_path)}, input="T-01\n"
    )
    assert said.exit_code == 0
    assert "Negative-working plate, two burns" in said.stdout


@pytest.mark.parametrize("arguments", [["map"], ["paper"]])
def test_what_is_drawn_or_printed_is_in_the_language_asked_for(arguments: list[str]) -> None:
    """The map of a procedure and its page to print take `--language` too."""
    said = CliRunner().invoke(main, ["--language", "es", *arguments, "negative-plate-two-burns"])
    assert said.exit_code == 0
    assert "Insolación" in said.stdout
