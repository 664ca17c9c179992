"""What keeps a plate from being good, once the bench has said so where an instructor would look."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from trainer.bench.measures import Line, Sheet
from trainer.rehearsal.measure_words import measured
from trainer.run.session import Run
from trainer.tongue import spoken

_MOST = 3
"""So many measures are named; the others are told after the rehearsal."""


def is_told(run: Run) -> bool:
    """Was the last word on this plate that it is not good yet?"""
    state = run.state
    if state.closed:
        return False
    signed = (step.sign_off.name for step in run.plan.steps.values() if step.sign_off is not None)
    words = [taken for name in signed if name for taken in state.values.get(f"answers.{name}", ())]
    return bool(words) and max(words, key=lambda taken: taken.seq).value == "not_yet"


def told(sheet: Callable[[], Sheet]) -> str:
    """One sentence: the measures that do not pass, each with what it is held against."""
    bad = [line for line in sheet().lines if line.ok is False]
    if not bad:
        return spoken("Now nothing is found on the plate any more.")
    first, more = "; ".join(_words(bad[:_MOST])), len(bad) - _MOST
    if more > 0:
        return spoken("Found on the plate: {measures}; and {number} more.", measures=first, number=more)
    return spoken("Found on the plate: {measures}.", measures=first)


def _words(bad: list[Line]) -> Iterator[str]:
    for line in bad:
        one = measured(line)
        yield f"{one.label[:1].lower()}{one.label[1:]} {one.shown} ({one.wanted})"
