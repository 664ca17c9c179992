"""After development: the rinse, bare metal that oxidises, and gum that protects or blinds.

That gum keeps bare metal water-receptive and slows its oxidation, and that gum may blind an image, is
published; how fast and how much is a teaching model (calibrate). Shares are 0 to 1, times in s, gum in um.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from trainer.bench import numbers
from trainer.bench.limits import OutOfRange, check, held, less, number, one_of
from trainer.bench.numbers import N

GUMS = ("none", "thin", "thick")
_LONGEST = 30 * 24 * 3600.0
_MOST_GUM = 500.0


@dataclass(frozen=True, slots=True)
class Finish:
    """Rinse, oxidation and gum."""

    rinse_time: float = number("s", 0.5, 120)
    oxidation_wet: float = number("s", 10, 1e6)
    oxidation_dry: float = number("s", 10, 1e7)
    gum_thin: float = number("um", 0.1, 50)
    gum_thick: float = number("um", 0.1, 200)
    buff_left: float = number("share", 0.01, 1)
    gum_needed: float = number("um", 0.01, 20)
    blind_from: float = number("um", 0.1, 100)
    blind_at: float = number("um", 0.2, 200)

    def __post_init__(self) -> None:
        check(self)
        less(self, "gum_thin", "gum_thick")
        less(self, "blind_from", "blind_at")


def residue(seconds: N, finish: Finish) -> N:
    """Share of the developer still there after so many seconds under water."""
    held(seconds, "The time under water", 0, _LONGEST, "s")
    return numbers.exp(-numbers.between(seconds / finish.rinse_time, 0, 80))


def oxidised(seconds: float, protected: N, finish: Finish, *, wet: bool) -> N:
    """Share of bare metal that oxidised in so many seconds, wet or dry, where a share is protected by gum."""
    held(seconds, "The time without gum", 0, _LONGEST, "s")
    held(protected, "The protection", 0, 1)
    pace = finish.oxidation_wet if wet else finish.oxidation_dry
    return numbers.same(1 - numbers.exp(-numbers.between(seconds * (1 - protected) / pace, 0, 80)), protected)


def gum_film(how: str, finish: Finish, *, buffed: bool) -> float:
    """Thickness of the gum that is left, um, put on `none`, `thin` or `thick`, and buffed or not."""
    one_of(how, "How the gum is put on", GUMS)
    put_on = {"none": 0.0, "thin": finish.gum_thin, "thick": finish.gum_thick}[how]
    return put_on * (finish.buff_left if buffed else 1)


def protection(thickness: N, finish: Finish) -> N:
    """How well a film of gum keeps bare metal from the air and from ink, 0 to 1."""
    held(thickness, "The thickness of the gum", 0, _MOST_GUM, "um")
    return numbers.same(1 - numbers.exp(-thickness / finish.gum_needed), thickness)


def blinding(thickness: N, finish: Finish) -> N:
    """Share of the image that takes no ink under gum of a thickness: 0 below blind_from, 1 from blind_at."""
    held(thickness, "The thickness of the gum", 0, _MOST_GUM, "um")
    return numbers.between((thickness - finish.blind_from) / (finish.blind_at - finish.blind_from), 0, 1)


def specific_gravity(degrees: float) -> float:
    """Specific gravity at 60/60 degF of a liquid heavier than water, of degrees Baume: 145 / (145 - Be)."""
    held(degrees, "The strength", 0, 72, "degrees Baume")
    return 145 / (145 - degrees)


def baume(gravity: float) -> float:
    """Degrees Baume of a specific gravity at 60/60 degF, heavier than water: 145 - 145 / SG."""
    held(gravity, "The specific gravity", 1, 1.98)
    return 145 - 145 / gravity


def water_for(volume: float, degrees: float, wanted: float) -> float:
    """Water (mL) that brings a volume (mL) from degrees Baume to those wanted: V (SG - SG') / (SG' - 1).

    Mass is kept, and the volumes are taken to add up.
    """
    held(volume, "The volume", 0, 1e6, "mL")
    held(wanted, "The strength wanted", 0.1, 72, "degrees Baume")
    now, then = specific_gravity(degrees), specific_gravity(wanted)
    if then > now:
        raise OutOfRange(
            f"The strength wanted is {wanted:g} degrees Baume, and there are {degrees:g}: "
            "water only makes it weaker."
        )
    return volume * (now - then) / (then - 1)


def developer_left(seconds: float, finish: Finish) -> float:
    """Development time (s) that developer left on the plate still adds while it is rinsed for so long."""
    held(seconds, "The time under water", 0, _LONGEST, "s")
    return finish.rinse_time * (1 - exp(-seconds / finish.rinse_time))
