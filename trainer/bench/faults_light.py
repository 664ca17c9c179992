"""Faults of vacuum and light: what the frame and the lamp did, or what was not waited for."""

from __future__ import annotations

from typing import Final

from trainer.bench.fault_words import Fault
from trainer.bench.texts import marked

_UV: Final = marked(
    "Never look at the lamp; lamp side closed before it is lit. The light harms eyes and skin."
)
_HOT: Final = marked("Lamp and housing stay hot long after; leave the fan on until they are cool.")
_GLASS: Final = marked(
    "Glass under vacuum can break. Vacuum off and gone before anything in the frame is touched."
)

LIGHT_FAULTS: Final = (
    Fault(
        "underexposed",
        marked("Too few units"),
        "too-little-light",
        "exposure",
        marked("The integrator was set to too few units."),
        marked("The wedge stops short of the wanted step; fine lines and small dots are weak or gone."),
        ("solid_step", "smallest_dot"),
        marked("Read the wedge and correct: each step is a factor of 1.41, two steps double the units."),
        _UV,
    ),
    Fault(
        "overexposed",
        marked("Too many units"),
        "too-much-light",
        "exposure",
        marked("The integrator was set to too many units, or the plate was burned twice with the same film."),
        marked("Too many solid steps; lines and dots are thickened and the shadows fill."),
        ("solid_step", "tone_50"),
        marked("Read the wedge and correct: take a factor of 1.41 off for each step too many."),
        _UV,
    ),
    Fault(
        "cold-lamp",
        marked("Cold lamp on a plain timer"),
        "too-little-light",
        "exposure",
        marked("The lamp was still cold and the light was ended by seconds, not by the integrator's count."),
        marked("As with too few units: the wedge stops short, fine parts are weak."),
        ("solid_step", "smallest_dot"),
        marked(
            "End the light by the integrator: a cold lamp then only takes longer. With a timer, let the "
            "lamp warm up."
        ),
        _UV,
    ),
    Fault(
        "old-lamp",
        marked("Old lamp on a plain timer"),
        "too-little-light",
        "exposure",
        marked(
            "The lamp has lost light with its hours, and seconds were set that were right when it was new."
        ),
        marked("As with too few units, and a little worse from week to week."),
        ("solid_step", "smallest_dot"),
        marked(
            "End the light by the integrator, plot the first wedge of each day, and change the lamp in time."
        ),
        _HOT,
    ),
    Fault(
        "poor-vacuum",
        marked("Vacuum not waited for"),
        "poor-contact",
        "vacuum",
        marked("The lamp was lit before the gauge stood over the floor."),
        marked("Lines and dots are thickened everywhere, most towards the corners; the wedge is right."),
        ("tone_50", "growth"),
        marked(
            "Wait until the gauge is over the shop's floor and the rings stand still. Read it again for "
            "every burn."
        ),
        _GLASS,
    ),
    Fault(
        "pump-stopped",
        marked("Pump stopped too early"),
        "poor-contact",
        "vacuum",
        marked("The pump was off, or was put off, before the light had ended."),
        marked("Lines and dots are thickened everywhere; the wedge is right."),
        ("tone_50", "growth"),
        marked("The pump runs until the lamp is out."),
        _GLASS,
    ),
    Fault(
        "film-edge",
        marked("Film edge under the gasket"),
        "poor-contact",
        "vacuum",
        marked("A film or mask lay across the gasket, and the frame leaked."),
        marked("Lines and dots are thickened everywhere; the gauge never came over the floor."),
        ("tone_50", "growth"),
        marked(
            "Look along the gasket all round before the glass comes down. A gauge that stops short says "
            "that it leaks."
        ),
        _GLASS,
    ),
    Fault(
        "image-burn-forgotten",
        marked("Image never burned"),
        "no-image",
        "exposure",
        marked("The image film was never burned, or its lamp never lit."),
        marked("Marks and nothing else."),
        ("image_missing",),
        marked(
            "Look for the change of colour after each burn. It shows the image before the developer does."
        ),
        _UV,
    ),
    Fault(
        "marks-burn-forgotten",
        marked("Marks never burned"),
        "no-marks",
        "exposure",
        marked("The second burn was left out."),
        marked("A good image without centre and trim marks."),
        ("marks",),
        marked("Two films, two burns. Look for both before the developer is poured."),
        _UV,
    ),
    Fault(
        "fogged",
        marked("Fogged by white light"),
        "fogged",
        "punching",
        marked("The bare plate lay face up in room light for too long."),
        marked(
            "A tint all over the background, even in the corners, and more steps on the wedge than the "
            "units give."
        ),
        ("background", "solid_step"),
        marked("Plates stay in the pack until they are wanted; cover the plate when anything interrupts."),
    ),
)
