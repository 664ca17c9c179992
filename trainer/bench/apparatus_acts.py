"""Hands on the bench: what an act changes, and what cannot be done, with the sentence that says so."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

from trainer.bench import vacuum
from trainer.bench.apparatus import HELD, NUMBERS, WORDS, Apparatus, Kit, Pool, Setting, another
from trainer.bench.apparatus_time import begin_light, going_over_ended, light_out, stretch_ended
from trainer.bench.conditions import punch_fit
from trainer.bench.limits import OutOfRange, held
from trainer.bench.register import EXACT
from trainer.bench.vacuum import open_frame

AT_ZERO: Final = 1.0
"""A gauge that shows less than so many kPa stands at zero, and the glass comes up."""

UNDER_GLASS: Final = (
    "film",
    "film_side",
    "film_pins",
    "mask",
    "wedge",
    "pins",
    "plate_side",
    "gasket",
    "glass_wiped",
)
"""What nobody can reach while the glass is down."""

_OUT_OF_PACK: Final = ("plate_side", "punch", "pins", "cover")


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why something cannot be done. `first`: the control to see to before, empty where there is none."""

    sentence: str
    first: str = ""


def fitting(control: str, value: object) -> Setting:
    """A value that the control can be set to. Raises OutOfRange with a sentence."""
    if control in WORDS:
        if isinstance(value, str) and value in WORDS[control]:
            return value
        raise OutOfRange(f"`{control}` can be {', '.join(WORDS[control])}, and not {str(value)[:40]!r}.")
    if control not in NUMBERS:
        raise OutOfRange(f"The bench has no control `{control[:40]}`.")
    least, most, unit, _ = NUMBERS[control]
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise OutOfRange(f"`{control}` takes a number of {unit}, and not {str(value)[:40]!r}.")
    return float(held(float(value), f"`{control}`", least, most, unit))


def refusal(now: Apparatus, control: str, value: Setting, kit: Kit) -> Refusal | None:
    """Why this cannot be done on a bench as it stands, or None where it can."""
    if control in UNDER_GLASS and now.word("glass") != "open":
        return Refusal("The glass is down. Lift it before you reach in.", "glass")
    check = _CHECKS.get(control)
    return None if check is None else check(now, value, kit)


def operated(now: Apparatus, control: str, value: Setting, kit: Kit) -> Apparatus:
    """The bench after an act that can be done."""
    if control in ("rubbing", "pad", "spread"):
        now = going_over_ended(now, kit)
    if control == "pump" and now.light is not None:
        now = stretch_ended(now, kit)
    if control == "lamp" and value == "off":
        return light_out(now, kit)
    set_to = replace(now, controls={**now.controls, control: value})
    if control in _OUT_OF_PACK and not now.plate.out:
        set_to = replace(set_to, plate=replace(set_to.plate, out=True))
    effect = _EFFECTS.get(control)
    return set_to if effect is None else effect(set_to, value, kit)


def let_go(now: Apparatus, kit: Kit) -> Apparatus:
    """Hands off: what is only done while it is kept up ends."""
    for control in HELD:
        if now.word(control) != "none":
            now = operated(now, control, "none", kit)
    return now


