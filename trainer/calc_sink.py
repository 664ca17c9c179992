"""The sums of the sink behind `sinkside calc`: developer by size and warmth, gum by its strength.

As in `calc_sums`: plain numbers in the units that each function names; the bench refuses what is out of
range.
"""

from __future__ import annotations

from trainer.bench import development, finish
from trainer.bench.limits import OutOfRange, held
from trainer.calc_sums import TEACHING, Part
from trainer.procedure.units import plain, shown

_BAUME = "145 / (145 - degrees), at 60/60 degF (Bookbinding and the Conservation of Books: a Dictionary)"


def per_plate(volume: float, width: float, height: float, *, settings: development.Developer) -> Part:
    """Developer for the size of a plate; volume in mL, sides in mm."""
    for side in (width, height):
        held(side, "The side of the plate", 20, 3000, "mm")
    area = width * height / 100
    amount = development.per_area(volume, area)
    enough = settings.enough * area / 100
    return Part(
        f"{shown(volume, 'mL')} on {shown(width, 'mm')} by {shown(height, 'mm')} is {plain(amount)} mL/dm2.",
        {"mL_per_dm2": amount, "area_dm2": area / 100, "enough_mL": enough},
        (
            f"{shown(volume, 'mL')} / {plain(area / 100)} dm2 = {plain(amount)} mL/dm2",
            f"The bench takes {plain(settings.enough)} mL/dm2 as enough: {plain(enough)} mL for this plate.",
        ),
        "arithmetic; no published figure for enough was found, the maker's label comes first",
        f"a pool brought over the whole plate at once. What is enough is {TEACHING}.",
    )


def own_q10(seconds: float, degrees: float, second: float, second_degrees: float) -> Part:
    """How much faster warmth makes a developer: two times (s) that were right at two temperatures."""
    for time, warmth in ((seconds, degrees), (second, second_degrees)):
        _development(time, warmth)
    q10 = development.q10(1 / seconds, 1 / second, degrees, second_degrees)
    if not 1 <= q10 <= 5:
        raise OutOfRange(
            f"These times show a Q10 of {plain(q10)}, and a developer has 1 to 5. Does each time stand "
            "beside its own temperature?"
        )
    apart = f"10 / ({plain(second_degrees)} - {plain(degrees)})"
    return Part(
        f"This developer has a Q10 of {plain(q10)}: so many times as fast where it is 10 degC warmer.",
        {"q10": q10},
        (f"({plain(seconds)} s / {plain(second)} s)^({apart}) = {plain(q10)}",),
        "temperature coefficient Q10 = (R2/R1)^(10/(T2-T1))",
        "the same developer, just as fresh, and two plates that came out alike. The farther apart the two "
        "temperatures, the surer it is; `sinkside guide bench` says where to write it down.",
    )


def _development(seconds: float, *temperatures: float) -> None:
    """A development time in s and temperatures in degC that a sink can have. Raises OutOfRange."""
    held(seconds, "The time", 1, 3600, "s")
    for degrees in temperatures:
        held(degrees, "The temperature of the developer", 5, 40, "degC")


def at_temperature(seconds: float, known: float, now: float, *, q10: float) -> Part:
    """Development time at another temperature; temperatures in degC."""
    _development(seconds, known, now)
    new = seconds / development.speed(now, known, q10)
    return Part(
        f"{shown(seconds, 's')} at {shown(known, 'degC')} is {plain(new)} s at {shown(now, 'degC')}.",
        {"seconds": new, "factor": new / seconds, "q10": q10},
        (f"{plain(seconds)} s x {plain(q10)}^(({plain(known)} - {plain(now)}) / 10) = {plain(new)} s",),
        "temperature coefficient Q10 = (R2/R1)^(10/(T2-T1)); 2 for a plate developer is common practice",
        "5 to 40 degC, near the temperature that the maker names. Look at the plate, not at the clock alone.",
    )


def strength(degrees: float) -> Part:
    """What a hydrometer's degrees Baume are as specific gravity."""
    gravity = finish.specific_gravity(degrees)
    return Part(
        f"{plain(degrees)} degrees Baume are a specific gravity of {gravity:.4f}.",
        {"baume": degrees, "specific_gravity": gravity},
        (f"145 / (145 - {plain(degrees)}) = {gravity:.4f}",),
        _BAUME,
        "gum and other liquids heavier than water, read at 60 degF (15.6 degC): warmer, they read weaker.",
    )


def from_gravity(gravity: float) -> Part:
    """What a specific gravity is in degrees Baume."""
    degrees = finish.baume(gravity)
    return Part(
        f"A specific gravity of {gravity:.4f} is {degrees:.2f} degrees Baume.",
        {"baume": degrees, "specific_gravity": gravity},
        (f"145 - 145 / {gravity:.4f} = {degrees:.2f}",),
        _BAUME,
        "liquids heavier than water, read at 60 degF (15.6 degC): warmer, they read lighter.",
    )


def thinned(volume: float, degrees: float, wanted: float) -> Part:
    """Water that brings gum (mL) from degrees Baume to those wanted."""
    water = finish.water_for(volume, degrees, wanted)
    now, then = finish.specific_gravity(degrees), finish.specific_gravity(wanted)
    return Part(
        f"Stir {shown(water, 'mL')} of water into {shown(volume, 'mL')}: {plain(wanted)} degrees Baume, "
        f"{shown(volume + water, 'mL')} in all.",
        {"water_mL": water, "all_mL": volume + water},
        (
            f"{plain(wanted)} degrees Baume: specific gravity {then:.4f}",
            f"{shown(volume, 'mL')} x ({now:.4f} - {then:.4f}) / ({then:.4f} - 1) = {shown(water, 'mL')}",
        ),
        "arithmetic: what is weighed together stays, and the volumes are taken to add up",
        "gum thinned with water. Read it again once it is stirred. What strength is right, and whether plain "
        "gum, says the label of the finisher and the plate's data card.",
    )
