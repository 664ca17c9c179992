"""The bench under a hand: what it refuses, what time does to it, and what the vocabulary says of it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.bench.apparatus import HELD, NUMBERS, WORDS, Apparatus, Kit, Setting, made_ready, untouched
from trainer.bench.apparatus_acts import fitting, let_go, operated, refusal
from trainer.bench.apparatus_time import counted, passed
from trainer.bench.apparatus_work import work
from trainer.bench.conditions import Conditions, drawn
from trainer.bench.conditions import given as day_given
from trainer.bench.limits import OutOfRange
from trainer.procedure.vocabulary import CONTROLS
from trainer.rehearsal import artworks
from trainer.rehearsal.bench_settings import as_mapping, from_mapping, read_bench

Act = tuple[str, Setting]
LOADED: tuple[Act, ...] = (
    *(("take", "on"), ("punch", "centred"), ("power", "on"), ("pins", "seated")),
    *(("film", "image"), ("film_pins", "seated"), ("mask", "image"), ("glass", "locked"), ("pump", "on")),
)
LIT: tuple[Act, ...] = (*LOADED, ("lamp_side", "closed"), ("units", 24.0), ("lamp", "on"))
POURED: tuple[Act, ...] = (("take", "on"), ("developer", 75.0), ("pour", "on"))


def kit_of(**conditions: bool | float | str) -> Kit:
    """The tide-table card on a usual day."""
    return artworks.kit_for(artworks.read_job(artworks.USUAL), "black", day_given(conditions), read_bench())


KIT = kit_of()


def after(*acts: Act, kit: Kit = KIT, seconds: float = 0.0) -> Apparatus:
    """The bench after these acts, each of them allowed, with time between them."""
    now = made_ready(kit)
    for control, value in acts:
        assert refusal(now, control, value, kit) is None, (control, value)
        now = passed(operated(now, control, value, kit), seconds, kit)
    return now


def test_every_control_is_declared_as_the_bench_has_it() -> None:
    """Names, words, units, limits, what is held and where each stands untouched are the same for both."""
    assert set(CONTROLS) == set(WORDS) | set(NUMBERS)
    stands = untouched(Conditions())
    for name, control in CONTROLS.items():
        assert control.untouched == stands[name]
        assert control.held == (name in HELD)
        if control.options:
            assert control.options == WORDS[name]
        else:
            assert (control.least, control.most, control.unit, control.untouched) == NUMBERS[name]


@pytest.mark.parametrize(
    ("acts", "control", "value", "said", "first"),
    [
        (LOADED, "film", "none", "The glass is down", "glass"),
        (LOADED, "gasket", "clear", "The glass is down", "glass"),
        ((), "pump", "on", "no power", "power"),
        ((), "lamp", "on", "no power", "power"),
        ((("power", "on"),), "lamp", "on", "The glass is open", "glass"),
        (LOADED, "lamp", "on", "The lamp side is open", "lamp_side"),
        (LIT, "lamp_side", "open", "The light is on", "lamp"),
        (LIT, "glass", "open", "The light is on", "lamp"),
        (LIT, "take", "on", "The light is on", "lamp"),
        (LIT, "units", 30.0, "Nothing is set while", ""),
        (LIT, "timer", 30.0, "Nothing is set while", ""),
        ((("take", "on"),), "pins", "seated", "no holes", "punch"),
        ((), "film_pins", "seated", "no film", "film"),
        (LOADED[:2], "punch", "centred", "punched already", ""),
        ((), "punch", "none", "not pulled yet", ""),
        ((("take", "on"),), "pour", "on", "The cup is empty", "developer"),
        ((("take", "on"),), "rubbing", "all-over", "no developer on the plate", "pour"),
        ((("take", "on"),), "buff", "on", "no gum", "gum"),
    ],
)
def test_what_no_bench_allows_is_refused(
    acts: tuple[Act, ...], control: str, value: Setting, said: str, first: str
) -> None:
    """A sentence says why, and which control to see to first."""
    found = refusal(after(*acts), control, value, KIT)
    assert found is not None
    assert said in found.sentence
    assert found.first == first


def test_glass_comes_up_only_when_the_needle_is_at_zero() -> None:
    """With vacuum on it, and for some seconds after the pump is off, the glass is not to be lifted."""
    drawn_down = passed(after(*LOADED), 40.0, KIT)
    told = refusal(drawn_down, "glass", "open", KIT)
    assert told is not None
    assert told.first == "pump"
    off = operated(drawn_down, "pump", "off", KIT)
    waiting = refusal(off, "glass", "open", KIT)
    assert waiting is not None
    assert "Wait until" in waiting.sentence
    assert refusal(passed(off, 60.0, KIT), "glass", "open", KIT) is None


@pytest.mark.parametrize(
    ("control", "value", "said"),
    [
        ("pump", "up", "off, on"),
        ("pump", 1.0, "off, on"),
        ("units", "many", "number of units"),
        ("units", float("nan"), "no number"),
        ("units", -1.0, "-1 units"),
        ("units", 1e9, "1e+09 units"),
        ("units", True, "number of units"),
        ("developer_temperature", 90.0, "90 degC"),
        ("kettle", "on", "no control `kettle`"),
    ],
)
def test_absurd_values_are_refused(control: str, value: object, said: str) -> None:
    """Words that a control does not have, and numbers out of its range, get a sentence."""
    with pytest.raises(OutOfRange, match=said.replace("+", r"\+")):
        fitting(control, value)


def test_light_goes_out_by_itself_at_the_count() -> None:
    """However long nobody looks, the integrator ends the exposure at what was set, and forgets the number."""
    out = passed(after(*LIT), 600.0, KIT)
    assert out.light is None
    assert counted(out, KIT) == pytest.approx(24.0)
    assert (out.word("lamp"), out.number("units")) == ("off", 0.0)
    (burn,) = out.plate.burns
    assert burn.units == pytest.approx(24.0)


def test_cold_lamp_counts_slowly_and_gives_the_same_dose() -> None:
    """After twenty seconds an old cold lamp has counted less than a hot new one; in the end both gave 24."""
    kits = {"cold": kit_of(lamp_hours=1000), "hot": kit_of(lamp_hours=0, lamp_warm=1)}
    early = {name: counted(passed(after(*LIT, kit=kit), 20.0, kit), kit) for name, kit in kits.items()}
    late = {name: passed(after(*LIT, kit=kit), 600.0, kit).plate.burns for name, kit in kits.items()}
    assert early["cold"] < 0.6 * early["hot"]
    assert [burn.units for burns in late.values() for burn in burns] == pytest.approx([24.0, 24.0])


def test_plain_timer_gives_a_cold_lamp_less() -> None:
    """A timer ends after its seconds, whatever the lamp gave; the same seconds give less from a cold lamp."""
    timed = (*LIT[:-2], ("counter", "timer"), ("timer", 24.0), ("lamp", "on"))
    given_units = []
    for warm in (0, 1):
        kit = kit_of(lamp_hours=0, lamp_warm=warm)
        (burn,) = passed(after(*timed, kit=kit), 100.0, kit).plate.burns
        given_units.append(burn.units)
    assert given_units[0] < 0.5 * given_units[1]
    assert given_units[1] == pytest.approx(24.0)


def test_nothing_set_gives_no_light() -> None:
    """A lamp switched on with nothing set goes out at once, and no burn is on the plate."""
    dark = passed(after(*LIT[:-2], ("lamp", "on")), 10.0, KIT)
    assert (dark.word("lamp"), dark.plate.burns) == ("off", ())


def test_pump_stopped_early_splits_the_burn() -> None:
    """What was burned before the pump stopped was pressed; what came after was not, and the units add up."""
    pressed = passed(operated(passed(after(*LIT[:-1]), 90.0, KIT), "lamp", "on", KIT), 30.0, KIT)
    loose = passed(operated(pressed, "pump", "off", KIT), 600.0, KIT)
    first, second = loose.plate.burns
    assert first.pressing > 80
    assert second.pressing < 20
    assert first.units + second.units == pytest.approx(24.0)


def test_an_open_plate_fogs_until_it_is_covered() -> None:
    """Ten minutes in room light fog it; under a cover or a mask they add nothing; shade makes it slow."""
    lying = passed(after(("take", "on")), 600.0, KIT)
    covered = passed(after(("take", "on"), ("cover", "on")), 600.0, KIT)
    masked = passed(after(("take", "on"), ("mask", "image")), 600.0, KIT)
    shaded = passed(after(("shade", "on"), ("take", "on")), 600.0, KIT)
    assert lying.plate.fog == KIT.conditions.room_light * 600
    assert covered.plate.fog == masked.plate.fog == 0
    assert 0 < shaded.plate.fog < 0.2 * lying.plate.fog


def test_rubbing_covers_the_plate_while_it_is_kept_up() -> None:
    """Coverage climbs with the seconds of rubbing and stops with it; a part is never the whole."""
    rubbing = operated(after(*POURED, ("spread", "all-over")), "rubbing", "all-over", KIT)
    going_over = KIT.settings.developer.going_over
    half = let_go(passed(rubbing, going_over / 2, KIT), KIT)
    rested = passed(half, 30.0, KIT)
    assert [one.rubbing for one in work(rested, KIT).treatments] == ["all-over", "none"]
    assert work(rested, KIT).treatments[0].reached == pytest.approx(0.5)
    more = passed(operated(rested, "rubbing", "all-over", KIT), going_over, KIT)
    assert work(more, KIT).treatments[-1].reached == 1.0
    part = passed(operated(after(*POURED), "rubbing", "part", KIT), 600.0, KIT)
    assert work(part, KIT).treatments[-1].reached == KIT.settings.developer.rubbed_part


def test_film_laid_and_not_seated_lies_off() -> None:
    """A film on its pins lies within the slot's play; one that was only laid lies visibly off."""
    fits = []
    for how in ("seated", "loose"):
        acts = tuple((name, how if name == "film_pins" else value) for name, value in LIT)
        (burn,) = passed(after(*acts), 600.0, KIT).plate.burns
        fits.append(abs(burn.fit.dx) + abs(burn.fit.dy))
    assert fits[0] == 0
    assert fits[1] > 0.1


