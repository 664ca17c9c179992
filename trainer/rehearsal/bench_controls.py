"""The controls of the bench as a front end shows them, and its instruments."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from trainer.bench import development, vacuum
from trainer.bench.apparatus import HELD, Apparatus, Kit, Setting
from trainer.bench.apparatus_acts import AT_ZERO
from trainer.bench.apparatus_time import counted, coverage, is_bare, lit, room_light
from trainer.procedure.units import convert, shown
from trainer.procedure.vocabulary import CONTROLS, Control
from trainer.rehearsal.bench_view import Choice, ControlView, Gauge

_SWITCH = ("off", "on")
_PACK = 20
"""Plates in a full pack."""


def control_view(name: str, now: Apparatus, kit: Kit, *, touched: bool) -> ControlView:
    """One control as it stands."""
    return _control_view(name, _value(name, now), _done(name, now, kit), touched=touched)


def _value(name: str, now: Apparatus) -> Setting:
    """Where a control is seen to stand: a plate that is out and a cup that is emptied stay so."""
    if name == "take":
        return "on" if now.plate.out else "off"
    if name == "pour":
        return "on" if now.plate.pool is not None and not now.number("developer") else "off"
    return now.controls[name]


@lru_cache(maxsize=256)
def _control_view(name: str, value: Setting, done: str, *, touched: bool) -> ControlView:
    """All of them are drawn twenty times a second, and few of them change."""
    control = CONTROLS[name]
    return ControlView(
        name=name,
        label=words(name).capitalize(),
        doc=control.doc,
        kind="number" if not control.options else "switch" if control.options == _SWITCH else "choice",
        value=value,
        shown=shown(value, control.unit) if isinstance(value, float) else words(value),
        options=tuple(Choice(key, words(key)) for key in _positions(control)),
        unit=control.unit,
        least=control.least,
        most=control.most,
        held=control.held,
        touched=touched,
        going=control.held and value != "none",
        done=done,
    )


def words(key: str) -> str:
    """A key in words: `emulsion-down` is 'emulsion down'."""
    return key.replace("-", " ").replace("_", " ")


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
        return f"{_reached(now, kit):.0%} of the plate, {plate.rubbed:.0f} s".replace("%", " %")
    if name == "rinse" and plate.rinsed != "none":
        return f"{words(plate.rinsed)}, {plate.water:.0f} s"
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
    yield Gauge("vacuum", "Vacuum", value, "inHg", 0.0, most, f"{value:.1f} inHg, {gauge:.0f} kPa", drawn)
    units, set_to = counted(now, kit), now.light.set_to if now.light else now.number("units")
    timed = now.word("counter") == "timer"
    of = f" of {set_to:g}" if set_to and not timed else ""
    count_lit = bool(now.light or set_to or (now.count and drawn))
    yield Gauge("count", "Count", units, "units", 0.0, set_to or units, f"{units:.1f}{of} units", count_lit)
    lasts = now.light.lasts if now.light else 0.0
    gone = now.light.seconds if now.light else 0.0
    yield Gauge(
        "timer", "Timer", gone, "s", 0.0, lasts, f"{gone:.0f} of {lasts:.0f} s", timed and bool(now.light)
    )
    glow = 100 * lit(now, kit)
    yield Gauge("lamp", "Lamp", glow, "%", 0.0, 100.0, f"{glow:.0f} % of full light", now.light is not None)


def _sink(now: Apparatus, kit: Kit) -> Iterator[Gauge]:
    plate, developer = now.plate, kit.settings.developer
    share = 100 * _reached(now, kit)
    yield Gauge("coverage", "Rubbed", share, "%", 0.0, 100.0, f"{share:.0f} %", plate.pool is not None)
    left = most = 0.0
    if plate.pool is not None:
        most = development.drying_time(plate.pool.volume, kit.job.area, developer)
        left = max(0.0, most - plate.pool.lies)
    said = f"dries in {left:.0f} s" if left else "has dried in places"
    yield Gauge("pool", "Developer", left, "s", 0.0, most, said, plate.pool is not None)
    cup = now.number("developer")
    yield Gauge("cup", "In the cup", cup, "mL", 0.0, 150.0, f"{cup:g} mL", cup > 0)
    degrees = now.number("developer_temperature")
    yield Gauge("temperature", "Developer", degrees, "degC", 5.0, 40.0, f"{degrees:.1f} °C")
    water = now.word("rinse") != "none"
    yield Gauge("water", "Water", plate.water, "s", 0.0, 60.0, f"{plate.water:.0f} s", water)
    bare = plate.wet + plate.dry
    yield Gauge("bare", "Without gum", bare, "s", 0.0, 600.0, f"{bare:.0f} s", is_bare(plate) and not water)


def _beside(now: Apparatus, kit: Kit) -> Iterator[Gauge]:
    light = room_light(now, kit)
    yield Gauge(
        "uncovered", "On the coating", light, "lx", 0.0, 1000.0, f"{light:g} lx of room light", light > 0
    )
    hours = kit.conditions.lamp_hours
    yield Gauge("hours", "Lamp hours", hours, "h", 0.0, 1000.0, f"{hours:g} h")
    left = float(_PACK - now.plate.number + 1)
    yield Gauge("pack", "In the pack", left, "each", 0.0, float(_PACK), f"{left:g} plates")
