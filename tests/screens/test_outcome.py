"""The summary of a run, gathered from events. No source: how this program says it."""

from __future__ import annotations

from dataclasses import replace

from run_kit import Sink, plan_of

from trainer.bench.faults import CATALOGUE
from trainer.record.heads import RunHead
from trainer.rehearsal import practice_words
from trainer.rehearsal.bench_settings import read_bench
from trainer.rehearsal.practice import Practice
from trainer.run.events import SignedOff
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.screens.outcome import outcome
from trainer.screens.summary import page


def test_the_same_word_said_again_stands_once_with_how_often() -> None:
    """Three times not yet of the same act are one line, and what was said otherwise has its own."""
    events = [*Sink.open(plan=plan_of("plate")).events]
    last = events[-1]
    words = [SignedOff("last-look", "I-1", word, "") for word in ("not_yet", "not_yet", "not_yet", "passed")]
    for place, body in enumerate(words, 1):
        events.append(replace(last, id=f"{last.id}-{place}", seq=last.seq + place, body=body))
    found = outcome(events, RunHead(number=1, run=last.run, count=len(events), head="0" * 64))
    assert found.signed == ("last-look: not yet, I-1 (3 times)", "last-look: passed, I-1")


def test_what_was_missed_in_practice_is_said_in_words() -> None:
    """A fault, the answer given, the skill and why it ended are words: ids mean nothing to a trainee."""
    clock, journal = FakeClock(), FakeJournal()
    practice = Practice.open(
        run="P", trainee="T-01", journal=journal, clock=clock, settings=read_bench(), seed=3
    )
    for asks in ("cause", "remedy"):
        clock.pass_time(1)
        view = practice.view()
        assert view.asks == asks
        assert practice.state.plate is not None
        keys = set(practice.state.plate.faults)
        keys |= {one.alike for fault, one in CATALOGUE.items() if fault in keys}
        practice.pick(next(n for n, one in enumerate(view.options, 1) if one.key not in keys))
    practice.close()
    events = journal.events("P")
    found = outcome(events, RunHead(number=1, run="P", count=len(events), head="0" * 64))
    missed = [said for line in found.skills for said in line.missed]
    assert len(missed) == 2
    ids = {*CATALOGUE, *(one.alike for one in CATALOGUE.values())}
    assert not [
        word for said in missed for word in said.replace(":", " ").split() if "-" in word and word in ids
    ]
    names = practice_words.skills()
    assert {line.skill for line in found.skills} <= set(names)
    shown = [block.content.plain for block in page(found, "Fault practice", names)]
    assert any(name in row for row in shown for name in names.values())
