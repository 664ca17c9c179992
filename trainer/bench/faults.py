"""The catalogue of faults, and the classes of those that leave the same plate."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from trainer.bench.fault_words import Alike, Fault
from trainer.bench.faults_film import FILM_FAULTS
from trainer.bench.faults_light import LIGHT_FAULTS
from trainer.bench.faults_sink import SINK_FAULTS
from trainer.bench.texts import marked

CATALOGUE: Final[Mapping[str, Fault]] = {
    fault.id: fault for fault in (*FILM_FAULTS, *LIGHT_FAULTS, *SINK_FAULTS)
}
"""Every fault, in the order of the work."""

_ALIKE: Final = (
    Alike(
        "too-little-light",
        marked("Too little light"),
        marked("Too few units, or a cold or old lamp on a plain timer."),
    ),
    Alike("too-much-light", marked("Too much light"), marked("Too many units, or one film burned twice.")),
    Alike(
        "poor-contact",
        marked("Poor contact"),
        marked("Vacuum not waited for, the pump stopped early, or a film edge under the gasket."),
    ),
    Alike("soft-spots", marked("Dust between film and plate"), marked("The glass was not wiped.")),
    Alike(
        "mirrored-sharp", marked("Wrong-reading and sharp"), marked("The film was made the wrong way round.")
    ),
    Alike("mirrored-soft", marked("Wrong-reading and soft"), marked("The film lay emulsion up.")),
    Alike("other-image", marked("Another image"), marked("The film of another colour was burned.")),
    Alike(
        "no-image", marked("No image"), marked("The image film was never burned, or under the marks' mask.")
    ),
    Alike("no-marks", marked("No marks"), marked("The marks were never burned, or under the image's mask.")),
    Alike(
        "nothing-burned",
        marked("Nothing on the plate"),
        marked("The plate lay coating down, or no lamp was lit."),
    ),
    Alike(
        "unmasked", marked("Coating where the mask should be"), marked("A film was burned without its mask.")
    ),
    Alike("pinholes", marked("Pinholes"), marked("Clear specks in the film were not opaqued.")),
    Alike("holes-in-image", marked("Gaps in the image"), marked("Opaque went over the image.")),
    Alike("scratches", marked("Scratches"), marked("Something hard slid over the coating.")),
    Alike("displaced", marked("Everything off its place"), marked("The plate was punched off centre.")),
    Alike("moved-image", marked("Image out of register"), marked("The image film was not down on its pins.")),
    Alike(
        "moved-marks",
        marked("Marks out of register"),
        marked("The mark master was not down on its pins in the second burn."),
    ),
    Alike("stretched-image", marked("Image stretched"), marked("The film was swollen by damp or warmth.")),
    Alike("fogged", marked("Fogged"), marked("The bare plate lay in white light.")),
    Alike(
        "underdeveloped",
        marked("Underdeveloped"),
        marked("Developed too short, too cold or with used developer."),
    ),
    Alike("overdeveloped", marked("Overdeveloped"), marked("Developed too long or too hot.")),
    Alike("islands", marked("Dry islands"), marked("Too little developer for the plate.")),
    Alike("uneven-pool", marked("Developed in one place"), marked("The pool was left where it was poured.")),
    Alike("tinted-corner", marked("One corner tinted"), marked("Rubbing missed a corner.")),
    Alike(
        "veil",
        marked("A patchy veil"),
        marked("Developer dried on the plate, or a loaded pad put coating back."),
    ),
    Alike("developer-left", marked("Developer left on"), marked("The plate was not rinsed.")),
    Alike("oxidised", marked("Oxidised metal"), marked("Gummed too late, or not at all.")),
    Alike("blind", marked("Blind image"), marked("Gum too thick, or not buffed.")),
)

CLASSES: Final[Mapping[str, Alike]] = {alike.id: alike for alike in _ALIKE}
"""Every class of faults that leave the same plate."""


def members(alike: str) -> tuple[Fault, ...]:
    """The faults of a class."""
    return tuple(fault for fault in CATALOGUE.values() if fault.alike == alike)
