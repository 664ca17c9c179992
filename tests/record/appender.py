"""A program that appends events and says each number once it is kept, to be killed by `test_killed`.

Arguments: record, run, how many, and `early` for the sabotaged kind that says the number before it keeps it
and then waits to be killed at the last one.
"""

from __future__ import annotations

import sys
from pathlib import Path

from trainer.record.journal import StationJournal
from trainer.run import events as e
from trainer.run.clock import SystemClock
from trainer.run.events import Body, Event
from trainer.run.ids import new_run_id

PAIR: tuple[Body, Body] = (e.StepShown("vacuum", "contact", "none", 1, 1), e.Confirmed())


def main() -> None:
    """Take the run up where it stands and append pairs of events."""
    record, run, wanted, how = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), sys.argv[4]
    clock = SystemClock()
    with StationJournal(record, clock) as journal:
        count = _begin(journal, clock, run)
        for at in range(count + 1, count + 1 + 2 * wanted, 2):
            pair = [_event(clock, run, at + place, body) for place, body in enumerate(PAIR)]
            if how == "early":
                _say(at + 1)
                if at + 1 == count + 2 * wanted:
                    sys.stdin.readline()
            journal.append(pair)
            if how != "early":
                _say(at + 1)


def _begin(journal: StationJournal, clock: SystemClock, run: str) -> int:
    journal.take_lease(run)
    if run in {one.run for one in journal.open_runs()}:
        return journal.head_of(run).count
    opening = e.RunOpened("T-01", "invented", 1, "", "full", rehearsal=False, settings={})
    journal.append([_event(clock, run, 1, opening)])
    _say(1)
    return 1


def _event(clock: SystemClock, run: str, seq: int, body: Body) -> Event:
    return Event(new_run_id(clock), run, seq, clock.now(), "draw-down", body)


def _say(seq: int) -> None:
    sys.stdout.write(f"{seq}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
