"""Walks of faults, done once each, and what is found out after them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from trainer import places
from trainer.procedure.load import load
from trainer.rehearsal.after import After, Found, found_out, in_words
from trainer.rehearsal.rehearsal import Rehearsal
from trainer.rehearsal.walk_file import read_walk
from trainer.rehearsal.walker import Walker

FOLDER = Path(__file__).resolve().parent.parent / "walks" / "faults"
FAULTS = [file.stem for file in sorted(FOLDER.glob("*.yaml"))]


@cache
def walked(file: Path) -> Walker:
    """The walker after all acts of a walk file."""
    walk = read_walk(file).walk
    assert walk is not None
    plan = load(places.procedures_dir() / f"{walk.procedure}.yaml").require()
    settings = {key: float(setting.value) for key, setting in plan.procedure.settings.items()}
    walker = Walker.start(walk, plan, {**settings, **walk.settings})
    for placed in walk.acts:
        walker.do(placed)
    return walker


def rehearsal_of(walker: Walker) -> Rehearsal:
    """The rehearsal of a walk on the bench."""
    assert walker.rehearsal is not None
    return walker.rehearsal


@cache
def found_on(fault: str) -> Found:
    """What is found out after the walk of a fault."""
    return found_after(walked(FOLDER / f"{fault}.yaml"))


def found_after(walker: Walker) -> Found:
    """What is found out after a walk."""
    found = found_out(rehearsal_of(walker), walker.events)
    assert found is not None
    return found


def written(folder: Path, acts: list[str], top: str = "") -> Walker:
    """The walker after acts that are given as lines of a walk file."""
    file = folder / f"walk-{abs(hash((tuple(acts), top)))}.yaml"
    lines = "".join(f"  - {act}\n" for act in acts)
    head = "walk: 1\nprocedure: negative-plate-two-burns\nrehearsal: true\n"
    file.write_text(f"{head}{top}acts:\n{lines}", encoding="utf-8")
    return walked(file)


def said_of(fault: str) -> After:
    """The lines after the walk of a fault."""
    return in_words(found_on(fault), walked(FOLDER / f"{fault}.yaml").plan)
