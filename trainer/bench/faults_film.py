"""Faults made before the light goes on: at the light table, the punch and the frame."""

from __future__ import annotations

from typing import Final

from trainer.bench.fault_words import Fault
from trainer.bench.texts import marked

_UV: Final = marked(
    "Lamp off and lamp side closed before you look into the frame: the light harms eyes and skin."
)
_GLASS: Final = marked(
    "Let the vacuum break before you open the glass, and never force it. Fingers off the rim."
)
_EDGES: Final = marked(
    "Plate edges cut. Hold the plate by its edges with dry hands and keep fingers out of the punch."
)

FILM_FAULTS: Final = (
    Fault(
        "wrong-reading",
        marked("Film made the wrong way round"),
        "mirrored-sharp",
        "inspection",
        marked("The film was made wrong-reading: with its emulsion down it reads from right to left."),
        marked("The whole image reads backwards, and its edges are as sharp as they should be."),
        ("right_reading",),
        marked(
            "Read a line of type through the base before the film goes on the pins. Have the film made again."
        ),
    ),
    Fault(
        "emulsion-up",
        marked("Film laid emulsion up"),
        "mirrored-soft",
        "vacuum",
        marked("The film was turned over, so its base lay between the image and the coating."),
        marked("The image reads backwards; lines are thick and dots grown, more so away from the middle."),
        ("right_reading", "tone_50"),
        marked("Find the matt side and lay it on the plate. Emulsion to emulsion is the only sharp way."),
        _GLASS,
        of="register",
    ),
    Fault(
        "wrong-film",
        marked("Film of another colour"),
        "other-image",
        "inspection",
        marked("The film on the pins was not the one of today's colour."),
        marked("A sound plate with another colour's image."),
        ("image_missing",),
        marked("Read the label on the film's edge against the job card before it goes on the pins."),
    ),
    Fault(
        "mask-off",
        marked("Mask left off"),
        "unmasked",
        "vacuum",
        marked("The film was burned without its mask."),
        marked("Solid coating where the film ends: bands along the plate's edges that will print."),
        ("unwanted",),
        marked("Film, then mask, every burn; look at the frame from above before the glass comes down."),
        _GLASS,
        of="register",
    ),
    Fault(
        "image-under-marks-mask",
        marked("Image burned under the marks' mask"),
        "no-image",
        "vacuum",
        marked("The image film was burned under the mask of the marks."),
        marked("Marks, and next to nothing of the image."),
        ("image_missing",),
        marked("Film and mask leave the pins together. Put each pair back into its own folder."),
        of="register",
    ),
    Fault(
        "marks-under-image-mask",
        marked("Image's mask left on for the marks"),
        "no-marks",
        "vacuum",
        marked("The mark master was burned under the image's mask."),
        marked("A good image without its centre and trim marks, or with bits of them."),
        ("marks",),
        marked("Film and mask leave the pins together. Put each pair back into its own folder."),
        of="register",
    ),
    Fault(
        "dust",
        marked("Dust between film and plate"),
        "soft-spots",
        "vacuum",
        marked("The glass was not wiped, and specks lay under the film."),
        marked("Round places where lines are thick and dots joined, sharp all about them."),
        ("growth",),
        marked("Wipe the glass on both sides and brush film and plate before every burn."),
    ),
    Fault(
        "pinholes",
        marked("Pinholes not opaqued"),
        "pinholes",
        "inspection",
        marked("Clear specks in the film's black were not painted out."),
        marked("Small spots of coating in the background that will print."),
        ("pinholes",),
        marked(
            "Look at the film with its mask on the light table, and paint every clear speck that is no image."
        ),
        marked("Deletion fluid takes a spot off the plate: its safety data sheet first, and gloves."),
    ),
    Fault(
        "opaque-over-image",
        marked("Opaque over the image"),
        "holes-in-image",
        "inspection",
        marked("Paint went over clear image and held back the light."),
        marked("A smooth gap in a line or a solid, bare metal where image should be."),
        ("image_missing_worst",),
        marked("Paint under magnification on the base side, with a small brush; wash off what went too far."),
    ),
    Fault(
        "scratched",
        marked("Coating scratched"),
        "scratches",
        "punching",
        marked("Something hard slid over the coating: a nail, another plate, the edge of the film."),
        marked("Thin bare lines right through image and wedge."),
        ("scratches",),
        marked("Hold the plate by its edges, slip sheet on until the last moment, one plate out at a time."),
        _EDGES,
    ),
    Fault(
        "off-centre",
        marked("Plate punched off centre"),
        "displaced",
        "punching",
        marked("The plate was not on the centre mark, or not square to the stop, when the lever came down."),
        marked("Everything on the plate lies to one side, image and marks alike; they fit each other."),
        ("position",),
        marked(
            "Centre line on centre line, edge on the stop, one stroke, and look at the holes. The press "
            "can take up a "
            "little; more means a new plate."
        ),
        _EDGES,
        of="register",
    ),
    Fault(
        "not-seated",
        marked("Film not down on its pins"),
        "moved-image",
        "vacuum",
        marked("The film lay beside its pins or rode up on one."),
        marked("The burns do not fit: one lies off and turned against the other."),
        ("register_error",),
        marked("Press the film down on both pins and pull lightly: it must not move."),
        of="register",
    ),
    Fault(
        "second-burn-off",
        marked("Second burn out of register"),
        "moved-marks",
        "vacuum",
        marked("The mark master was not down on its pins in the second burn."),
        marked("The image lies where it should; the marks lie off and turned."),
        ("register_error",),
        marked("The second burn is seated with the same care as the first."),
        of="register",
    ),
    Fault(
        "swollen-film",
        marked("Film swollen by damp"),
        "stretched-image",
        "inspection",
        marked("The film lay in damper or warmer air than the plate and grew."),
        marked(
            "The image is longer than it should be; the error grows with the distance from the round pin."
        ),
        ("register_error",),
        marked("Let film hang in the room for hours before it is used, and keep the room's humidity steady."),
    ),
    Fault(
        "plate-face-down",
        marked("Plate laid coating down"),
        "nothing-burned",
        "vacuum",
        marked("The plate lay with its coating away from the lamp."),
        marked("No change of colour after the burn, and nothing left after development."),
        ("image_missing", "solid_step"),
        marked("Know the coated side by its colour. Look for the change of colour before going on."),
        _UV,
        of="handling",
    ),
)
