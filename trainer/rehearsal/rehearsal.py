"""A rehearsal: a run on a simulated bench. The run says what is to be done, the bench what comes of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import ceil
from secrets import randbelow

from trainer.bench import vacuum
from trainer.bench.apparatus import Apparatus, Kit
from trainer.bench.apparatus_acts import fitting
from trainer.bench.apparatus_work import stage
from trainer.bench.artwork import Job
from trainer.bench.conditions import Conditions, drawn, given
from trainer.bench.limits import OutOfRange
from trainer.bench.measures import Sheet, Wanted
from trainer.bench.plate import Work
from trainer.bench.settings import BenchSettings
from trainer.procedure.atmosphere import air_pressure
from trainer.procedure.plan import Plan
from trainer.procedure.units import convert
from trainer.procedure.vocabulary import CONTROLS
from trainer.rehearsal import artworks, bench_settings, busy, not_good
from trainer.rehearsal.bench_clock import BenchClock
from trainer.rehearsal.bench_measures import Measuring
from trainer.rehearsal.bench_settings import read_bench
from trainer.rehearsal.bench_shown import shown
from trainer.rehearsal.bench_terms import term
from trainer.rehearsal.bench_view import BenchView
from trainer.rehearsal.described import described
from trainer.rehearsal.retold import words
from trainer.rehearsal.standing import Standing
from trainer.run.events import BenchReady, Event, Guidance, Value
from trainer.run.measured import measured
from trainer.run.ports import Clock, Journal, JournalTrouble, Trouble
from trainer.run.refusals import Refused
from trainer.run.session import Run
from trainer.run.view import RunView
from trainer.tongue import marked, spoken

SPEEDS = (1.0, 5.0)
SLOWEST, FASTEST = 0.1, 60.0
LONGEST = 86_400.0
"""So many seconds go by at once at most."""
_SEEDS = 2**32
_NOTHING = marked(
    "No step of {procedure} names a control of the bench, so there is nothing to rehearse. Go through it as "
    "a wet run."
)


class Rehearsal:
    """A run, its bench, and the bench's time. Make one with `open` or `take_up`."""

    def __init__(self, run: Run, bench: Standing, clock: BenchClock) -> None:
        self.run = run
        self._bench = bench
        self._clock = clock
        self._speed = SPEEDS[0]
        self._notice = (_too_thin(self), self._here)
        self._named = ("", self._here)
        self._was = busy.moment(self._now(), bench.kit)
        self._rings: tuple[str, ...] = ()
        self._not_good = ("", (-1, -1))
        self._set_rate()

    @classmethod
    def open(  # noqa: PLR0913 - all named where it is called
        cls,
        plan: Plan,
        *,
        run: str,
        trainee: str,
        guidance: Guidance,
        settings: Mapping[str, float],
        journal: Journal,
        clock: Clock,
        job: str = "",
        colour: str = "",
        station: str = "",
        language: str = "en",
        seed: int | None = None,
        conditions: Mapping[str, Value] | None = None,
        altitude: float = 0.0,
        longest_gap: float | None = 30.0,
    ) -> Rehearsal:
        """A new rehearsal at its first step.

        seed: what the day is drawn from, a new one where none is given. conditions: over those drawn; where
        they are given and no seed is, the usual day is taken. altitude: of the shop, m. Raises Trouble.
        """
        if not any(step.bench for step in plan.steps.values()):
            raise Trouble(spoken(_NOTHING, procedure=plan.procedure.id))
        try:
            day = _day(seed, conditions, altitude)
        except OutOfRange as told:
            raise Trouble(str(told)) from told
        artwork = artworks.read_job(plan.procedure.artwork or artworks.USUAL)
        film = artworks.film_for(artwork, colour)
        numbers = read_bench()
        ready = BenchReady(day.seed, artwork.id, film, day.as_mapping(), bench_settings.as_mapping(numbers))
        bench = _standing(ready, artwork, settings)
        bench_clock = BenchClock(clock, run, longest_gap=longest_gap)
        opened = Run.open(
            plan,
            run=run,
            trainee=trainee,
            guidance=guidance,
            settings=settings,
            journal=journal,
            clock=bench_clock,
            job=job,
            colour=colour,
            station=station,
            language=language,
            bench=bench,
        )
        return cls(opened, bench, bench_clock)

    @classmethod
    def take_up(
        cls,
        plan: Plan,
        run: str,
        *,
        journal: Journal,
        clock: Clock,
        longest_gap: float | None = 30.0,
    ) -> Rehearsal:
        """A rehearsal of the record, its bench as at the last event. Raises JournalTrouble, Trouble."""
        kept = journal.events(run)
        bench = _followed(kept)
        bench_clock = BenchClock(clock, run, kept[-1].stamp.ticks_ms, longest_gap)
        taken_up = Run.take_up(plan, run, journal=journal, clock=bench_clock, bench=bench)
        return cls(taken_up, bench, bench_clock)

    @property
    def clock(self) -> BenchClock:
        """The clock of the bench, which is the run's."""
        return self._clock

    @property
    def kit(self) -> Kit:
        """What lies ready: artwork, the day, the constants."""
        return self._bench.kit

    @property
    def job(self) -> Job:
        """The artwork, with the size of the plate."""
        return self.kit.job

    @property
    def settings(self) -> BenchSettings:
        """The constants of the bench's models."""
        return self.kit.settings

    @property
    def conditions(self) -> Conditions:
        """The day."""
        return self.kit.conditions

    @property
    def seed(self) -> int:
        """What the day was drawn from."""
        return self.kit.conditions.seed

    @property
    def wanted(self) -> Wanted:
        """What a plate is held against."""
        return self._bench.measuring.wanted

    @property
    def speed(self) -> float:
        """How fast bench time goes while something is waited for."""
        return self._speed

    def set_speed(self, times: float) -> None:
        """Let bench time go so many times as fast. Raises Refused."""
        if not SLOWEST <= times <= FASTEST:
            least, most = f"{SLOWEST:g}", f"{FASTEST:g}"
            raise Refused(
                spoken("Time can go from {slowest} to {fastest} times as fast.", slowest=least, fastest=most)
            )
        self._speed = float(times)
        self._set_rate()

    def set(self, control: str, value: str | float) -> None:
        """Operate a control of the bench; it is recorded. Raises Refused, Trouble."""
        try:
            wanted = fitting(control, value)
        except OutOfRange as told:
            raise Refused(_not_taken(control, told)) from told
        try:
            self._watch(self._now())
            self.run.operate(control, wanted)
        except Refused as told:
            self._named = (told.control, self._here)
            raise
        self._named = ("", self._here)
        self._was = busy.moment(self._now(), self.kit)
        self._set_rate()

    def let_go(self) -> None:
        """Hands off what is only done while it is kept up."""
        for view in self.bench().controls + self.bench().others:
            if view.going:
                self.set(view.name, "none")

    def pass_time(self, seconds: float) -> None:
        """Let bench time go on at once. Raises Refused."""
        if not 0.0 <= seconds <= LONGEST:
            raise Refused(spoken("At most {most} s can be let go by at once.", most=f"{LONGEST:g}"))
        self._clock.pass_time(seconds)

    def to_the_end(self) -> float:
        """Straight to the end of what is waited for. The seconds that went by; 0 where nothing is."""
        seconds = self.to_go()
        self.pass_time(seconds)
        return seconds

    def to_go(self) -> float:
        """Seconds to the end of what is waited for; 0 where nothing is."""
        if self.run.state.paused or self.run.state.closed:
            return 0.0
        seconds = busy.to_the_end(self.run.view(), self._now(), self.kit)
        return ceil(seconds * 1000) / 1000  # the clock counts milliseconds

    def tick(self) -> tuple[str, ...]:
        """What rings now: of the run's waits, and `light_out`, `zero`. Call it four times a second."""
        rings = self.run.tick()
        now = self._now()
        self._watch(now)
        self._go_on(self.run.view(), now)
        more, self._rings = self._rings, ()
        return (*rings, *more)

    def bench(self) -> BenchView:
        """All that is shown of the bench now."""
        view, now = self.run.view(), self._now()
        self._go_on(view, now)
        notice, named = (said if at == self._here else "" for said, at in (self._notice, self._named))
        return shown(
            self.run,
            view,
            now,
            self._bench,
            named=named,
            notice=notice or self._what_is_not_good(),
            speed=self._speed,
        )

    def _what_is_not_good(self) -> str:
        """Told once the plate was looked at for an instructor; looked at anew at every step."""
        if not not_good.is_told(self.run):
            return ""
        if self._not_good[1] != self._here:
            self._not_good = (not_good.told(self.sheet), self._here)
        return self._not_good[0]

    def work(self) -> Work:
        """What has been done to the plate, for looking at: while something goes on, new once a second."""
        return self._bench.looked_at(self._clock.now())

    def work_exact(self) -> Work:
        """What has been done to the plate."""
        return self._bench.work(self._clock.now())

    def sheet(self) -> Sheet:
        """The plate's sheet as it stands."""
        return self._bench.measuring.sheet(self.work_exact())

    def measures(self) -> Mapping[str, Value]:
        """Everything that formulas may ask of the bench now."""
        return self._bench.measures(self._clock.now())

    def described(self) -> tuple[str, ...]:
        """What a picture of film or plate would show now, in words."""
        now = self._now()
        return described(self.measures(), stage(now), out=now.plate.out)

    def gauge(self) -> float:
        """What the vacuum gauge shows, kPa."""
        return vacuum.gauge(self._now().drawn.pressure, self.conditions.air)

    @property
    def _here(self) -> tuple[int, int]:
        """The step on the screen: what was told there is no news at another."""
        return len(self.run.state.path), self.run.state.visit

    def _now(self) -> Apparatus:
        return self._bench.at(self._clock.now())

    def _watch(self, now: Apparatus) -> None:
        """What has happened on the bench since it was last looked at: news, and what rings next."""
        is_now = busy.moment(now, self.kit)
        more = busy.rings(self._was, is_now)
        if more:
            told = busy.WORDS[more[-1]]
            self._notice = (spoken(told, units=f"{is_now.count:.4g}"), self._here)
        self._rings += more
        self._was = is_now

    def _set_rate(self) -> None:
        self._go_on(self.run.view(), self._now())

    def _go_on(self, view: RunView, now: Apparatus) -> None:
        """Let bench time go as fast as it should: as told while something is waited for, else as outside."""
        if view.paused or view.closed:
            self._clock.rate = 0.0
        else:
            self._clock.rate = self._speed if busy.what(view, now, self.kit) else 1.0


