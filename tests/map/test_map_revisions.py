"""What is told about two revisions of a procedure: each kind of change, under its heading, and no more."""

from __future__ import annotations

import json
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from map_kit import FILES, SMALL, procedure

from trainer.procedure.load import load_bytes
from trainer.procedure.model import Procedure
from trainer.procedure.render import cells
from trainer.procedure.revisions.compare import compare
from trainer.procedure.revisions.moved import moved

SOURCE = SMALL.read_text(encoding="utf-8")
TAKE_PLATE = """      - id: take-plate
        do: Take one plate by its edges.
        key_points: [Slip sheet off only now, Coated side up]
        why: Room light fogs the coating.
"""
NEW_STEP = """      - id: dim-the-light
        do: Dim the light of the room.
"""


def changed(old: str, new: str) -> Procedure:
    """The small procedure with one thing put otherwise; it must still be clean."""
    assert SOURCE.count(old) == 1, old
    return load_bytes(SOURCE.replace(old, new).encode(), "small.yaml").require().procedure


@pytest.mark.parametrize(
    ("old", "new", "group", "where", "said"),
    [
        ("value: 24, unit: units", "value: 26, unit: units", "limits", "exposure", "another value"),
        ("between: [5, 80]", "between: [5, 70]", "limits", "exposure", "other limits"),
        ("label: Least vacuum", "label: Lowest vacuum", "words", "vacuum_floor", "label of the setting"),
        ("for: 1 min 30 s", "for: 2 min", "limits", "let-it-draw", "the wait"),
        ("at_most: 90 s", "at_most: 80 s", "limits", "let-it-soften", "the wait"),
        (
            "plausible: [1, 21]",
            "plausible: [1, 20]",
            "limits",
            "read-wedge",
            "what counts as a slip of the keys",
        ),
        (
            "ok: readings.vacuum >= settings.vacuum_floor",
            "ok: readings.vacuum > settings.vacuum_floor",
            "limits",
            "read-gauge",
            "when the reading is good",
        ),
        ("do: Turn the plate over.", "do: Turn it over.", "words", "turn-over", "the act"),
        ("- Frame locked", "- Frame closed and locked", "words", "draw-down", "key point"),
        ("why: Room light fogs", "why: Daylight fogs", "words", "take-plate", "the reason"),
        ("es: Cierre el cristal y", "es: Cierra el cristal y", "words", "draw-down", "the act, in es only"),
        ("signal: warning", "signal: danger", "hazards", "mind-the-glass", "the signal word"),
        ("can crush fingers", "can crush hands", "hazards", "mind-the-glass", "the harm"),
        ("- Both hands on the rim\n", "", "hazards", "mind-the-glass", "rule taken out"),
        ("- The local code,", "- The law of the place,", "hazards", "", "caution"),
        ("right: 40", "right: 39", "questions", "how-many-units", "the right answer"),
        ("ask: In which order do they", "ask: How do they", "questions", "which-order", "the question"),
        ("b: Seconds are hard", "b: Seconds are too hard", "questions", "why-units", "answer"),
        ("to: stop", "to: read-wedge", "ways", "sign", "its ways on"),
        ("bench: {pump: on}", "bench: {pump: off}", "unseen", "draw-down", "what a rehearsal operates"),
        ("right: 22", "right: 23", "unseen", "read-gauge", "what a right run reads or answers"),
        ("solo_runs: 3", "solo_runs: 4", "about", "", "who may work alone"),
        ("title: Last look", "title: The last look", "words", "look", "title of the stage"),
        ("amount: 5, unit: mL", "amount: 6, unit: mL", "about", "glass cleaner", "another supply"),
    ],
)  # fmt: skip
def test_one_change_is_told_as_one_change(old: str, new: str, group: str, where: str, said: str) -> None:
    """One thing put otherwise in a file is told once, under its heading, at its step or setting."""
    (change,) = compare(procedure(SMALL), changed(old, new)).changes
    assert (change.group, change.where, change.said) == (group, where, said)


def test_the_same_revision_twice_has_no_changes() -> None:
    """Nothing is told where nothing is different."""
    for file in FILES:
        found = compare(procedure(file), procedure(file))
        assert found.changes == ()
        assert "nothing that the file says is different" in found.as_text()


def test_a_step_that_is_new_or_gone_is_told_with_its_place() -> None:
    """A new step is told with its act and what it comes after; the other way round it was taken out."""
    old, new = procedure(SMALL), changed(TAKE_PLATE, TAKE_PLATE + NEW_STEP)
    (came,) = compare(old, new).changes
    assert (came.group, came.where, came.new) == ("steps", "dim-the-light", "Dim the light of the room.")
    assert came.said == "new step, after take-plate (stage Vacuum)"
    (went,) = compare(new, old).changes
    assert (went.where, went.said, went.old) == ("dim-the-light", "step taken out", came.new)


def test_a_step_that_stands_elsewhere_has_moved() -> None:
    """A step put after another is told as moved, once, and not as gone and new."""
    lines = SOURCE.replace(TAKE_PLATE, "").replace(
        "new_plate_from: take-plate", "new_plate_from: mind-the-glass"
    )
    placed = lines.replace("      - id: let-it-draw\n", TAKE_PLATE + "      - id: let-it-draw\n")
    new = load_bytes(placed.encode(), "small.yaml").require().procedure
    found = [change for change in compare(procedure(SMALL), new).changes if change.group == "moved"]
    assert [(change.where, change.said) for change in found] == [
        ("take-plate", "after draw-down (stage Vacuum)")
    ]


def test_a_step_with_another_id_is_the_same_step() -> None:
    """Another id alone is told as such, and not as a step gone and a step come."""
    named = SOURCE.replace("turn-over", "other-side-up")
    new = load_bytes(named.encode(), "small.yaml").require().procedure
    (change,) = compare(procedure(SMALL), new).changes
    assert (change.group, change.old, change.new) == ("unseen", "turn-over", "other-side-up")


@given(st.permutations(range(6)))
def test_no_fewer_could_be_told_to_have_moved(order: list[int]) -> None:
    """The rest keeps its order, and no smaller set of things lifted out would do (tried, all of them)."""
    old, new = [str(one) for one in range(6)], [str(one) for one in order]
    told = moved(old, new)
    rest = [one for one in new if one not in told]
    assert rest == sorted(rest)
    for fewer in combinations(old, max(0, len(told) - 1)):
        left = [one for one in new if one not in fewer]
        assert not told or left != sorted(left)


def test_the_text_fits_and_json_says_the_same() -> None:
    """As text no line is over 80 cells; as JSON the same changes come in the same order."""
    found = compare(procedure(FILES[1]), procedure(FILES[2]))
    assert max(cells(line) for line in found.as_text().split("\n")) <= 80
    read = json.loads(found.as_json())
    assert [change["said"] for change in read["changes"]] == [change.said for change in found.changes]
