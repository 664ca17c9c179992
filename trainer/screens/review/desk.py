"""What the pages of the review may ask for: the record at a glance, what was found, what is looked at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from trainer.insight import glance as seen
from trainer.insight import one_run
from trainer.insight.glance import AttemptSeen, Glance, RunSeen
from trainer.insight.results import Review, Wanted
from trainer.record.part import part_of
from trainer.run.events import Event
from trainer.run.ports import Clock
from trainer.screens.review.leaf import Opens
from trainer.screens.review.schools import marks

if TYPE_CHECKING:
    from trainer.insight.facts import ProcedureFacts
    from trainer.insight.read import ClassRecord
    from trainer.procedure.plan import Plan
    from trainer.record.part import Part, Place

WORKING = "Working out what stands out …"


@dataclass(frozen=True, slots=True)
class Found:
    """What the work on the findings came to. trouble: a sentence where it came to nothing.

    asked: the number of the asking that it answers.
    """

    asked: int
    record: ClassRecord | None = None
    review: Review | None = None
    facts: Mapping[str, ProcedureFacts] = field(default_factory=dict)
    trouble: str = ""


class Desk:
    """One record under review. Makers of pages ask it; it decides nothing and draws nothing."""

    def __init__(self, path: Place, clock: Clock, wanted: Wanted | None = None) -> None:
        self.whole = part_of(path)
        """The record, or the part of it that the review was opened on."""
        self.path = self.whole
        """The part of that which is looked at now."""
        self.clock = clock
        self.wanted = wanted or Wanted()
        self.period = "dates" if self.wanted.since else "all"
        """Which of the periods the filters offer is chosen (`filtering.PERIODS`), or `dates`."""
        self.is_open_to_all = False
        """Was it opened from the start screen of a station that asks nobody for a PIN?"""
        self.review: Review | None = None
        self.facts: Mapping[str, ProcedureFacts] = {}
        self.state = WORKING
        self.record: ClassRecord | None = None
        self.asked = 0
        """Counts how often findings were asked for anew: an answer to an older asking is of no use."""
        self._orders: dict[str, int] = {}
        self._shifts: dict[str, int] = {}
        self._plans: dict[str, Plan] = {}
        self.places: tuple[tuple[str, str], ...] = ()
        """School and station of all that can be looked at; of a station's own record the school is empty."""
        self.glance: Glance = self._look()

    def _look(self) -> Glance:
        with seen.looking(self.path) as connection:
            self.places = tuple(one for one in seen.places(connection) if _is_in(one, self.whole))
            return seen.glance(connection, self.wanted)

    @property
    def schools(self) -> tuple[str, ...]:
        """The schools that can be looked at, each once; none where it is a station's own record."""
        return tuple(sorted({school for school, _ in self.places if school}))

    @property
    def marks(self) -> Mapping[str, str]:
        """What each school is called in a table, where several are looked at; else nothing."""
        return marks(self.path.schools or self.schools)

    @property
    def stations(self) -> tuple[str, ...]:
        """The stations that can be looked at at the schools that are, each name once."""
        chosen = self.path.schools
        return tuple(sorted({name for school, name in self.places if not chosen or school in chosen}))

    def turn_to(self, schools: tuple[str, ...], stations: tuple[str, ...]) -> None:
        """Look at these schools and stations alone; none: at all that the review was opened on.

        Codes of trainees have their school behind them where several are looked at: those chosen are dropped.
        """
        self.path = replace(
            self.whole, schools=schools or self.whole.schools, stations=stations or self.whole.stations
        )
        self.wanted = replace(self.wanted, trainees=())

    @property
    def now(self) -> datetime:
        """The present moment, UTC; of an invented record, which nobody goes on with, its end."""
        last = self.glance.last_at
        if self.glance.invented and last is not None:
            return last
        return datetime.fromisoformat(self.clock.now().at).astimezone(UTC)

    @property
    def found(self) -> Review:
        """What was found, for pages that are only made once it is there."""
        if self.review is None:
            raise RuntimeError("the page is made before anything is found")
        return self.review

    def look_again(self, *, changed: bool = False) -> None:
        """Read the first page's tables anew; what was found before no longer holds. Raises JournalTrouble.

        changed: the record itself was written to.
        """
        self.glance = self._look()
        self.review, self.state = None, WORKING
        self.asked += 1
        if changed:
            self.record = None

    def take(self, found: Found) -> bool:
        """Take what the work on the findings came to; False where something else was asked for since."""
        if found.asked != self.asked:
            return False
        self.record = found.record or self.record
        self.review, self.state = found.review, found.trouble
        self.facts = found.facts or self.facts
        return True

    # What pages ask

    def order(self, page: str) -> int:
        """Which of a leaf's orders is chosen on a page, from 0."""
        return self._orders.get(page, 0)

    def turn_order(self, page: str, orders: Sequence[str]) -> None:
        """Choose the next order of a page."""
        if orders:
            self._orders[page] = (self.order(page) + 1) % len(orders)

    def shift(self, what: str) -> int:
        """How far columns are shifted on a page whose table is wider than the screen."""
        return self._shifts.get(what, 0)

    def turn_shift(self, what: str, to: int) -> None:
        """Shift columns."""
        self._shifts[what] = to

    def run(self, run: str) -> RunSeen | None:
        """A run of those looked at."""
        return next((one for one in self.glance.runs if one.run == run), None)

    def any_run(self, run: str) -> RunSeen | None:
        """A run of the record, also one that the filters leave out. Raises JournalTrouble."""
        found = self.run(run)
        if found is not None:
            return found
        with seen.looking(self.path) as connection:
            return one_run.one_run(connection, run)

    def attempts(self, *, trainee: str = "", skill: str = "") -> tuple[AttemptSeen, ...]:
        """Attempts that count, newest first. Raises JournalTrouble."""
        with seen.looking(self.path) as connection:
            return seen.attempts(connection, self.wanted, trainee=trainee, skill=skill)

    def attempts_at(self, acts: Sequence[tuple[str, int]]) -> tuple[AttemptSeen, ...]:
        """Single attempts. Raises JournalTrouble."""
        with seen.looking(self.path) as connection:
            return seen.attempts_at(connection, acts)

    def events(self, run: str) -> tuple[tuple[Event, ...], tuple[str, ...]]:
        """The events of a run, and a sentence for each that cannot be read. Raises JournalTrouble."""
        with seen.looking(self.path) as connection:
            return one_run.events(connection, run)

    def plan(self, content_hash: str) -> Plan | None:
        """The procedure as a run was opened with it; None where the record has it no more, or not whole."""
        if content_hash not in self._plans:
            from trainer.procedure.load import load_bytes  # CEL and the checks: 60 ms, only for a single run

            with seen.looking(self.path) as connection:
                source = one_run.source(connection, content_hash)
            plan = load_bytes(source, "the procedure of the run").plan if source is not None else None
            if plan is None:
                return None
            self._plans[content_hash] = plan
        return self._plans[content_hash]

    def facts_of_run(self, run: RunSeen) -> ProcedureFacts | None:
        """What the procedure says that a run was opened with."""
        if run.practice:
            return None
        plan = self.plan(run.content_hash)
        if plan is None:
            return None
        from trainer.insight.facts import facts_of

        return facts_of(plan)

    # What things are called

    def title(self, procedure: str) -> str:
        """What a procedure is called, as soon as that is read."""
        known = self.facts.get(procedure)
        return known.title if known else procedure.replace("-", " ").capitalize()

    def skill(self, skill: str) -> str:
        """What a skill is called in a sentence of the procedure, else its name."""
        said = next((one.skills[skill] for one in self.facts.values() if skill in one.skills), "")
        return said or skill

    def step(self, procedure: str, step: str) -> str:
        """The act of a step, else its id."""
        known = self.facts.get(procedure)
        return known.step_words(step) if known else step

    def person(self, code: str) -> str:
        """A code, with the name where the record has one."""
        name = self.glance.names.get(code, "")
        return f"{code} {name}" if name else code


def _is_in(place: tuple[str, str], part: Part) -> bool:
    """Whether a school and station belong to a part."""
    school, station = place
    return (not part.schools or school in part.schools) and (not part.stations or station in part.stations)


def subject_opens(subject: str, keys: tuple[str, ...]) -> Opens | None:
    """The page of what a finding is about."""
    pages = {"trainee": "trainee", "step": "step", "hazard": "hazard", "question": "question"}
    if subject == "skill":
        return Opens("attempts", keys) if len(keys) == 2 else Opens("skill", keys)
    if subject == "station":
        return Opens("station", keys)
    if subject == "supply":
        return Opens("waste")
    if subject == "class" and len(keys) == 1:
        return Opens("due", keys)
    return Opens(pages[subject], keys) if subject in pages else None