def _day(seed: int | None, conditions: Mapping[str, Value] | None, altitude: float) -> Conditions:
    air = air_pressure(altitude) / 1000
    if seed is None and conditions is not None:
        return given(conditions, Conditions(air=air))
    return given(conditions or {}, drawn(randbelow(_SEEDS) if seed is None else seed, air))


def kept_work(kept: Sequence[Event]) -> tuple[Work, BenchSettings]:
    """What was done to the last plate of a rehearsal, open or closed, from its events alone, and its bench.

    Raises JournalTrouble, Trouble.
    """
    bench = _followed(kept)
    return bench.work(kept[-1].stamp), bench.kit.settings


def _not_taken(control: str, told: OutOfRange) -> str:
    """Why a control cannot be set so."""
    known = CONTROLS.get(control)
    if known is None or known.options:
        return str(told)  # no front end offers that
    return spoken(
        "{control} can be set from {least} to {most}.",
        control=term(words(control).capitalize()),
        least=f"{known.least:g}",
        most=measured(known.most, known.unit),
    )


def _followed(kept: Sequence[Event]) -> Standing:
    """The bench as these events leave it. Raises JournalTrouble, Trouble."""
    ready = _ready_in(kept)
    bench = _standing(ready, artworks.read_job(ready.artwork), getattr(kept[0].body, "settings", {}))
    try:
        bench.follow(kept)
    except (LookupError, TypeError, ValueError) as fault:
        raise JournalTrouble(
            spoken("What the record holds of this rehearsal's bench, no bench can do. Open a new one.")
        ) from fault
    return bench


