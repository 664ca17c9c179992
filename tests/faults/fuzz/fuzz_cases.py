"""What fuzzing and hostile files have found, one row each; every one of them is mended.

`data` is made when it is wanted, since some are a megabyte. No source: each was found here.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import NamedTuple

from fuzz_mutants_events import event_texts

STEPS = 999


class Case(NamedTuple):
    """An input that once broke its target, and what it did then."""

    target: str
    was: str
    data: Callable[[], bytes]


def procedure(*steps: str, head: str = "", number: int = 0) -> bytes:
    """A file of one stage with these steps, each on its line; `number` copies of the first, numbered."""
    rows = [steps[0].replace("%N", str(place)) for place in range(number)] if number else list(steps)
    text = "".join(f"      - {{{row}}}\n" for row in rows)
    return (
        f"format: 1\nid: hostile\ntitle: Hostile\nrevision: 1\nsummary: Invented for the tests.\n{head}"
        f"stages:\n  - id: all\n    title: All\n    steps:\n{text}"
    ).encode()


def names(form: str, count: int) -> str:
    """Many made-up names in a row."""
    return ", ".join(form.format(number) for number in range(count))


def wrong_covers() -> bytes:
    """Thousands of safety prompts' steps that are not there, each nearly like hundreds that are."""
    hazard = "signal: danger, harm: Edges cut., avoid: [Gloves]"
    covered = names("s" * 19 + "%N{}", 35)
    return procedure(f"id: {'s' * 20}%N, hazard: {{{hazard}, covers: [{covered}]}}", number=STEPS)


def backwards() -> bytes:
    """A way from the last step of a file to its first, one by one."""
    reading = "reading: {{name: r{0}, unit: inHg, plausible: [0, 30], right: 22}}"
    rows = [
        f"id: s{place}, {reading.format(place)}, then: {f's{place - 1}' if place else 'done'}"
        for place in range(STEPS - 1)
    ]
    return procedure(f"id: first, do: Begin., then: s{STEPS - 2}", *rows)


def walk(*acts: str) -> bytes:
    """A walk of a shipped procedure."""
    rows = "".join(f"  - {act}\n" for act in acts)
    return f"walk: 1\nprocedure: negative-plate-two-burns\nacts:\n{rows}".encode()


def rows(*changes: tuple[str, int, int, object]) -> bytes:
    """Cells of a record written over: table, column, row, value."""
    return "\n".join(json.dumps(change) for change in changes).encode()


def history(length: int, change: Callable[[list[dict[str, dict[str, object]]]], object]) -> bytes:
    """The first events of a run, with a change."""
    events = [json.loads(text) for text in event_texts()[:length]]
    change(events)
    return "\n".join(json.dumps(event) for event in events).encode()


def event(kind: str) -> dict[str, dict[str, object]]:
    """The first event of a kind in a whole run."""
    found: dict[str, dict[str, object]] = next(
        json.loads(text) for text in event_texts() if json.loads(text)["body"]["kind"] == kind
    )
    return found


def a_number_of_400_digits() -> bytes:
    """The end of a wait with a whole number that no float has room for."""
    ended = event("wait_ended")
    ended["body"]["unwatched"] = 10**400
    return json.dumps(ended).encode()


def named_after_nothing(kind: str, key: str, value: object, **also: object) -> bytes:
    """A run up to the first event of a kind, whose value at `key` fits nothing. also: other values of it."""
    place = next(
        number for number, text in enumerate(event_texts(), 1) if json.loads(text)["body"]["kind"] == kind
    )
    return history(place, lambda events: events[-1]["body"].update({key: value, **also}))


def left_elsewhere() -> bytes:
    """A run that was at a step of nowhere, and went on for a few steps since."""

    def change(events: list[dict[str, dict[str, object]]]) -> None:
        next(one for one in events if one["body"]["kind"] == "moved")["body"]["to"] = "elsewhere"

    return history(14, change)


