"""One station: its record, procedures, shop and people, joined for whoever talks to the trainee.

Nothing heavy is imported here. What reads a whole procedure (CEL) or runs one (transitions) is
imported in the method that needs it, so that the start screen stands at once.
"""

from __future__ import annotations

import re
from contextlib import AbstractContextManager
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from trainer import places, tongue
from trainer.procedure.heads import Head, read_heads
from trainer.procedure.shop_order import in_shops_order, listed_first
from trainer.procedure.text import clean, in_language
from trainer.record.codes import code
from trainer.record.journal import OpenRun, StationJournal
from trainer.record.people import People
from trainer.record.pins import PinCheck
from trainer.run.clock import SystemClock
from trainer.run.events import Guidance
from trainer.run.ports import Clock, PinVerdict, SignOff, Trouble
from trainer.screens import invented
from trainer.screens.questions import SignTry
from trainer.tongue import spoken

if TYPE_CHECKING:
    from trainer.procedure.plan import Plan
    from trainer.procedure.units import System
    from trainer.rehearsal.rehearsal import Rehearsal
    from trainer.run.session import Run
    from trainer.screens.outcome import Outcome


_CAUTIONS = re.compile(rb"""cautions["']?\s*:""")


class NotHere(Trouble):
    """Something that was asked for by name is not at this station."""


