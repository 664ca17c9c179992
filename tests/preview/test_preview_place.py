"""The author's place in a file that changes, where steps lead, what is wrong beside which step; no screen."""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer import places
from trainer.screens.draft import Preview

SMALL = Path(__file__).resolve().parent.parent / "procedure" / "small.yaml"
SOURCE = SMALL.read_text(encoding="utf-8")
TWO_BURNS = places.procedures_dir() / "negative-plate-two-burns.yaml"
LET_IT_DRAW = "      - id: let-it-draw\n        wait: {for: 1 min 30 s}\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """The small procedure, to be written in."""
    file = tmp_path / "small.yaml"
    file.write_text(SOURCE, encoding="utf-8")
    return file


def at(file: Path, step: str) -> Preview:
    """The preview of a file, at a step."""
    preview = Preview(file)
    assert preview.go(step)
    return preview


def save(preview: Preview, source: str) -> None:
    """Save the file and read it anew."""
    preview.file.write_text(source, encoding="utf-8")
    assert preview.read_again()


def test_every_step_of_the_procedures_can_be_shown() -> None:
    """Each step, in file order, gives the view that a trainee would get: its own act or its hazard."""
    for procedure in (SMALL, TWO_BURNS):
        preview = Preview(procedure)
        assert preview.plan is not None
        for step in preview.plan.steps:
            preview.go(step)
            view = preview.view()
            assert view.step == step
            assert view.act or view.hazard or view.quiz_question or view.choice


def test_an_edit_is_shown_at_the_same_step(file: Path) -> None:
    """New words show at the step that was looked at, wherever it stands by now."""
    preview = at(file, "draw-down")
    save(
        preview,
        SOURCE.replace("Close the glass and start", "Lower the glass and start").replace(LET_IT_DRAW, ""),
    )
    assert preview.view().act == "Lower the glass and start the pump."


def test_a_step_that_goes_leaves_the_author_at_the_nearest_before(file: Path) -> None:
    """While the step is gone the nearest before it is shown; when it is there again, so is the author."""
    preview = at(file, "let-it-draw")
    save(preview, SOURCE.replace(LET_IT_DRAW, ""))
    assert preview.step == "draw-down"
    save(preview, SOURCE)
    assert preview.step == "let-it-draw"


def test_what_belongs_to_no_step_stands_with_the_first(file: Path) -> None:
    """A setting that nothing uses is told at the first step, and looking for what is wrong leads there."""
    spare = "settings:\n  spare: {value: 1, unit: each, between: [1, 2], label: Spare}\n"
    file.write_text(SOURCE.replace("settings:\n", spare), encoding="utf-8")
    preview = at(file, "read-gauge")
    assert "G17" not in {problem.code for problem in preview.here}
    assert preview.next_trouble()
    assert preview.plan is not None
    assert preview.step == preview.plan.first
    assert "G17" in {problem.code for problem in preview.here}


def test_a_file_that_cannot_be_shown_keeps_what_was_there(file: Path) -> None:
    """Half a file, an empty one, no text, no file: the last view stays, and what is wrong is said."""
    preview = at(file, "read-gauge")
    shown = preview.view()
    for source in (SOURCE[: len(SOURCE) // 3] + "\n  - [", "", "\x00\x01", "a: b\n"):
        save(preview, source)
        assert preview.older
        assert preview.view() == shown
        assert preview.here
    file.unlink()
    assert preview.read_again()
    assert preview.view() == shown
    save(preview, SOURCE)
    assert not preview.older
    assert preview.step == "read-gauge"


def test_a_file_with_errors_is_shown_as_far_as_it_has_its_shape(file: Path) -> None:
    """An error in a formula or a target keeps no edit from being shown; it stands beside its step alone."""
    preview = at(file, "turn-over")
    save(preview, SOURCE.replace("Turn the plate over.", "Turn it.").replace("to: find-leak", "to: fnd-leak"))
    assert not preview.older
    assert preview.view().act == "Turn it."
    assert "G01" not in [problem.code for problem in preview.here]
    preview.go("read-gauge")
    assert "G01" in [problem.code for problem in preview.here]


def test_the_next_trouble_is_the_next_step_with_a_problem(file: Path) -> None:
    """It goes to each step with a problem in turn, round and round."""
    preview = Preview(file)
    save(
        preview,
        SOURCE.replace("to: turn-over", "to: turn-ovr").replace(
            "picture: frame-closed", "picture: no-such-thing"
        ),
    )
    seen = []
    for _ in range(4):
        assert preview.next_trouble()
        seen.append(preview.step)
    assert seen[:2] == seen[2:]
    assert set(seen) == {"which-side", "draw-down"}


def test_answers_and_ways_lead_where_a_run_would_go() -> None:
    """An answer's digit takes its way; elsewhere a digit takes a condition's way; Space goes on."""
    preview = at(SMALL, "which-side")
    preview.pick(2)
    assert preview.step == "turn-over"
    preview.back()
    preview.pick(1)
    assert preview.step == "draw-down"
    preview.go("read-gauge")
    preview.pick(1)
    assert preview.step == "find-leak"
    preview.next()
    assert preview.step == "draw-down"
    assert not preview.pick(9)


def test_every_answer_leads_where_its_formula_says() -> None:
    """In a real procedure each answer of each judgement leads to a step of it, or on."""
    preview = Preview(TWO_BURNS)
    assert preview.plan is not None
    for name, step in preview.plan.steps.items():
        for number, key in enumerate(step.judge.answers if step.judge else (), 1):
            preview.go(name)
            preview.pick(number)
            plain = next((go.to for go in step.go if go.when.endswith(f" == '{key}'")), None)
            assert preview.step == (plain or preview.step)


def test_stages_follow_each_other_round() -> None:
    """Next stage, from the last one, is the first."""
    preview = Preview(SMALL)
    seen = []
    for _ in range(4):
        preview.next_stage()
        seen.append(preview.step)
    assert seen == ["mind-the-light", "read-wedge", "take-plate", "mind-the-light"]


def test_a_file_that_is_wrong_from_the_start_says_so(tmp_path: Path) -> None:
    """Nothing to show yet: the view says so, every key does nothing, and a good save shows the first step."""
    file = tmp_path / "small.yaml"
    file.write_text("stages: [", encoding="utf-8")
    preview = Preview(file)
    assert "cannot be shown yet" in preview.view().notice
    assert not any(
        (preview.next(), preview.back(), preview.pick(1), preview.next_stage(), preview.next_trouble())
    )
    save(preview, SOURCE)
    assert preview.step == "take-plate"
