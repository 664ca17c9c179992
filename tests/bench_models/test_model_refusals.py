"""Numbers that no bench can have are refused by every function, with a sentence of what is possible."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from functools import partial
from inspect import getmembers, isfunction
from math import inf, nan
from types import ModuleType

import numpy as np
import pytest

from trainer.bench import (
    coating,
    contact,
    development,
    finish,
    geometry,
    lamp,
    register,
    tone,
    vacuum,
    wedge,
)
from trainer.bench.limits import OutOfRange, held, range_of
from trainer.bench.register import Climate, Fit
from trainer.bench.settings import SECTIONS, BenchSettings
from trainer.bench.vacuum import Drawn, Suction

MODULES = (coating, contact, development, finish, geometry, lamp, register, tone, vacuum, wedge)
ABSURD = (nan, inf, -inf, -1e12, 1e12)
Case = tuple[Callable[..., object], tuple[float, ...]]


def cases(bench: BenchSettings) -> list[Case]:
    """Every function of the models that takes numbers, with numbers that it takes."""
    lit = partial(lamp.heated, lamp=bench.lamp, lit=True)
    wet = partial(finish.oxidised, finish=bench.finish, wet=True)
    drawn = lambda p, c, seconds, air, leak: vacuum.draw(  # noqa: E731 - a table of calls
        Drawn(p, c), seconds, Suction(air, leaking=leak), bench.frame
    )
    return [
        (partial(lamp.ageing, lamp=bench.lamp), (100,)),
        (lit, (0.5, 10)),
        (partial(lamp.output, lamp=bench.lamp), (0.5, 100)),
        (partial(lamp.counted, lamp=bench.lamp), (10, 0.5, 100)),
        (partial(lamp.seconds_for, lamp=bench.lamp), (24, 0.5, 100)),
        (partial(lamp.by_integrator, lamp=bench.lamp), (24, 0.5, 100)),
        (partial(lamp.by_timer, lamp=bench.lamp), (24, 0.5, 100)),
        (partial(lamp.timer_setting, lamp=bench.lamp), (24,)),
        (geometry.inverse_square, (1000, 800)),
        (geometry.tangent, (100, 1000)),
        (partial(geometry.fall_off, kind="point"), (100, 1000)),
        (partial(geometry.at_plate, sensor="lamp"), (24, 1000, 800)),
        (wedge.density, (6,)),
        (wedge.transmittance, (0.8,)),
        (wedge.exposure_factor, (2,)),
        (wedge.steps_between, (24, 48)),
        (wedge.corrected, (24, 4, 6)),
        (partial(coating.hardened, coating=bench.coating), (24,)),
        (partial(coating.kept, coating=bench.coating), (24, 1)),
        (partial(coating.fog, coating=bench.coating), (500, 60)),
        (partial(coating.dose_for, coating=bench.coating), (0.9,)),
        (vacuum.open_frame, (100,)),
        (drawn, (100, 0, 10, 100, 5)),
        (vacuum.gauge, (20, 100)),
        (lambda air, leak: vacuum.highest_gauge(air, bench.frame, leak), (100, 5)),
        (lambda to, air, leak: vacuum.pump_down_time(to, air, bench.frame, leak), (50, 100, 5)),
        (partial(contact.gap, contact=bench.contact), (60,)),
        (partial(contact.dust_reach, contact=bench.contact), (50, 60)),
        (partial(contact.dust_gap, contact=bench.contact), (1, 50, 60)),
        (contact.undercut, (10, 0.5, 0.03)),
        (contact.through_base, (100, 0.5, 1.64)),
        (partial(development.temperature_factor, developer=bench.developer), (22,)),
        (development.q10, (8, 24, 40, 70)),
        (development.speed, (19, 22, 2)),
        (partial(development.strength, developer=bench.developer), (10,)),
        (partial(development.rate, developer=bench.developer), (22, 10)),
        (partial(development.time_for, developer=bench.developer), (22, 10)),
        (partial(development.treatment, developer=bench.developer), (60, 1, 1, 1)),
        (development.per_area, (75, 1000)),
        (partial(development.wetted, developer=bench.developer), (75, 1000)),
        (partial(development.drying_time, developer=bench.developer), (75, 1000)),
        (partial(development.dried, developer=bench.developer), (60, 75, 1000)),
        (development.redeposited, (0.5, 0.2)),
        (partial(finish.residue, finish=bench.finish), (10,)),
        (wet, (60, 0.5)),
        (partial(finish.protection, finish=bench.finish), (1,)),
        (partial(finish.blinding, finish=bench.finish), (1,)),
        (finish.specific_gravity, (14,)),
        (finish.baume, (1.1,)),
        (finish.water_for, (1000, 14, 10)),
        (partial(finish.developer_left, finish=bench.finish), (10,)),
        (register.growth, (700, 3, 5, 18e-6, 16e-6)),
        (lambda *given: register.stretch(bench.register, Climate(*given)), (3, 5, 3)),
        (lambda slack: register.seated(bench.register, slack), (0.5,)),
        (lambda *given: register.unseated(bench.register, *given), (0.5, 0.5, 0.5)),
        (lambda x, y, *fit: register.displacement(x, y, Fit(*fit)), (100, 50, 0.1, 0.1, 0.001, 0.0001)),
        (lambda x, y: register.error(x, y, Fit()), (100, 50)),
        (lambda x, y: register.worst([(x, y)], Fit()), (100, 50)),
        (partial(register.followed, register=bench.register), (5, 4)),
        (register.slot_error, (0.02, 600, 1000)),
        (register.bending_stretch, (0.3, 150)),
        (tone.pitch, (60,)),
        (tone.tone_of, (30, 60)),
        (tone.radius, (0.5, 60)),
        (tone.grown, (0.5, 5, 60)),
        (tone.area, (0.54, 1.47, 0.05, 1.7)),
    ]


def plain(call: Callable[..., object]) -> Callable[..., object]:
    """The function under a partial."""
    return call.func if isinstance(call, partial) else call


def test_every_function_of_the_models_is_in_the_table(bench: BenchSettings) -> None:
    """No public function that takes a number from a caller is left out of the table."""
    tried = {plain(call) for call, _ in cases(bench)}
    named = " ".join(name for call in tried for name in getattr(call, "__code__").co_names)  # noqa: B009
    without_numbers = {"leak", "gum_film", "spread", "reading"}
    missing = [
        f"{module.__name__}.{name}"
        for module in MODULES
        for name, function in own_functions(module)
        if function not in tried and name not in named.split() and name not in without_numbers
    ]
    assert missing == []


def own_functions(module: ModuleType) -> list[tuple[str, Callable[..., object]]]:
    """The public functions that a module defines itself."""
    return [
        (name, function)
        for name, function in getmembers(module, isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_")
    ]


def test_every_absurd_number_is_refused_everywhere(bench: BenchSettings) -> None:
    """NaN, endless, and absurdly small or large numbers are refused as any argument of any function."""
    taken = []
    for call, arguments in cases(bench):
        call(*arguments)
        for place in range(len(arguments)):
            for absurd in ABSURD:
                given = (*arguments[:place], absurd, *arguments[place + 1 :])
                if not refuses(call, given):
                    taken.append((plain(call).__qualname__, place, absurd))
    assert taken == []


def refuses(call: Callable[..., object], given: tuple[float, ...]) -> bool:
    """Is a call refused, and with a sentence?"""
    try:
        call(*given)
    except OutOfRange as refused:
        return str(refused).endswith(".")
    return False


@pytest.mark.parametrize("wrong", [nan, inf, -1.0])
def test_one_wrong_place_of_an_array_is_enough(bench: BenchSettings, wrong: float) -> None:
    """An array with one NaN, endless or negative dose in it is refused as the number alone would be."""
    doses = np.full((4, 4), 24.0, dtype=np.float32)
    doses[2, 1] = wrong
    with pytest.raises(OutOfRange, match=r"^The dose is .*; it must be from 0 to 1e\+06 units\.$"):
        coating.kept(doses, 1, bench.coating)


@pytest.mark.parametrize(
    ("value", "sentence"),
    [
        (-3.0, "The time is -3 s; it must be from 0 to 60 s."),
        (61.0, "The time is 61 s; it must be from 0 to 60 s."),
        (nan, "The time is no number; it must be from 0 to 60 s."),
        (inf, "The time is endless; it must be from 0 to 60 s."),
    ],
)
def test_sentence_says_what_is_wrong_and_what_is_possible(value: float, sentence: str) -> None:
    """The sentence has the number with its unit, and the least and the most."""
    with pytest.raises(OutOfRange) as refused:
        held(value, "The time", 0, 60, "s")
    assert str(refused.value) == sentence


def test_what_is_no_number_is_refused() -> None:
    """A truth or an array of texts is no number, and the sentence names what it is."""
    with pytest.raises(OutOfRange, match="must be a number, and this is bool"):
        held(True, "The time", 0, 60, "s")  # noqa: FBT003 - the wrong value is the point
    with pytest.raises(OutOfRange, match="must be numbers, and these are"):
        held(np.array(["a"]), "The time", 0, 60, "s")


def test_settings_hold_every_number_to_its_range(bench: BenchSettings) -> None:
    """Each number of each settings dataclass is refused outside its range and where it is NaN."""
    for section, kind in SECTIONS.items():
        settings = getattr(bench, section)
        for one in fields(kind):
            if limits := range_of(one):
                for wrong in (limits.least - 1, limits.most * 2 + 1, nan):
                    with pytest.raises(OutOfRange, match=one.name):
                        replace(settings, **{one.name: wrong})
