"""The bench as the run's events leave it: a fold, as the run is, so that a crash loses nothing of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from trainer.bench.apparatus import Apparatus, Kit, made_ready, new_plate
from trainer.bench.apparatus_acts import fitting, let_go, operated, refusal
from trainer.bench.apparatus_time import counted, passed
from trainer.bench.apparatus_work import handled, milestone, work
from trainer.bench.limits import OutOfRange
from trainer.bench.plate import Work
from trainer.rehearsal.bench_measures import Measuring
from trainer.run.events import (
    BenchReady,
    BenchSet,
    Event,
    Moved,
    Paused,
    PlateMade,
    PlateSpoiled,
    RunHandedOver,
    Stamp,
    StepShown,
    Value,
)
from trainer.run.ports import BenchRefused

_STEP = 5.0
"""Bare metal changes slowly: it is looked at anew after so many seconds."""


class Standing:
    """The bench of one rehearsal (`run.ports.Bench`). Between events, time is all that changes it."""

    def __init__(self, kit: Kit, ready: BenchReady, measuring: Measuring) -> None:
        self.kit = kit
        self.measuring = measuring
        self._ready = ready
        self._left = made_ready(kit)
        self._left_at: int | None = None
        self._told = self._left.plate
        self.touched: frozenset[str] = frozenset()
        """Controls operated since the step at hand was shown."""

    def made_ready(self) -> BenchReady:
        """What the record says of the bench."""
        return self._ready

    def follow(self, events: Iterable[Event]) -> None:
        """These events were kept."""
        for event in events:
            self._left = self._after(self.at(event.stamp), event)
            self._left_at = event.stamp.ticks_ms

    def at(self, now: Stamp) -> Apparatus:
        """The bench at a moment, no event having come since the last."""
        gone = 0 if self._left_at is None else max(0, now.ticks_ms - self._left_at)
        return passed(self._left, gone / 1000, self.kit)

    def hinders(self, control: str, value: Value, now: Stamp) -> BenchRefused | None:
        """Why a control cannot be set to that now; None where it can."""
        try:
            wanted = fitting(control, value)
        except OutOfRange as told:
            return BenchRefused(str(told))
        found = refusal(self.at(now), control, wanted, self.kit)
        return None if found is None else BenchRefused(found.sentence, found.first)

    def counted(self, now: Stamp) -> float:
        """What the integrator shows, in units."""
        return counted(self.at(now), self.kit)

    def work(self, now: Stamp) -> Work:
        """What has been done to the plate."""
        return work(self.at(now), self.kit)

    def looked_at(self, now: Stamp) -> Work:
        """The same with what goes on in whole units and seconds: a picture is drawn when it differs."""
        stands = self.at(now)
        done = work(stands, self.kit)
        burns, treatments = done.burns, done.treatments
        if stands.light is not None and burns:
            whole = replace(
                burns[-1], units=float(int(burns[-1].units)), pressing=float(int(burns[-1].pressing))
            )
            burns = (*burns[:-1], whole)
        if stands.plate.pool is not None and treatments:
            treatments = (
                *treatments[:-1],
                replace(treatments[-1], seconds=float(int(treatments[-1].seconds))),
            )
        finishing = done.finishing
        if finishing is not None:
            wet, dry = (_STEP * (seconds // _STEP) for seconds in (finishing.wait_wet, finishing.wait_dry))
            finishing = replace(finishing, water=float(int(finishing.water)), wait_wet=wet, wait_dry=dry)
        return replace(done, fog=round(done.fog, 2), burns=burns, treatments=treatments, finishing=finishing)

    def measures(self, now: Stamp) -> Mapping[str, Value]:
        """The plate's measures as they stand, by name."""
        return self.measuring.measures(self.at(now), self.kit)

    def plate_made(self, now: Stamp, *, always: bool) -> PlateMade | None:
        """The plate with its sheet, where it has come further since it was last told."""
        stands = self.at(now)
        since = handled if always else milestone
        if since(stands.plate) == since(self._told):
            return None
        made = work(stands, self.kit)
        if not (made.burns or made.treatments or made.finishing):
            return None
        found = self.measuring.of_plate(made, self.kit)
        return PlateMade(stands.plate.number, found.get("passes") is True, found)

    def _after(self, before: Apparatus, event: Event) -> Apparatus:
        match event.body:
            case BenchSet(control, value):
                self.touched |= {control}
                return operated(before, control, fitting(control, value), self.kit)
            case StepShown():
                self.touched = frozenset()
            case Moved() | Paused() | RunHandedOver():
                return let_go(before, self.kit)
            case PlateMade():
                self._told = before.plate
            case PlateSpoiled():
                return new_plate(before, self.kit)
        return before
