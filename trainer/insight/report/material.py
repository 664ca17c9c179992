"""What a page is written from: plain values. Where they come from is the business of `gather`."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Literal

from trainer.insight.report.names import Names
from trainer.insight.results import Review

Paper = Literal["a4", "letter"]


@dataclass(frozen=True, slots=True)
class RunLine:
    """A run in few words. closed: empty while open. excused: the reason; empty where it counts."""

    run: str
    trainee: str
    procedure: str
    rehearsal: bool
    guidance: str
    opened_at: datetime
    closed: str
    plates_spoiled: int
    excused: str


@dataclass(frozen=True, slots=True)
class Head:
    """How far a run goes in the record: its number at the station, events kept, beginning of its head."""

    number: int
    run: str
    count: int
    head: str


@dataclass(frozen=True, slots=True)
class Check:
    """What `record verify` says of the record: last, and what it found before that."""

    ok: bool
    verdict: str
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Kept:
    """What the record holds as a whole.

    openings: head of the chain of openings, hexadecimal; empty where nothing was opened. check: None where
    the record was not looked over for this page.
    """

    runs: int
    events: int
    openings: str
    heads: tuple[Head, ...]
    check: Check | None = None


@dataclass(frozen=True, slots=True)
class Material:
    """All of it. runs: those that were wanted, oldest first. methods: the guide's page, as Markdown.

    zone: of dates; None: of this machine.
    places: schools and stations that were asked for. is_shared: the record of many stations.
    """

    review: Review
    names: Names
    runs: tuple[RunLine, ...]
    kept: Kept
    methods: str = ""
    paper: Paper | None = None
    zone: tzinfo | None = None
    places: tuple[str, ...] = ()
    is_shared: bool = False