def _standing(ready: BenchReady, artwork: Job, settings: Mapping[str, float]) -> Standing:
    try:
        day = given(ready.conditions)
        numbers = bench_settings.from_mapping(ready.constants)
    except OutOfRange as told:
        raise Trouble(spoken("The bench of this rehearsal cannot be set up. {reason}", reason=told)) from told
    kit = artworks.kit_for(artwork, ready.film, day, numbers)
    wanted = Wanted(films=kit.wanted, wedge_target=settings.get("wedge_target", 6.0))
    if not kit.wanted:  # a test strip is read and kept with the log; nobody gums it
        wanted = replace(wanted, gum_least=0.0)
    return Standing(kit, ready, Measuring(kit, wanted))


def _ready_in(kept: Sequence[Event]) -> BenchReady:
    for event in kept:
        if isinstance(event.body, BenchReady):
            return event.body
    raise JournalTrouble(
        spoken("The record of this rehearsal does not say what its bench was like. Open a new one.")
    )


def _too_thin(rehearsal: Rehearsal) -> str:
    """A sentence where the air here does not give the vacuum that the procedure asks for."""
    floor = rehearsal.run.state.settings.get("vacuum_floor")
    frame = rehearsal.settings.frame
    most = convert(vacuum.highest_gauge(rehearsal.conditions.air, frame, frame.leak_clear), "kPa", "inHg")
    if floor is None or most >= floor:
        return ""
    return spoken(
        "The air here gives {most} inHg on this bench at most, and {floor} inHg is asked for. "
        "Have `vacuum_floor` lowered in the shop file.",
        most=f"{most:.1f}",
        floor=f"{floor:g}",
    )
