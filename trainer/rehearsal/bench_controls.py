"""The controls of the bench as a front end shows them, and its instruments."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from trainer.bench import development, vacuum
from trainer.bench.apparatus import HELD, Apparatus, Kit, Setting
from trainer.bench.apparatus_acts import AT_ZERO
from trainer.bench.apparatus_time import counted as units_counted
from trainer.bench.apparatus_time import coverage, is_bare, lit, room_light
from trainer.procedure.units import convert
from trainer.procedure.vocabulary import CONTROLS, Control
from trainer.rehearsal.bench_terms import term
from trainer.rehearsal.bench_view import Choice, ControlView, Gauge
from trainer.rehearsal.retold import words
from trainer.run.measured import measured
from trainer.tongue import counted, language, spoken

_SWITCH = ("off", "on")
_PACK = 20
"""Plates in a full pack."""


def control_view(name: str, now: Apparatus, kit: Kit, *, touched: bool) -> ControlView:
    """One control as it stands."""
    done = _done(name, now, kit)
    return _control_view(name, _value(name, now), done, touched=touched, language=language())


def _value(name: str, now: Apparatus) -> Setting:
    """Where a control is seen to stand: a plate that is out and a cup that is emptied stay so."""
    if name == "take":
        return "on" if now.plate.out else "off"
    if name == "pour":
        return "on" if now.plate.pool is not None and not now.number("developer") else "off"
    return now.controls[name]


@lru_cache(maxsize=256)
def _control_view(name: str, value: Setting, done: str, *, touched: bool, language: str) -> ControlView:
    """All of them are drawn twenty times a second, and few of them change. language: of the words kept."""
    del language
    control = CONTROLS[name]
    return ControlView(
        name=name,
        label=term(words(name).capitalize()),
        doc=control.doc,
        kind="number" if not control.options else "switch" if control.options == _SWITCH else "choice",
        value=value,
        shown=measured(value, control.unit) if isinstance(value, float) else term(words(value)),
        options=tuple(Choice(key, term(words(key))) for key in _positions(control)),
        unit=control.unit,
        least=control.least,
        most=control.most,
        held=control.held,
        touched=touched,
        going=control.held and value != "none",
        done=done,
    )


ASKED = {"temperature": "degC", "hours": "h", "pack": "each"}
"""Instruments that nobody looks at but where their reading is asked for, and its unit."""


def gauges(now: Apparatus, kit: Kit, asked: str) -> tuple[Gauge, ...]:
    """Every instrument; what has something to show is lit. `asked`: the unit of the step's reading."""
    every = (*_frame(now, kit), *_sink(now, kit), *_beside(now, kit))
    return tuple(
        replace(gauge, lit=False) if ASKED.get(gauge.name, asked) != asked else gauge for gauge in every
    )


def _positions(control: Control) -> tuple[str, ...]:
    """The words to choose from; what is held is ended by letting go, not by choosing."""
    return tuple(key for key in control.options if key != "none" or control.name not in HELD)


def _done(name: str, now: Apparatus, kit: Kit) -> str:
    plate = now.plate
    if name == "rubbing" and plate.rubbed:
        share, seconds = f"{100 * _reached(now, kit):.0f} %", f"{plate.rubbed:.0f}"
        return spoken("{share} of the plate, {seconds} s", share=share, seconds=seconds)
    if name == "rinse" and plate.rinsed != "none":
        return f"{term(words(plate.rinsed))}, {plate.water:.0f} s"
    return ""


def _reached(now: Apparatus, kit: Kit) -> float:
    """The share of the plate that the pad has come to."""
    pool, rubbing = now.plate.pool, now.word("rubbing")
    if pool is None:
        return coverage(now.plate.rubbed, "all-over", kit)
    seconds = pool.rubbed_before + (pool.seconds if rubbing != "none" else 0.0)
    return coverage(seconds, "part" if rubbing == "part" else "all-over", kit)


def _frame(now: Apparatus, kit: Kit) -> Iterator[Gauge]:
    gauge = vacuum.gauge(now.drawn.pressure, kit.conditions.air)
    value, most = convert(gauge, "kPa", "inHg"), convert(kit.conditions.air, "kPa", "inHg")
    drawn = now.word("glass") != "open" and (now.on("pump") or gauge >= AT_ZERO)
    yield Gauge(
        "vacuum", term("Vacuum"), value, "inHg", 0.0, most, f"{value:.1f} inHg, {gauge:.0f} kPa", drawn
    )
    units, set_to = units_counted(now, kit), now.light.set_to if now.light else now.number("units")
    timed = now.word("counter") == "timer"
    said = spoken("{units} units", units=f"{units:.1f}")
    if set_to and not timed:
        said = spoken("{units} of {all} units", units=f"{units:.1f}", all=f"{set_to:g}")
    count_lit = bool(now.light or set_to or (now.count and drawn))
    yield Gauge("count", term("Count"), units, "units", 0.0, set_to or units, said, count_lit)
    lasts = now.light.lasts if now.light else 0.0
    gone = now.light.seconds if now.light else 0.0
    said = spoken("{seconds} of {all} s", seconds=f"{gone:.0f}", all=f"{lasts:.0f}")
    yield Gauge("timer", term("Timer"), gone, "s", 0.0, lasts, said, timed and bool(now.light))
    glow = 100 * lit(now, kit)
    said = spoken("{share} of full light", share=f"{glow:.0f} %")
    yield Gauge("lamp", term("Lamp"), glow, "%", 0.0, 100.0, said, now.light is not None)


def _sink(now: Apparatus, kit: Kit) -> Iterator[Gauge]:
    plate, developer = now.plate, kit.settings.developer
    share = 100 * _reached(now, kit)
    yield Gauge("coverage", term("Rubbed"), share, "%", 0.0, 100.0, f"{share:.0f} %", plate.pool is not None)
    left = most = 0.0
    if plate.pool is not None:
        most = development.drying_time(plate.pool.volume, kit.job.area, developer)
        left = max(0.0, most - plate.pool.lies)
    said = spoken("dries in {seconds} s", seconds=f"{left:.0f}") if left else spoken("has dried in places")
    yield Gauge("pool", term("Developer"), left, "s", 0.0, most, said, plate.pool is not None)
    cup = now.number("developer")
    yield Gauge("cup", term("In the cup"), cup, "mL", 0.0, 150.0, f"{cup:g} mL", cup > 0)
    degrees = now.number("developer_temperature")
    yield Gauge("temperature", term("Developer"), degrees, "degC", 5.0, 40.0, f"{degrees:.1f} °C")
    water = now.word("rinse") != "none"
    yield Gauge("water", term("Water"), plate.water, "s", 0.0, 60.0, f"{plate.water:.0f} s", water)
    bare = plate.wet + plate.dry
    yield Gauge(
        "bare", term("Without gum"), bare, "s", 0.0, 600.0, f"{bare:.0f} s", is_bare(plate) and not water
    )


def _beside(now: Apparatus, kit: Kit) -> Iterator[Gauge]:
    light = room_light(now, kit)
    said = spoken("{lux} lx of room light", lux=f"{light:g}")
    yield Gauge("uncovered", term("On the coating"), light, "lx", 0.0, 1000.0, said, light > 0)
    hours = kit.conditions.lamp_hours
    yield Gauge("hours", term("Lamp hours"), hours, "h", 0.0, 1000.0, f"{hours:g} h")
    left = float(_PACK - now.plate.number + 1)
    said = counted("{number} plate", "{number} plates", round(left))
    yield Gauge("pack", term("In the pack"), left, "each", 0.0, float(_PACK), said)
