"""The four stations of an invented class: vacuum, lamp and developer as the bench's models have them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from random import Random
from typing import Final

from trainer.bench import lamp, vacuum, wedge
from trainer.bench.settings import BenchSettings
from trainer.procedure.units import convert
from trainer.rehearsal.bench_settings import read_bench
from trainer.rehearsal.invented.chance import boot_id, dice
from trainer.rehearsal.invented.planted import Planted
from trainer.rehearsal.invented.term import bounds
from trainer.rehearsal.invented.term_clock import TermClock

USUAL_UNITS: Final = 24.0
"""The dose that gives the wedge step that is wanted."""
_SOLID: Final = 6.0
_SEEN: Final = 0.6
"""The integrator sees this share of what an ageing lamp loses; the coating answers to all of it."""
_DAY_MS, _SWITCHED_ON = 86_400_000, 8 * 3_600_000
_HOURS_A_DAY: Final = 0.7
_AIR: Final = 101.3
_DAY_TO_DAY: Final = 0.25
"""Of the solid step: developer, warmth and the wedge's own grain, steps."""


@dataclass(frozen=True, slots=True)
class Station:
    """One sink with its frame. leak: L/min. off: of the wedge, steps. hours: of the lamp at first."""

    seed: int
    name: str
    leak: float
    off: float
    hours: float
    planted: Planted

    def lost(self, at_ms: int) -> float:
        """What the lamp has lost by then, in steps of the wedge."""
        drift = self.planted.drift
        return drift.steps_at(at_ms) if drift is not None and drift.station == self.name else 0.0

    def lamp_hours(self, at_ms: int) -> float:
        """What the lamp's counter shows."""
        return round(self.hours + _HOURS_A_DAY * (at_ms - bounds()[0]) / _DAY_MS)

    def seconds(self, units: float, at_ms: int, drawn: Random) -> float:
        """How long a dose takes here."""
        warm = min(1.0, max(0.0, drawn.gauss(0.75, 0.1)))
        lit = lamp.seconds_for(units, warm, self.lamp_hours(at_ms), _bench().lamp)
        return lit * wedge.exposure_factor(_SEEN * self.lost(at_ms)) * drawn.gauss(1, 0.01)

    def solid_step(self, units: float, at_ms: int, drawn: Random) -> float:
        """The last solid step that a plate shows here after so many units."""
        given = wedge.steps_between(USUAL_UNITS, units) - self.lost(at_ms)
        return min(21.0, max(1.0, _SOLID + self.off + given + drawn.gauss(0, _DAY_TO_DAY)))

    def gauge(self, drawn: Random) -> float:
        """What the vacuum gauge comes to, inHg."""
        most = vacuum.highest_gauge(_AIR, _bench().frame, self.leak)
        return convert(most, "kPa", "inHg") + drawn.gauss(0, 0.2)

    def clock(self, at_ms: int) -> TermClock:
        """The station's clock: switched on in the morning, so one boot a day."""
        day = at_ms // _DAY_MS
        boot = boot_id(dice(self.seed, self.name, day, "boot"))
        return TermClock(at_ms, boot, day * _DAY_MS + _SWITCHED_ON)


def station(seed: int, name: str, planted: Planted) -> Station:
    """The station of this name in the class of this seed."""
    drawn = dice(seed, name)
    return Station(
        seed=seed,
        name=name,
        leak=drawn.uniform(5, 12),
        off=drawn.uniform(-0.2, 0.4),
        hours=drawn.uniform(100, 500),
        planted=planted,
    )


@lru_cache(maxsize=1)
def _bench() -> BenchSettings:
    return read_bench()
