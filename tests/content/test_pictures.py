"""The drawings beside the acts."""

from __future__ import annotations

import re

import pytest
from shipped import IDS, file_of, plan

from trainer import places
from trainer.procedure.pictures import picture_problem, read_picture

NAMES = sorted(
    {step.picture for procedure in IDS for step in plan(procedure).steps.values() if step.picture is not None}
)


WORDED = sorted(
    {step.picture for step in plan("negative-plate-two-burns").steps.values() if step.picture is not None}
)
SPANISH = "áéíóúñ¿ª"


def test_enough_steps_have_a_picture() -> None:
    """At least 12 steps of the two-burn procedure have a drawing."""
    whole = plan("negative-plate-two-burns")
    assert len([step for step in whole.steps.values() if step.picture]) >= 12


@pytest.mark.parametrize("name", NAMES)
def test_a_picture_fits_beside_the_act(name: str) -> None:
    """The drawing can be shown, is at most 36 by 10 cells, and is no empty frame."""
    assert picture_problem(file_of(IDS[0]), name) is None
    lines = read_picture(file_of(IDS[0]), name)
    assert lines is not None
    assert len(lines) <= 10
    assert max(len(line) for line in lines) <= 36
    assert sum(character.isalpha() for line in lines for character in line) >= 10


def test_no_picture_is_left_over() -> None:
    """Every drawing in the folder belongs to a step."""
    drawn = {file.name.split(".")[0] for file in (places.procedures_dir() / "pictures").glob("*.txt")}
    assert drawn == set(NAMES)


@pytest.mark.parametrize("name", WORDED)
def test_a_picture_is_drawn_in_spanish_too(name: str) -> None:
    """In Spanish each drawing of the two-burn procedure is the same drawing with Spanish words, and fits."""
    file = file_of(IDS[0])
    english, spanish = read_picture(file, name, "en"), read_picture(file, name, "es-MX")
    assert picture_problem(file, name, "es") is None
    assert english is not None
    assert spanish is not None
    assert english != spanish
    assert len(spanish) <= 10
    assert max(len(line) for line in spanish) <= 36
    assert [lines_of(row) for row in spanish] == [lines_of(row) for row in english]


def lines_of(row: str) -> str:
    """What is drawn in a row, without its words and blanks; a line under words may be longer or shorter."""
    return re.sub("─+", "─", "".join(sign for sign in row if "─" <= sign <= "▟" or sign in "●▪▬▼"))


def test_pictures_are_drawn_with_characters_of_every_terminal() -> None:
    """ASCII, box lines, blocks and a few arrows and dots only: one cell each in every font."""
    allowed = set("●·▪▬▼")
    for file in (places.procedures_dir() / "pictures").glob("*.txt"):
        odd = {
            character
            for character in file.read_text(encoding="utf-8")
            if not (
                " " <= character <= "~"
                or character == "\n"
                or "─" <= character <= "▟"
                or character in SPANISH
                or character in allowed
            )
        }
        assert odd == set(), file.name
