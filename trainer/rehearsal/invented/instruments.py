"""What is read off each instrument in a wet run: right, misread, or mistyped."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Final

from trainer.procedure.model import Reading
from trainer.rehearsal.invented.stations import USUAL_UNITS, Station
from trainer.run.facts import Facts


@dataclass(frozen=True, slots=True)
class Instrument:
    """good: mean and spread of what is as wanted, held to `within`. off: ranges of what is not.

    step: of its scale.
    """

    good: tuple[float, float]
    within: tuple[float, float]
    off: tuple[tuple[float, float], ...]
    step: float

    def read(self, drawn: Random, *, hit: bool) -> float:
        """One reading."""
        if hit or not self.off:
            least, most = self.within
            value = min(most, max(least, drawn.gauss(*self.good)))
        else:
            value = drawn.uniform(*drawn.choice(self.off))
        return round(value / self.step) * self.step


_KNOWN: Final = {
    "plates_left": Instrument((25, 12), (2, 60), (), 1),
    "developer_warmth": Instrument((23, 1), (20, 26), ((16, 19), (27, 30)), 0.5),
    "warmth": Instrument((22, 0.8), (20, 24), ((16, 19), (25, 28)), 0.5),
    "poured": Instrument((75, 4), (62, 88), ((45, 57), (93, 120)), 1),
    "clear": Instrument((3, 0), (3, 3), ((2, 2.5), (3.5, 4.5)), 0.5),
    "left": Instrument((2.5, 1), (0.5, 5), (), 0.1),
    "bin": Instrument((45, 20), (5, 95), (), 5),
    "hours": Instrument((450, 150), (50, 1200), (), 1),
    "caught": Instrument((2.1, 0.3), (1.6, 3.5), ((0.8, 1.4),), 0.1),
    "reached": Instrument((7.5, 1.2), (4, 10), ((11, 18),), 1),
    "cleared": Instrument((48, 7), (25, 60), ((63, 95),), 1),
    "spilled": Instrument((250, 90), (50, 480), ((600, 1500),), 10),
    "missing": Instrument((0, 0), (0, 0), ((1, 1),), 1),
    "water": Instrument((24, 1.2), (20, 28), ((15, 18.5), (30, 35)), 0.5),
    "dryer": Instrument((60, 2), (50, 65), ((67, 80),), 1),
    "relief": Instrument((0.62, 0.04), (0.5, 0.9), ((0.3, 0.46),), 0.01),
    "thickness": Instrument((1.05, 0.03), (0.95, 1.15), (), 0.01),
    "block": Instrument((23.32, 0.012), (23.3, 23.34), ((23.2, 23.27), (23.37, 23.45)), 0.01),
}
_TEPID: Final = Instrument((24, 3), (17, 35), ((9, 14),), 0.5)
_RELIEF_WEDGE: Final = 10.0
"""A relief block stands so many steps higher than a plate, its own dose being given."""
_MISREAD: Final = (-2.0, -1.5, 1.5, 2.0)
_LOW: Final = (14.0, 19.0)


@dataclass(frozen=True, slots=True)
class Seen:
    """What stands before a trainee who reads: where, when, in which procedure; facts: of the run."""

    station: Station
    at_ms: int
    procedure: str
    facts: Facts


def value(reading: Reading, seen: Seen, drawn: Random, *, hit: bool) -> float:
    """What is read in a wet run, in the reading's own unit."""
    match reading.name:
        case "vacuum" | "vacuum_again":
            stands = seen.station.gauge(drawn) if hit else drawn.uniform(*_LOW)
            return round(stands * 2) / 2
        case "wedge":
            return wedge_seen(_solid(seen, drawn), drawn, hit=hit)
        case "lamp_hours":
            return seen.station.lamp_hours(seen.at_ms) + (0 if hit else drawn.randint(-9, 9))
        case "warmth" if seen.procedure == "eye-splash":
            return _TEPID.read(drawn, hit=hit)
        case "water" if seen.procedure != "polymer-relief-block":
            return _TEPID.read(drawn, hit=hit)
    return _KNOWN[reading.name].read(drawn, hit=hit)


def wedge_seen(solid: float, drawn: Random, *, hit: bool) -> float:
    """A wedge is read to half a step; whoever misreads it is off by more than one."""
    read = solid if hit else solid + drawn.choice(_MISREAD)
    return min(21.0, max(1.0, round(read * 2) / 2))


def _solid(seen: Seen, drawn: Random) -> float:
    """The step that the plate shows."""
    if seen.procedure == "polymer-relief-block":
        return min(21.0, seen.station.solid_step(USUAL_UNITS, seen.at_ms, drawn) + _RELIEF_WEDGE)
    units = seen.facts.value("worked.units" if seen.procedure == "exposure-test" else "settings.exposure")
    return seen.station.solid_step(
        float(units) if isinstance(units, int | float) else USUAL_UNITS, seen.at_ms, drawn
    )


def typed(number: float) -> str:
    """A number as it is typed."""
    return f"{number:.3f}".rstrip("0").rstrip(".")


def slipped(number: float, reading: Reading) -> str | None:
    """The number with a key missed, where no instrument can show that; None where one can."""
    digits = typed(number).replace(".", "")
    for tried in (digits, f"{digits}{digits[-1]}", f"{digits}0"):
        if float(tried) > reading.plausible[1] and len(tried) < 8:
            return tried
    return None