def _glass(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    if value != "open" or now.word("glass") == "open":
        return None
    if now.light is not None:
        return Refusal("The light is on. Leave the glass down until it is out.", "lamp")
    gauge = vacuum.gauge(now.drawn.pressure, kit.conditions.air)
    if gauge >= AT_ZERO:
        first = "pump" if now.on("pump") else ""
        wait = "Switch the pump off and wait" if first else "Wait"
        return Refusal(
            f"There is vacuum on the glass. {wait} until the needle stands at zero; never force it.", first
        )
    return None


def _lamp(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del kit
    if value == "off" or now.light is not None:
        return None
    if not now.on("power"):
        return Refusal("The frame has no power, so the lamp does not light.", "power")
    if now.word("glass") == "open":
        return Refusal("The glass is open, and the interlock keeps the light off.", "glass")
    if now.word("lamp_side") == "open":
        return Refusal("The lamp side is open, and the interlock keeps the light off.", "lamp_side")
    return None


def _lamp_side(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del kit
    if value == "open" and now.light is not None:
        return Refusal("The light is on. The lamp side stays closed until it is out.", "lamp")
    return None


def _pump(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del kit
    if value == "on" and not now.on("power"):
        return Refusal("The frame has no power, so the pump does not run.", "power")
    return None


def _count(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del value, kit
    if now.light is not None:
        return Refusal("It is counting. Nothing is set while the light is on.")
    return None


def _pins(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del kit
    if value == "seated" and now.plate.punch is None:
        return Refusal("The plate has no holes, so it does not go on the pins. Punch it first.", "punch")
    return None


def _film_pins(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del kit
    if value == "seated" and now.word("film") == "none":
        return Refusal("There is no film to seat. Lay one on the pins first.", "film")
    return None


def _punch(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del kit
    if now.plate.punch is not None:
        return Refusal("The plate is punched already. A second stroke would make a second set of holes.")
    if value == "none":
        return Refusal("The punch is not pulled yet.")
    return None


def _pour(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del kit
    if value == "on" and not now.number("developer"):
        return Refusal("The cup is empty. Measure the developer into it first.", "developer")
    return None


def _needs_pool(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del kit
    if value == "none" or now.plate.pool is not None:
        return None
    return Refusal("There is no developer on the plate. A dry pad would only scratch it.", "pour")


def _buff(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del kit
    if value == "on" and now.plate.gum == "none":
        return Refusal("There is no gum on the plate to buff.", "gum")
    return None


def _take(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del value, kit
    if now.light is not None:
        return Refusal("The light is on. Leave the plate that is in the frame until it is out.", "lamp")
    return None


def _plate_side(now: Apparatus, value: Setting, kit: Kit) -> Refusal | None:
    del value, kit
    if now.plate.treatments:
        return Refusal("The plate has been developed. It is too late to turn it over for the light.")
    return None


_CHECKS: Final[Mapping[str, Callable[[Apparatus, Setting, Kit], Refusal | None]]] = {
    "take": _take,
    "glass": _glass,
    "lamp": _lamp,
    "lamp_side": _lamp_side,
    "pump": _pump,
    "units": _count,
    "timer": _count,
    "counter": _count,
    "pins": _pins,
    "film_pins": _film_pins,
    "punch": _punch,
    "pour": _pour,
    "rubbing": _needs_pool,
    "buff": _buff,
    "plate_side": _plate_side,
}


def _powered(now: Apparatus, value: Setting, kit: Kit) -> Apparatus:
    if value == "on":
        return now
    dark = light_out(now, kit)
    return replace(dark, controls={**dark.controls, "pump": "off"})


def _opened(now: Apparatus, value: Setting, kit: Kit) -> Apparatus:
    return replace(now, drawn=open_frame(kit.conditions.air)) if value == "open" else now


def _lit(now: Apparatus, value: Setting, kit: Kit) -> Apparatus:
    del value
    light = now.light or begin_light(now, kit)
    if light is None:  # nothing was set, so it goes out at once
        return replace(now, controls={**now.controls, "lamp": "off"}, count=0.0)
    return replace(now, light=light)


def _laid(now: Apparatus, value: Setting, kit: Kit) -> Apparatus:
    """Another film comes to lie as it comes: on no pin, until somebody seats it."""
    del kit
    plate = replace(now.plate, laid=now.plate.laid + (value != "none"))
    controls: dict[str, Setting] = {**now.controls, "film_pins": "loose", "film_side": "emulsion-down"}
    return replace(now, controls=controls, plate=plate)


def _taken(now: Apparatus, value: Setting, kit: Kit) -> Apparatus:
    del kit
    return another(now) if value == "on" else now


def _punched(now: Apparatus, value: Setting, kit: Kit) -> Apparatus:
    off = punch_fit(kit.conditions, kit.settings.register, now.plate.number)
    return replace(now, plate=replace(now.plate, punch=EXACT if value == "centred" else off))


def _poured(now: Apparatus, value: Setting, kit: Kit) -> Apparatus:
    """The cup is emptied onto the plate, into what lies there already."""
    if value == "off":
        return now
    ended = going_over_ended(now, kit)
    cup, warmth = now.number("developer"), now.number("developer_temperature")
    lay = ended.plate.pool
    pool = Pool(cup, warmth, kit.conditions.developer_used)
    if lay is not None:
        volume = cup + lay.volume
        mixed = (cup * warmth + lay.volume * lay.temperature) / volume
        pool = replace(pool, volume=volume, temperature=mixed, rubbed_before=lay.rubbed_before)
    spread = now.word("spread") if lay is not None else "one-place"
    controls: dict[str, Setting] = {**now.controls, "developer": 0.0, "pour": "off", "spread": spread}
    return replace(ended, controls=controls, plate=replace(ended.plate, pool=pool))


def _rinsed(now: Apparatus, value: Setting, kit: Kit) -> Apparatus:
    """Water takes developer and gum away."""
    if value == "none":
        return now
    ended = going_over_ended(now, kit)
    off: dict[str, Setting] = {"rubbing": "none", "squeegee": "off", "gum": "none", "buff": "off"}
    most: Literal["face", "both-sides"] = "face"
    if "both-sides" in (value, ended.plate.rinsed):
        most = "both-sides"
    washed = replace(ended.plate, pool=None, rinsed=most, squeegeed=False, gum="none", buffed=False)
    return replace(ended, controls={**ended.controls, **off}, plate=washed)


def _squeegeed(now: Apparatus, value: Setting, kit: Kit) -> Apparatus:
    ended = going_over_ended(now, kit)
    return replace(ended, plate=replace(ended.plate, pool=None, squeegeed=value == "on"))


def _gummed(now: Apparatus, value: Setting, kit: Kit) -> Apparatus:
    ended = going_over_ended(now, kit)
    gum: Literal["none", "thin", "thick"] = "none"
    if value in ("thin", "thick"):
        gum = "thin" if value == "thin" else "thick"
    plate = replace(ended.plate, pool=None, gum=gum, buffed=False)
    return replace(ended, controls={**ended.controls, "buff": "off"}, plate=plate)


def _buffed(now: Apparatus, value: Setting, kit: Kit) -> Apparatus:
    del kit
    return replace(now, plate=replace(now.plate, buffed=value == "on"))


_EFFECTS: Final[Mapping[str, Callable[[Apparatus, Setting, Kit], Apparatus]]] = {
    "power": _powered,
    "take": _taken,
    "glass": _opened,
    "lamp": _lit,
    "film": _laid,
    "punch": _punched,
    "pour": _poured,
    "rinse": _rinsed,
    "squeegee": _squeegeed,
    "gum": _gummed,
    "buff": _buffed,
}
