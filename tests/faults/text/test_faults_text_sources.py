"""Where texts enter: a hostile one is harmless behind every place, and one that does not clean is caught."""

from __future__ import annotations

import ast
import importlib
from pathlib import Path

import pytest
from hostile_procedure import filled_fields, procedure, text_fields, write
from hostile_sources import CLEANING, ELSEWHERE
from hostile_texts import CONTROLS, MARK, MARKS, SHAPES, leaks

import trainer
from trainer.procedure.load import load
from trainer.procedure.text import clean, one_line

ROOM = Path(trainer.__file__).parent


def cleaning_modules() -> set[str]:
    """Every module of the program that takes a cleaning function from `procedure.text`."""
    found = set()
    for file in ROOM.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module == "trainer.procedure.text":
                names = {alias.name for alias in node.names}
                if names & {"clean", "one_line"}:
                    found.add(".".join(file.relative_to(ROOM.parent).with_suffix("").parts))
    return found


def test_every_place_that_cleans_is_in_the_table() -> None:
    """A module that cleans has a probe here, or a reason why not; what is in the table is in the program."""
    assert cleaning_modules() == CLEANING.keys() | ELSEWHERE.keys(), (
        "add a probe to tests/faults/text/hostile_sources.py"
    )


@pytest.mark.parametrize("name", CONTROLS)
def test_cleaning_leaves_nothing_that_a_terminal_obeys(name: str) -> None:
    """`clean` and `one_line` leave nothing of a control, a direction mark or an unseen character."""
    text = CONTROLS[name]
    assert leaks(text)
    assert not leaks(clean(text))
    assert not leaks(one_line(text))


@pytest.mark.parametrize("text", [*MARKS, *SHAPES.values()])
def test_cleaning_leaves_what_is_only_odd(text: str) -> None:
    """Markup, long, wide, combining and joined characters stay as they were written."""
    assert clean(text) == text
    assert one_line(text) == text
    assert not leaks(text)


@pytest.mark.parametrize("module", CLEANING)
@pytest.mark.sweep(quick=15)
def test_a_hostile_text_is_harmless_behind_its_source(module: str, tmp_path: Path) -> None:
    """What comes out where a hostile text went in shows it, and has nothing of it that a terminal obeys."""
    came = CLEANING[module](tmp_path)
    assert MARK in came
    assert leaks(came) == []


@pytest.mark.parametrize("module", CLEANING)
@pytest.mark.sweep(quick=15)
def test_a_source_that_does_not_clean_is_caught(
    module: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the cleaning taken out of one module, a control comes through and is found."""
    place = importlib.import_module(module)
    for name in {"clean", "one_line"} & vars(place).keys():
        monkeypatch.setattr(place, name, str)
    assert leaks(CLEANING[module](tmp_path))


def test_every_text_of_a_procedure_is_hostile_here(tmp_path: Path) -> None:
    """The hostile procedure has a text in every field of the format that holds one, and passes the checks."""
    plan = load(write(tmp_path, f"{MARK} {' '.join(MARKS)}")).require()
    assert set(text_fields()) <= filled_fields(plan.procedure)
    assert procedure("a") != procedure("b")


@pytest.mark.parametrize("coded", [True, False])
@pytest.mark.parametrize("name", CONTROLS)
def test_a_procedure_with_a_control_is_refused(name: str, tmp_path: Path, *, coded: bool) -> None:
    """As it is or as a code in double quotes: the file is refused, and what is said of it is harmless."""
    from trainer.procedure.checking import check_files

    file = write(tmp_path, f"{MARK}{CONTROLS[name]}", coded=coded)
    checked = check_files([file])
    assert checked.exit_code == 1
    assert any(problem.code in {"Y16", "Y01"} for problem in checked.files[0].problems)
    assert leaks(checked.as_text()) == []
    assert leaks(checked.as_json()) == []