CASES = (
    Case(
        "load",
        "busy for 10 s: each wrong target was held against each step",
        lambda: procedure(f"id: {'s' * 50}-%N, do: Do it., then: {'s' * 49}-%N", number=STEPS),
    ),
    Case("load", "busy for more than 5 minutes, in the same way", wrong_covers),
    Case("load", "busy for more than 30 s: the flow of values went one step back a round", backwards),
    Case(
        "load",
        "busy for 15 s: each undeclared skill was held against each declared one",
        lambda: procedure(
            "id: s%N, do: Do it., skill: skil_%N",
            number=STEPS,
            head=f"skills: {{{names('skill_{}: x', 9000)}}}\n",
        ),
    ),
    Case(
        "load",
        "told 35,000 problems in 10 MB of text",
        lambda: procedure(
            "id: s%N, hazard: {signal: danger, harm: x, avoid: [y], covers: [" + names("none-{}", 35) + "]}",
            number=STEPS,
        ),
    ),
    Case(
        "load",
        "busy for 6 s: each sign of a row looked twice at what follows",
        lambda: procedure(f"id: s%N, do: Do it., go: [{{when: '{'-' * 18}1 > 0', to: done}}]", number=60),
    ),
    Case("shop", "RuntimeError: a file without any key", lambda: b"{}\n"),
    Case(
        "shop",
        "ShopTrouble: nothing where a mapping in braces goes on",
        lambda: b"{format: 1, procedures: null}\n",
    ),
    Case("shop", "the same, not even null", lambda: b"{format: 1, procedures: , altitude: 240 m}\n"),
    Case(
        "load",
        "IndexError: an order of all answers and of one thing that is none",
        lambda: procedure(
            "id: q, quiz: {name: q, ask: Say., order: {a: One, b: Two}, right: [a, b, [c]], because: So.}"
        ),
    ),
    Case("walks", "busy for 214 s: a tick for every second of 19 years", lambda: walk("pass: 1000 weeks")),
    Case(
        "walks",
        "OverflowError in the calendar",
        lambda: walk(*["restart: 90000 weeks"] * 6),
    ),
    Case("walks", "the same, in times of three months", lambda: walk(*["restart: 99 days"] * 30_000)),
    Case(
        "walks",
        "busy for 2 minutes: an hour of ticks, again and again",
        lambda: walk("right: to draw-down", "confirm", *["pass: 1 h"] * 2300),
    ),
    Case("typed", "a unit with a control character in it was quoted as it came", lambda: b"\x00"),
    Case("wire", "OverflowError instead of WireError", a_number_of_400_digits),
    Case("wire", "RecursionError instead of a sentence", lambda: b'{"id": ' + b"[" * 100_000),
    Case(
        "record rows",
        "busy and growing: a finding for every number up to 10^16",
        lambda: rows(("events", 1, 1, 10**16)),
    ),
    Case("record rows", "the same for the number of runs", lambda: rows(("station", 2, 0, 10**15))),
    Case(
        "record rows",
        "IndexError where the schema's number is negative",
        lambda: rows(("migrations", 0, 0, -2)),
    ),
    Case("record rows", "IntegerDomainError when a run went on", lambda: rows(("heads", 5, 0, -4 * 10**16))),
    Case(
        "record rows",
        "the same where the number of the last run is no number of ours",
        lambda: rows(("heads", 0, 0, 2**62)),
    ),
    Case(
        "histories",
        "IndexError: an answer before any step",
        lambda: history(3, lambda events: _second_is(events, "judged")),
    ),
    Case(
        "histories", "KeyError: work after the end", lambda: history(4, lambda events: _moved(events, "done"))
    ),
    Case(
        "histories",
        "KeyError: a step of another procedure",
        lambda: history(4, lambda events: _moved(events, "elsewhere")),
    ),
    Case(
        "histories",
        "KeyError when looking back: a step of another procedure that the run has left",
        left_elsewhere,
    ),
    Case(
        "histories",
        "KeyError: a unit that there is not",
        lambda: named_after_nothing("reading_taken", "typed_unit", "os.system"),
    ),
    Case(
        "histories",
        "Refused: a slip in a unit that there is not",
        lambda: named_after_nothing("reading_taken", "typed_unit", "os.system", verdict="slip"),
    ),
    Case(
        "histories",
        "Refused: a slip that is no number",
        lambda: named_after_nothing("reading_taken", "typed", "os.system", verdict="slip", typed_unit="kPa"),
    ),
    Case(
        "histories",
        "ValueError: a number that is none",
        lambda: named_after_nothing("quiz_answered", "form", "number"),
    ),
)


def _second_is(events: list[dict[str, dict[str, object]]], kind: str) -> None:
    events[1]["body"] = event(kind)["body"]
    del events[2]


def _moved(events: list[dict[str, dict[str, object]]], to: str) -> None:
    moved = next(one for one in map(json.loads, event_texts()) if one["body"]["kind"] == "moved")
    events[-1]["body"] = {**moved["body"], "to": to}
