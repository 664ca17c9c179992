"""The drawings beside the acts."""

from __future__ import annotations

import pytest
from shipped import IDS, file_of, plan

from trainer import places
from trainer.procedure.pictures import picture_problem, read_picture

NAMES = sorted(
    {step.picture for procedure in IDS for step in plan(procedure).steps.values() if step.picture is not None}
)


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
    drawn = {file.stem for file in (places.procedures_dir() / "pictures").glob("*.txt")}
    assert drawn == set(NAMES)


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
                or character in allowed
            )
        }
        assert odd == set(), file.name
