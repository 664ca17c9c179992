"""The fold of a run of 10,000 events over its procedure, against reading them with the library's JSON.

Whoever takes up a run parses its events and folds them: what must be done with each anyway is the baseline.
Times are of a processor, since nothing here waits for anything.
"""

from __future__ import annotations

import gc
import json
import math
import time
from collections.abc import Callable, Sequence

from trainer.procedure.load import load_bytes
from trainer.procedure.plan import Plan
from trainer.record.packing import packed, unpacked
from trainer.run.events import Event
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.fold import fold
from trainer.run.session import Run

EVENTS = 10_000
ROUNDS = 7
LIMIT = 4.0
AGAIN = 15.0
EXPONENT = 1.2
"""Of the fold's cost, from a tenth of the events to all of them: 1 is linear."""
GAUGE = "unit: inHg, plausible: [0, 30], right: 22"


def procedure(acts: int = 60) -> Plan:
    """Plain acts, every tenth a reading; a spoiled plate begins anew with the first."""
    steps = "".join(
        f"      - {{id: act-{n}, do: Read the gauge., reading: {{name: r{n}, {GAUGE}}}}}\n"
        if n % 10 == 0
        else f"      - {{id: act-{n}, do: Do act {n}., key_points: [Slowly], why: So.}}\n"
        for n in range(1, acts + 1)
    )
    text = (
        "format: 1\nid: many-acts\ntitle: Many acts\nrevision: 1\nsummary: Acts to press through.\n"
        f"stages:\n  - id: only\n    title: Only\n    new_plate_from: act-1\n    steps:\n{steps}"
    )
    return load_bytes(text.encode(), "many-acts.yaml").require()


def a_run(plan: Plan, events: int) -> tuple[Event, ...]:
    """So many events of one run, plate after plate."""
    clock, journal = FakeClock(), FakeJournal()
    run = Run.open(
        plan, run="run-1", trainee="T-01", guidance="full", settings={}, journal=journal, clock=clock
    )
    steps = list(plan.steps)
    while run.state.seq < events:
        clock.pass_time(1.0)
        if run.state.step == steps[-1]:
            run.spoil("scratched")
        elif plan.steps[run.state.step].reading is not None:
            run.enter("22", "inHg")
        else:
            run.next()
    return journal.events("run-1")[:events]


def best(*calls: Callable[[], object]) -> list[float]:
    """The least processor time, in ms, of each, the calls taking turns."""
    times: list[list[float]] = [[] for _ in calls]
    for _ in range(ROUNDS):
        for call, taken in zip(calls, times, strict=True):
            gc.collect()
            start = time.process_time()
            call()
            taken.append((time.process_time() - start) * 1000)
    return [min(taken) for taken in times]


def parsed(texts: Sequence[str]) -> None:
    """The baseline."""
    for text in texts:
        json.loads(text)


def measure() -> list[tuple[str, float, float, float]]:
    """Rows (what, ours in ms of a processor, baseline in ms, limit of the ratio)."""
    plan = procedure()
    events = a_run(plan, EVENTS)
    texts = [packed(event) for event in events]
    few, ours, again, base = best(
        lambda: fold(plan, events[: EVENTS // 10]),
        lambda: fold(plan, events),
        lambda: fold(plan, [unpacked(text, "run-1", n) for n, text in enumerate(texts, 1)]),
        lambda: parsed(texts),
    )
    return [
        (f"fold of {EVENTS:,} events / json.loads of them", ours, base, LIMIT),
        ("taken up again, read and folded / json.loads", again, base, AGAIN),
        ("exponent of the fold from 1,000 on: linear", math.log10(ours / few), 1.0, EXPONENT),
    ]


if __name__ == "__main__":
    for what, mine, theirs, limit in measure():
        print(f"{what:50} {mine:9.1f} {theirs:9.1f} {mine / theirs:6.2f} {limit:6.1f}")  # noqa: T201