@given(
    st.sampled_from([LOADED, LIT, POURED, (*POURED, ("rubbing", "all-over")), (("take", "on"),)]),
    st.floats(0, 200),
    st.floats(0, 200),
)
def test_one_long_step_is_two_short_ones(acts: tuple[Act, ...], first: float, second: float) -> None:
    """Letting time pass in two goes comes to the same bench as in one, also across the light going out."""
    start = after(*acts)
    once, twice = passed(start, first + second, KIT), passed(passed(start, first, KIT), second, KIT)
    assert twice.controls == once.controls
    assert (twice.light is None) == (once.light is None)
    assert twice.drawn.pressure == pytest.approx(once.drawn.pressure, abs=1e-6)
    assert twice.drawn.contact == pytest.approx(once.drawn.contact, abs=1e-6)
    assert twice.theta == pytest.approx(once.theta, abs=1e-9)
    assert counted(twice, KIT) == pytest.approx(counted(once, KIT), abs=1e-6)
    assert len(twice.plate.burns) == len(once.plate.burns)
    assert twice.plate.fog == pytest.approx(once.plate.fog)


def test_a_day_is_the_same_again_from_its_seed() -> None:
    """Two draws from a seed are equal, another seed gives another day, and a mapping gives it back."""
    assert drawn(7) == drawn(7) != drawn(8)
    assert day_given(drawn(7).as_mapping()) == drawn(7)
    assert replace(drawn(7), seed=8) != drawn(8)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"dusts": 3}, "no condition `dusts`"),
        ({"dust": 2.5}, "whole number"),
        ({"dust": -1}, "-1 specks"),
        ({"lamp_hours": float("nan")}, "no number"),
        ({"lamp_hours": "old"}, "is a number"),
        ({"film_wrong": 1}, "true or false"),
        ({"gasket": "string"}, "one of clear"),
        ({"air": 5}, "40 to 110 kPa"),
    ],
)
def test_absurd_days_are_refused(values: dict[str, bool | float | str], said: str) -> None:
    """A condition that does not exist, or cannot be, gets a sentence."""
    with pytest.raises(OutOfRange, match=said):
        day_given(values)


def test_constants_come_back_from_the_record() -> None:
    """The models' constants, written down by name, make the same settings; too few of them are told."""
    numbers = read_bench()
    kept = as_mapping(numbers)
    assert from_mapping(kept) == numbers
    with pytest.raises(OutOfRange, match="another version"):
        from_mapping({name: value for name, value in kept.items() if name != "lamp.warm_up"})
