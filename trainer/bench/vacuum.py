"""The vacuum frame: air pumped out against a leak, the gauge, and the pressing of film on plate.

With pumping speed S, volume V and a leak that lets in L (at the pressure of the air), the pressure goes to
p_end = (S p_floor + L p_air) / (S + L) at the rate (S + L) / V. Without leak and floor that is the published
t = (V / S) ln(p0 / p1). A gauge shows how far the frame is below the air around it, so it can never show more
than the air has: less in a mountain town. Pressures inside are absolute, in kPa; times in s.

The gauge sits at the inlet and "may or may not" tell the pressure at the film (a trade article of 2002): the
pressing of the film follows it late, with a time of its own (teaching model, calibrate).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, expm1, log

from trainer.bench.limits import OutOfRange, check, held, number, one_of

GASKETS = ("clear", "film-edge", "tape")
_LEAST_AIR, _MOST_AIR = 20.0, 110.0
_LONGEST = 24 * 3600.0
_SAME_RATE = 1e-6
"""Two rates that differ by less than this share are taken as one, where their difference is divided by."""


@dataclass(frozen=True, slots=True)
class Frame:
    """The frame, its pump and its leaks. `pump_floor` is the lowest pressure of the pump, absolute."""

    volume: float = number("L", 0.5, 1000)
    pump_speed: float = number("L/min", 1, 10_000)
    pump_floor: float = number("kPa", 0, 60)
    leak_clear: float = number("L/min", 0, 1000)
    leak_film_edge: float = number("L/min", 0, 1000)
    leak_tape: float = number("L/min", 0, 1000)
    vent: float = number("L/min", 1, 10_000)
    settle: float = number("s", 0.1, 600)

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, slots=True)
class Drawn:
    """A frame at one moment: pressure inside (kPa absolute), and how hard the film is pressed (kPa)."""

    pressure: float
    contact: float

    def __post_init__(self) -> None:
        held(self.pressure, "The pressure inside", 0, _MOST_AIR, "kPa")
        held(self.contact, "The pressing", 0, _MOST_AIR, "kPa")


@dataclass(frozen=True, slots=True)
class Suction:
    """What acts on the frame: the air around it (kPa), its pump on or off, and the leak (L/min)."""

    air: float
    pump: bool = True
    leaking: float = 0.0


def open_frame(air: float) -> Drawn:
    """The frame before the pump is on: the air's own pressure inside, nothing pressed."""
    _air(air)
    return Drawn(air, 0.0)


def leak(gasket: str, frame: Frame) -> float:
    """What the gasket lets in, L/min, by what lies across it: `clear`, `film-edge` or `tape`."""
    one_of(gasket, "What lies across the gasket", GASKETS)
    return {"clear": frame.leak_clear, "film-edge": frame.leak_film_edge, "tape": frame.leak_tape}[gasket]


def draw(state: Drawn, seconds: float, suction: Suction, frame: Frame) -> Drawn:
    """The frame `seconds` later with what acts on it unchanged. Exact for a step of any length.

    Off, the valve lets air in. The contact c follows the gauge g = air - p: c' = (g - c) / settle.
    """
    held(seconds, "The time", 0, _LONGEST, "s")
    air = suction.air
    end, rate = _ending(air, frame, suction.leaking)
    if not suction.pump:
        end, rate = air, (frame.vent + suction.leaking) / frame.volume / 60
    pressure = state.pressure + (end - state.pressure) * -expm1(-rate * seconds)
    # the gauge goes from start to goal; what follows it lags by the two rates' difference
    goal, start, own = air - end, air - state.pressure, 1 / frame.settle
    late = goal + (state.contact - goal) * exp(-own * seconds)
    return Drawn(pressure, max(0.0, late - (goal - start) * _lag(rate, own, seconds)))


def gauge(pressure: float, air: float) -> float:
    """What the gauge shows, kPa below the air; never more than the air's own pressure."""
    _air(air)
    held(pressure, "The pressure inside", 0, _MOST_AIR, "kPa")
    return max(0.0, air - pressure)


def highest_gauge(air: float, frame: Frame, leaking: float = 0.0) -> float:
    """The most that this frame's gauge comes to in the end, kPa below the air."""
    return gauge(min(air, _ending(air, frame, leaking)[0]), air)


def pump_down_time(to: float, air: float, frame: Frame, leaking: float = 0.0) -> float:
    """Seconds from the air's pressure to `to` (kPa absolute). Raises OutOfRange where it is never reached."""
    held(to, "The pressure wanted", 0, _MOST_AIR, "kPa")
    end, rate = _ending(air, frame, leaking)
    if to >= air:
        return 0.0
    if to <= end:
        raise OutOfRange(
            f"This frame comes to {air - end:.4g} kPa below the air of {air:.4g} kPa and no further, "
            f"so {air - to:.4g} kPa is never reached."
        )
    return log((air - end) / (to - end)) / rate


def _ending(air: float, frame: Frame, leaking: float) -> tuple[float, float]:
    """Where the pressure goes with the pump on (kPa absolute), and how fast (1/s)."""
    _air(air)
    held(leaking, "The leak", 0, 1000, "L/min")
    both = frame.pump_speed + leaking
    floor = min(frame.pump_floor, air)
    return (frame.pump_speed * floor + leaking * air) / both, both / frame.volume / 60


def _lag(rate: float, own: float, seconds: float) -> float:
    """The share of a gauge's change that is still missing where it is followed; both rates in 1/s."""
    if abs(rate - own) < _SAME_RATE * own:
        return own * seconds * exp(-own * seconds)
    return own / (own - rate) * (exp(-rate * seconds) - exp(-own * seconds))


def _air(air: float) -> None:
    held(air, "The pressure of the air", _LEAST_AIR, _MOST_AIR, "kPa")
