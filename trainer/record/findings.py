"""What looking over a record found, in sentences that name run and event."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import Literal

from trainer.procedure.text import one_line
from trainer.run.frozen import frozen


@frozen
class Finding:
    """One thing found. problem: the record is not as it was written. note: to be known, and may be harmless.

    code: a stable word for programs. run, seq: which run and event, where there is one.
    """

    severity: Literal["problem", "note"]
    code: str
    run: str | None
    seq: int | None
    message: str


def problem(code: str, message: str, run: str | None = None, seq: int | None = None) -> Finding:
    """A finding that says that the record is not as it was written."""
    return Finding("problem", code, None if run is None else one_line(run), seq, one_line(message))


def note(code: str, message: str, run: str | None = None, seq: int | None = None) -> Finding:
    """A finding that may be harmless."""
    return Finding("note", code, None if run is None else one_line(run), seq, one_line(message))


MOST_NAMED = 100
"""So many missing ones in a row are named one by one; one altered number could make a gap without end."""


def gaps(there: Iterable[int], last: int) -> Iterator[tuple[int, int]]:
    """What is missing among 1 to `last`, as first and last of each gap; a short gap one by one."""
    expected = 1
    for number in sorted({*(one for one in there if one >= 1), last + 1}):
        if number > last + 1:
            return
        if number - expected > MOST_NAMED:
            yield expected, number - 1
        else:
            yield from ((one, one) for one in range(expected, number))
        expected = number + 1


@frozen
class Report:
    """All findings about a record, and how much was looked at."""

    findings: tuple[Finding, ...]
    runs: int
    events: int
    erased: int

    @property
    def ok(self) -> bool:
        """Whether there is no problem."""
        return not any(finding.severity == "problem" for finding in self.findings)

    def as_text(self) -> str:
        """A line for each finding, and one that sums up."""
        lines = [f"{finding.severity}: {finding.message}" for finding in self.findings]
        looked_at = f"{_counted(self.runs, 'run')}, {_counted(self.events, 'event')}"
        if self.erased:
            looked_at += f" ({self.erased} of them erased with the person)"
        problems = sum(finding.severity == "problem" for finding in self.findings)
        verdict = f"{_counted(problems, 'problem')} found" if problems else "everything is as it was written"
        return "\n".join([*lines, f"{looked_at}: {verdict}."])

    def as_json(self) -> str:
        """The same for a program."""
        told = {"ok": self.ok, "runs": self.runs, "events": self.events, "erased": self.erased}
        return json.dumps({**told, "findings": [asdict(finding) for finding in self.findings]}, indent=2)


def _counted(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"
