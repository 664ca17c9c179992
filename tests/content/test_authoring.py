"""The page from a list on paper to a walked procedure: each piece of it is real, and so is each answer."""

from __future__ import annotations

import re
import textwrap
from pathlib import Path

import pytest

from trainer import places
from trainer.procedure.load import load_bytes
from trainer.procedure.plan import Plan
from trainer.procedure.render import as_text
from trainer.rehearsal.walk import run_walk
from trainer.rehearsal.walk_model import Walk
from trainer.rehearsal.walker import Walker
from trainer.run import events as ev

NAME = "tin-loaf.yaml"
PAGE = (places.guide_dir() / "authoring.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL)
WHOLE = [block for block in BLOCKS if re.match(r"(#.*\n)?format: 1\n", block)]
WALKS = [block for block in BLOCKS if block.startswith("walk: 1\n")]
PARTS = [block for block in BLOCKS if block not in WHOLE and block not in WALKS]
MISTAKES = re.findall(r"```diff\n(.*?)```\n\n```text\n(.*?)```", PAGE, re.DOTALL)
LOAF = WHOLE[-1]


def test_the_page_has_what_it_promises() -> None:
    """There is a first file and the whole one, parts of it, mistakes with their answers, and walks."""
    assert (len(WHOLE), len(WALKS), len(MISTAKES)) == (2, 3, 4)
    assert len(PARTS) >= 10
    assert len(re.findall(r"^```\w", PAGE, re.MULTILINE)) == len(BLOCKS) + 2 * len(MISTAKES) + 1


@pytest.mark.parametrize("text", WHOLE)
def test_the_files_pass(text: str) -> None:
    """Both files are read without a problem and without a warning."""
    assert load_bytes(text.encode(), NAME).problems == ()


@pytest.mark.parametrize("part", PARTS)
def test_a_part_stands_so_in_the_whole_file(part: str) -> None:
    """What is explained step by step is word for word what the whole file has, if not in one piece."""
    pieces = re.split(r"(?m)^(?=- id:)", part) if part.startswith("- id:") else [part]
    for piece in filter(None, pieces):
        inside = textwrap.indent(piece, "      ") if piece.startswith("- id:") else piece
        assert inside in LOAF


@pytest.mark.parametrize(("change", "answer"), MISTAKES)
def test_a_mistake_gets_the_answer_on_the_page(change: str, answer: str) -> None:
    """The file with the mistake in it gives the problem as the page prints it, and nothing else."""
    old = "\n".join(line[1:] for line in change.splitlines() if line.startswith("-"))
    new = "\n".join(line[1:] for line in change.splitlines() if line.startswith("+"))
    assert LOAF.count(old) == 1
    text = LOAF.replace(old, new)
    assert as_text(load_bytes(text.encode(), NAME).problems, text, NAME).rstrip() == answer.rstrip()


def test_the_walks_pass_and_go_everywhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Saved beside the file they all pass, show every step, give every answer and go every way."""
    walkers: list[Walker] = []
    start = Walker.start

    def kept(walk: Walk, plan: Plan, settings: dict[str, float]) -> Walker:
        walkers.append(start(walk, plan, settings))
        return walkers[-1]

    monkeypatch.setattr(Walker, "start", kept)
    (tmp_path / NAME).write_text(LOAF, encoding="utf-8")
    plan = load_bytes(LOAF.encode(), NAME).require()
    for number, text in enumerate(WALKS):
        file = tmp_path / f"tin-loaf-{number}.yaml"
        file.write_text(text, encoding="utf-8")
        assert run_walk(file).lines() == ()
    seen = [event for walker in walkers for event in walker.events]
    assert {event.step for event in seen if isinstance(event.body, ev.StepShown)} == set(plan.steps)
    judged = {(body.name, body.answer) for body in (one.body for one in seen) if isinstance(body, ev.Judged)}
    asked = [step.judge for step in plan.steps.values() if step.judge]
    assert judged == {(judge.name, key) for judge in asked for key in judge.answers}
    moves = {(event.step, event.body.to) for event in seen if isinstance(event.body, ev.Moved)}
    assert {(step.id, way.to) for step in plan.steps.values() for way in step.go} - moves == set()
