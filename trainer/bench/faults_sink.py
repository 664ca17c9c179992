"""Faults of the sink: development, rinse and gumming."""

from __future__ import annotations

from typing import Final

from trainer.bench.fault_words import Fault
from trainer.bench.texts import marked

_SDS: Final = marked(
    "Gloves and eye protection as the developer's safety data sheet says, however little is poured."
)
_FLOOR: Final = marked("Wipe up what drips: a wet floor beside mains electricity is two hazards at once.")

SINK_FAULTS: Final = (
    Fault(
        "short-development",
        marked("Developed too short"),
        "underdeveloped",
        "development",
        marked("Rinsed before the background was clean."),
        marked("An even tint all over the background, and more ghost steps on the wedge."),
        ("background", "ghost_steps"),
        marked(
            "Rub until the background is clean metal. Before the gum is on, pour fresh developer and go on."
        ),
        _SDS,
    ),
    Fault(
        "cold-developer",
        marked("Developer too cold"),
        "underdeveloped",
        "development",
        marked("The developer was colder than the card says, and the time was not made longer."),
        marked("An even tint all over the background, and more ghost steps on the wedge."),
        ("background", "ghost_steps"),
        marked(
            "Read the thermometer first. Let the bottle stand in warm water, or develop as long as the "
            "card says."
        ),
        _SDS,
    ),
    Fault(
        "old-developer",
        marked("Developer used up"),
        "underdeveloped",
        "development",
        marked("Developer was used again that had already done its plates."),
        marked("An even tint all over the background, and more ghost steps on the wedge."),
        ("background", "ghost_steps"),
        marked("Fresh developer for each plate; what is used goes where the local rules say."),
        _SDS,
    ),
    Fault(
        "little-developer",
        marked("Too little developer"),
        "islands",
        "development",
        marked("The pool was too small for the plate."),
        marked("Islands of coating where the pool did not come, and a veil where it dried."),
        ("background", "uneven"),
        marked(
            "Pour what the card says for the size of the plate, 60 to 90 mL for a small one, and keep it wet."
        ),
        _SDS,
    ),
    Fault(
        "one-place",
        marked("Poured in one place and left"),
        "uneven-pool",
        "development",
        marked("The pool was not brought over the whole plate at once."),
        marked("Clean where the pool lay, tinted away from it."),
        ("background", "uneven"),
        marked("Pour, and bring the pool over all of the plate with the pad at once."),
        _SDS,
    ),
    Fault(
        "corner-missed",
        marked("Rubbing missed a corner"),
        "tinted-corner",
        "development",
        marked("One corner was never rubbed."),
        marked("One corner keeps a tint; the rest is clean."),
        ("background", "uneven"),
        marked("Rub in circles to every edge, then go round the edges once more."),
        _SDS,
    ),
    Fault(
        "dried-on",
        marked("Developer dried on the plate"),
        "veil",
        "development",
        marked("The plate stood too long between development and rinse."),
        marked("A patchy veil of coating put down again over clean metal."),
        ("background", "uneven"),
        marked("Keep it wet, and rinse at once."),
        _SDS,
    ),
    Fault(
        "dirty-pad",
        marked("Loaded pad"),
        "veil",
        "development",
        marked("The pad was full of coating and was not turned."),
        marked("A patchy veil over metal that was already clean; the wedge is right."),
        ("background",),
        marked("Turn the pad to its clean side when it is loaded."),
        _SDS,
    ),
    Fault(
        "overdeveloped",
        marked("Developed too long or too hot"),
        "overdeveloped",
        "development",
        marked("Rubbed on after the background was clean, or with developer that was too warm."),
        marked("Highlights and fine lines go; the wedge loses steps while the background is clean."),
        ("solid_step", "smallest_dot"),
        marked("Stop when the background is clean and the image is strong. Read the thermometer first."),
        _SDS,
    ),
    Fault(
        "rinse-skipped",
        marked("Not rinsed"),
        "developer-left",
        "rinse",
        marked("Gum went on over developer."),
        marked("Fine parts go on thinning, and a veil dries into the background."),
        ("background", "smallest_dot"),
        marked("Water over face and back, edges too, until nothing runs off but water."),
        _FLOOR,
    ),
    Fault(
        "gum-late",
        marked("Gummed too late"),
        "oxidised",
        "gumming",
        marked("The bare metal lay wet and ungummed."),
        marked("Dull spots in the background that will take ink."),
        ("oxidised",),
        marked("Gum is laid out before the developer is poured, and goes on straight after the squeegee."),
        _FLOOR,
    ),
    Fault(
        "no-gum",
        marked("Not gummed"),
        "oxidised",
        "gumming",
        marked("The plate was put away without gum."),
        marked("Dull spots in the background that will take ink."),
        ("oxidised",),
        marked("Every plate that does not go on the press at once is gummed."),
    ),
    Fault(
        "gum-thick",
        marked("Gum too thick"),
        "blind",
        "gumming",
        marked("Gum was left in a thick film."),
        marked("Streaks of gum over the image: it is blind and takes no ink."),
        ("blind",),
        marked("A small pool, a damp pad, thin all over. Wash it off with water, gum again thinly and buff."),
    ),
    Fault(
        "not-buffed",
        marked("Gum not buffed"),
        "blind",
        "gumming",
        marked("The gum was left to dry by itself."),
        marked("Streaks of gum over the image: parts of it are blind."),
        ("blind",),
        marked("Buff with a dry soft cloth until it is dry and free of streaks."),
    ),
)
