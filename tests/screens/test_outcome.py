"""The summary of a run, gathered from events. No source: how this program says it."""

from __future__ import annotations

from dataclasses import replace

from run_kit import Sink, plan_of

from trainer.record.heads import RunHead
from trainer.run.events import SignedOff
from trainer.screens.outcome import outcome


def test_the_same_word_said_again_stands_once_with_how_often() -> None:
    """Three times not yet of the same act are one line, and what was said otherwise has its own."""
    events = [*Sink.open(plan=plan_of("plate")).events]
    last = events[-1]
    words = [SignedOff("last-look", "I-1", word, "") for word in ("not_yet", "not_yet", "not_yet", "passed")]
    for place, body in enumerate(words, 1):
        events.append(replace(last, id=f"{last.id}-{place}", seq=last.seq + place, body=body))
    found = outcome(events, RunHead(number=1, run=last.run, count=len(events), head="0" * 64))
    assert found.signed == ("last-look: not yet, I-1 (3 times)", "last-look: passed, I-1")
