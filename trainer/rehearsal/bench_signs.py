"""What somebody at the bench sees, hears or feels and no picture shows. Never what would be right."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from trainer.bench import finish, vacuum
from trainer.bench.apparatus import Apparatus, Kit
from trainer.bench.apparatus_time import suction
from trainer.procedure.units import convert
from trainer.rehearsal.bench_measures import LEAST_GAUGE, PRESSED
from trainer.tongue import spoken

STILL = 0.3
"""A needle that is nearer to where it goes than so many kPa stands still, as far as one sees."""
_OFF = 0.2
"""Holes further from the mark than so many mm are seen to be off."""
_CLEAR_WATER = 0.1
_STICKY = 5.0
"""Gum thicker than so many um stays sticky."""


def signs(now: Apparatus, kit: Kit, label: str) -> tuple[str, ...]:
    """Everything that can be seen now. `label`: what the film's edge says."""
    plate = now.plate
    if plate.gum != "none" or plate.rinsed != "none" or plate.squeegeed:
        return tuple(_finished(now, kit))
    if plate.pool is not None or plate.treatments:
        return tuple(_wet(now))
    return (*_film(now, kit, label), *_punched(now), *_glass(now, kit))


def end_of(now: Apparatus, kit: Kit) -> float:
    """Where the gauge goes as things stand, kPa."""
    acting = suction(now, kit)
    if now.word("glass") == "open" or not acting.pump:
        return 0.0
    return vacuum.highest_gauge(acting.air, kit.settings.frame, acting.leaking)


def moves(now: Apparatus, kit: Kit) -> bool:
    """Does the needle move, as far as one sees?"""
    return abs(vacuum.gauge(now.drawn.pressure, kit.conditions.air) - end_of(now, kit)) > STILL


def _film(now: Apparatus, kit: Kit, label: str) -> Iterator[str]:
    if not now.plate.out and kit.image:
        yield spoken(
            'The folder says "{label}". The line of type on the film\'s edge says "{label}".', label=label
        )


def _punched(now: Apparatus) -> Iterator[str]:
    punch = now.plate.punch
    if not now.plate.out or now.plate.burns or now.word("film") != "none":
        return
    if punch is None:
        yield spoken("There are no holes in the plate.")
        return
    off = hypot(punch.dx, punch.dy)
    if off > _OFF:
        yield spoken("The holes are {distance} mm off the mark.", distance=f"{off:.1f}")
    else:
        yield spoken("The holes are clean and on the mark.")


def _glass(now: Apparatus, kit: Kit) -> Iterator[str]:
    if now.word("glass") == "open" or now.on("cover"):
        return  # the plate is not in the frame
    gauge = vacuum.gauge(now.drawn.pressure, kit.conditions.air)
    inches = f"{convert(gauge, 'kPa', 'inHg'):.1f}"
    if not moves(now, kit):
        yield spoken("The needle stands at {inches} inHg and does not move.", inches=inches)
    elif end_of(now, kit) > gauge:
        yield spoken("The needle stands at {inches} inHg and climbs.", inches=inches)
    else:
        yield spoken("The needle stands at {inches} inHg and falls.", inches=inches)
    if gauge < LEAST_GAUGE:
        yield spoken("There are no rings under the glass.")
    elif now.drawn.contact < PRESSED * gauge:
        yield spoken("The rings under the glass still move.")
    else:
        yield spoken("The rings under the glass lie still, all over the image.")
    if now.word("gasket") != "clear" and now.on("pump"):
        yield spoken("There is a hiss along the gasket.")


def _wet(now: Apparatus) -> Iterator[str]:
    plate = now.plate
    if plate.pool is None:
        return
    if now.word("spread") == "one-place":
        yield spoken("The developer stands where it was poured; the rest of the plate is dry.")
    if now.word("rubbing") != "none":
        loaded = now.word("pad") == "loaded"
        yield spoken("The pad is dark with coating.") if loaded else spoken("The pad is clean.")


def _finished(now: Apparatus, kit: Kit) -> Iterator[str]:
    plate = now.plate
    if plate.gum != "none":
        gum = finish.gum_film(plate.gum, kit.settings.finish, buffed=plate.buffed)
        if gum > _STICKY:
            yield spoken("Against the light the gum is thick and sticky in places.")
        elif plate.buffed:
            yield spoken("Against the light the gum is dry, with an even sheen.")
        else:
            yield spoken("Against the light the gum shows streaks.")
        return
    if plate.rinsed != "none":
        left = float(finish.residue(plate.water, kit.settings.finish))
        coloured = left > _CLEAR_WATER or plate.rinsed == "face"
        yield spoken("What runs off is coloured.") if coloured else spoken("What runs off is clear water.")
    if not plate.squeegeed:
        yield spoken("The plate is wet.")