class Station(AbstractContextManager["Station"]):
    """The wiring of a station. Close it, or use it as a context manager."""

    def __init__(
        self, journal: StationJournal, clock: Clock, *, shop_file: Path, procedures: Path, language: str
    ) -> None:
        self.journal = journal
        self.clock = clock
        self.shop_file = shop_file
        self.procedures = procedures
        self.speak(language)
        self.sign_off: SignOff = PinCheck(journal.path, clock)
        self._about = journal.about()
        self._plans: dict[str, Plan] = {}
        self._files: dict[str, Path] = {}
        self._plan_of_run: dict[str, Plan] = {}

    @classmethod
    def open(
        cls,
        *,
        record: Path | None = None,
        shop: Path | None = None,
        procedures: Path | None = None,
        clock: Clock | None = None,
        language: str | None = None,
    ) -> Self:
        """Open the record and find the rest where `places` says. Raises Trouble."""
        clock = clock or SystemClock()
        journal = StationJournal(places.record_path(record).path, clock)
        return cls(
            journal,
            clock,
            shop_file=shop or places.shop_path().path,
            procedures=procedures or places.procedures_dir(),
            language=places.language(language),
        )

    def close(self) -> None:
        """Close the record."""
        self.journal.close()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def speak(self, language: str) -> None:
        """From now on, new runs and the app's own words are in `language`."""
        self.language = language
        tongue.speak(language)

    @property
    def notice(self) -> str:
        """What is wrong with the station for as long as it is, in a sentence; empty where nothing is."""
        return " ".join(said for said in (invented.notice(self._about), self.journal.space_trouble) if said)

    def heads(self) -> list[Head]:
        """Heads of the procedures here, in the order in which work is offered. Raises Trouble."""
        return in_shops_order(read_heads(self.procedures), listed_first(self.shop_file), self.language)

    def open_runs(self) -> list[OpenRun]:
        """Runs that can be gone on with, the latest first. Raises Trouble."""
        return list(self.journal.open_runs())

    def trainees(self) -> list[str]:
        """Codes of the trainees known here. Raises Trouble."""
        return People(self.journal).codes("trainee")

    def to_go_on(self, procedure: str | None, trainee: str | None, *, rehearsal: bool = False) -> str | None:
        """Id of the one open run of that kind that fits both (None fits all); else None."""
        wanted = procedure_id(procedure) if procedure else None
        who = self.code(trainee) if trainee else None
        fitting = [
            open_run.run
            for open_run in self.open_runs()
            if wanted in (None, open_run.procedure)
            and who in (None, open_run.trainee)
            and open_run.rehearsal == rehearsal
        ]
        return fitting[0] if len(fitting) == 1 else None

    def code(self, typed: str) -> str:
        """A person's code as the record keeps it. Raises NotHere with a sentence."""
        try:
            return code(typed)
        except ValueError as told:
            raise NotHere(str(told)) from told

    def coded(self, tried: SignTry) -> SignTry:
        """A try to sign with its code as the record keeps it; a code that cannot be one stays as typed."""
        try:
            return replace(tried, by=self.code(tried.by))
        except NotHere:
            return tried

    def load(self, procedure: str) -> Plan:
        """The plan of a procedure, an id or a path. Raises NotHere, ProcedureProblems."""
        path = self.file_of(procedure)
        key = str(path)
        if key not in self._plans:
            from trainer.procedure.load import load  # CEL and the checks: 60 ms, only where a run is opened

            plan = load(path).require()
            self._plans[key] = plan
            self._files[plan.procedure.id] = path
        return self._plans[key]

    def file_of(self, procedure: str) -> Path:
        """The file that an id or a path names. Raises NotHere."""
        here = self.procedures / f"{procedure}.yaml"
        path = here if _is_id(procedure) and here.is_file() else places.find_procedure(procedure)
        if path is None or not path.is_file():
            known = ", ".join(sorted(head.id for head in self.heads())) or spoken("none")
            raise NotHere(
                spoken(
                    "There is no procedure {id} here. Known are: {known}. A path works too.",
                    id=repr(procedure),
                    known=known,
                )
            )
        return path

    def before(self, procedure: str) -> tuple[str, tuple[str, ...]]:
        """Title of a procedure, and what is said before its first act: whose rules come before this file's.

        Reads only, checks nothing (`load` does), so that the words stand at once. Where there are none the
        title is empty too. Raises NotHere.
        """
        path = self.file_of(procedure)
        try:
            source = path.read_bytes()
        except OSError as told:
            raise NotHere(
                spoken("{path} cannot be read: {reason}.", path=path, reason=told.strerror)
            ) from told
        if not _CAUTIONS.search(source):
            return "", ()
        from trainer.procedure.heads import read_keys  # 8 ms for YAML, only where there is something to find

        head = read_keys(source, frozenset({"title", "cautions"}))
        cautions = head.get("cautions")
        said = tuple(self._words(text) for text in cautions) if isinstance(cautions, list) else ()
        return self._words(head.get("title")), tuple(text for text in said if text)

    def _words(self, text: object) -> str:
        """A text of a file that is not checked yet, in the station's language; empty where it is none."""
        if isinstance(text, str):
            return clean(text)
        if isinstance(text, dict):
            return clean(in_language({str(code): str(said) for code, said in text.items()}, self.language))
        return ""

    def open_run(
        self,
        procedure: str,
        trainee: str,
        *,
        guidance: Guidance = "full",
        job: str = "",
        colour: str = "",
    ) -> Run:
        """Open a new wet run. Raises Trouble, ProcedureProblems."""
        from trainer.run.session import Run  # transitions: 20 ms, only where a run is opened

        who, plan = self.code(trainee), self.load(procedure)
        settings, _ = self._as_the_shop_has_it(plan)
        return Run.open(
            plan,
            run=self._begun(plan),
            trainee=who,
            guidance=guidance,
            settings=settings,
            journal=self.journal,
            clock=self.clock,
            job=job,
            colour=colour,
            station=self.name(),
            language=self.language,
            estimate=self.seconds_per_unit(),
        )

    def _as_the_shop_has_it(self, plan: Plan) -> tuple[dict[str, float], float]:
        """The settings of a new run, and how high the shop stands, m. Raises NotHere."""
        from trainer.procedure.shop import ShopTrouble, read_shop, settings_for

        try:
            shop = read_shop(self.shop_file)
            return settings_for(plan, shop), shop.altitude or 0.0
        except ShopTrouble as told:
            raise NotHere(str(told)) from told

    @cached_property
    def instruments(self) -> System | None:
        """The system of units that the instruments of this shop show, where its file says."""
        from trainer.procedure.shop import read_shop

        return read_shop(self.shop_file).units

    def name(self) -> str:
        """What this station is called: SINKSIDE_STATION, else the shop file's `station`; empty without."""
        from trainer.procedure.shop import read_shop, station_called

        return station_called(places.station_name()) or read_shop(self.shop_file).station

    def refuse_invented(self) -> None:
        """Raise Trouble where the record holds an invented class: no work is kept among it."""
        invented.refuse(self._about)

    def _begun(self, plan: Plan) -> str:
        """The id of a new run of a procedure, whose bytes are kept first. Raises Trouble."""
        from trainer.run.ids import new_run_id

        self.refuse_invented()
        shape = plan.procedure
        self.journal.keep_procedure(plan.content_hash, plan.source, shape.id, shape.revision)
        run_id = new_run_id(self.clock)
        self._plan_of_run[run_id] = plan
        return run_id

    def take_up(self, run_id: str) -> Run:
        """Go on with an open wet run, here: another terminal that has it is told. Raises Trouble."""
        from trainer.run.session import Run

        plan = self._taken_up(run_id, rehearsal=False)
        run = Run.take_up(
            plan, run_id, journal=self.journal, clock=self.clock, estimate=self.seconds_per_unit()
        )
        tongue.speak(run.state.language)
        return run

    def is_rehearsal(self, run_id: str) -> bool:
        """Is that open run a rehearsal? Raises Trouble."""
        return any(one.run == run_id and one.rehearsal for one in self.open_runs())

    def _taken_up(self, run_id: str, *, rehearsal: bool) -> Plan:
        """The plan of an open run, whose lease is taken. Raises NotHere where it is of the other kind."""
        from trainer.procedure.load import load_bytes

        self.refuse_invented()
        found = next((open_run for open_run in self.open_runs() if open_run.run == run_id), None)
        if found is None:
            raise NotHere(
                spoken(
                    "There is no open run {run} in this record. See the open ones with `sinkside`.",
                    run=run_id,
                )
            )
        if found.rehearsal != rehearsal:
            raise NotHere(
                spoken("{run} is a rehearsal: take it up as one.", run=run_id)
                if found.rehearsal
                else spoken("{run} is a wet run: take it up as one.", run=run_id)
            )
        source = self.journal.procedure(found.content_hash)
        plan = load_bytes(source, f"{found.procedure} (as the run was opened with it)").require()
        self.journal.take_lease(run_id)
        self._plan_of_run[run_id] = plan
        return plan

    def open_rehearsal(  # noqa: PLR0913 - all named where it is called
        self,
        procedure: str,
        trainee: str,
        *,
        guidance: Guidance = "full",
        job: str = "",
        colour: str = "",
        seed: int | None = None,
    ) -> Rehearsal:
        """Open a new rehearsal on the simulated bench. Raises Trouble, ProcedureProblems."""
        from trainer.rehearsal.rehearsal import Rehearsal  # NumPy: 80 ms, and a wet run never needs it

        who, plan = self.code(trainee), self.load(procedure)
        settings, altitude = self._as_the_shop_has_it(plan)
        return Rehearsal.open(
            plan,
            run=self._begun(plan),
            trainee=who,
            guidance=guidance,
            settings=settings,
            journal=self.journal,
            clock=self.clock,
            job=job,
            colour=colour,
            station=self.name(),
            language=self.language,
            seed=seed,
            altitude=altitude,
        )

    def take_up_rehearsal(self, run_id: str) -> Rehearsal:
        """Go on with an open rehearsal, here. Raises Trouble."""
        from trainer.rehearsal.rehearsal import Rehearsal

        plan = self._taken_up(run_id, rehearsal=True)
        rehearsal = Rehearsal.take_up(plan, run_id, journal=self.journal, clock=self.clock)
        tongue.speak(rehearsal.run.state.language)
        return rehearsal

    def seconds_per_unit(self) -> float | None:
        """Seconds that a unit of dose took in earlier exposures at this station."""
        from trainer.record.exposures import seconds_per_unit

        return seconds_per_unit(self.journal)

    def picture(self, procedure: str, picture: str) -> tuple[str, ...] | None:
        """A drawing of a procedure, None where there is none."""
        from trainer.procedure.pictures import read_picture

        file = self._files.get(procedure) or self.procedures / f"{procedure}.yaml"
        return read_picture(file, picture)

    def take_setting(self, run: Run, by: str, verdict: PinVerdict) -> str:
        """Take the offered value for the run, and keep it for the shop.

        Returns a sentence where only the shop file could not be written, else nothing. Raises Trouble.
        """
        from trainer.procedure.shop import ShopKeeper, ShopTrouble

        changed = run.take_setting(by, verdict)
        if changed is None:
            return ""
        try:
            ShopKeeper(self.shop_file).change(run.view().procedure, changed.setting, changed.new)
        except (Trouble, ShopTrouble) as told:
            return spoken(
                "The run goes on with the new value, but the shop's file does not have it: {reason}",
                reason=told,
            )
        return ""

    def skills(self, run_id: str) -> dict[str, str]:
        """What each skill of the procedure of a run opened or taken up here is called."""
        plan = self._plan_of_run.get(run_id)
        named = plan.procedure.skills if plan else {}
        return {key: in_language(said, tongue.language()) for key, said in named.items()}

    def outcome(self, run_id: str) -> Outcome:
        """What came of a run. Raises Trouble."""
        from trainer.screens.outcome import outcome

        head = self.journal.head_of(run_id)
        events, plan = self.journal.events(run_id), self._plan_of_run.get(run_id)
        return outcome(events, head, self.journal.second_place_trouble, plan)


def procedure_id(procedure: str) -> str:
    """The id that an id or a path stands for (a file's name is its procedure's id)."""
    return procedure if _is_id(procedure) else Path(procedure).stem


def _is_id(text: str) -> bool:
    return bool(text) and not set(text) - set("abcdefghijklmnopqrstuvwxyz0123456789-")
