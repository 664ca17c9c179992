"""The catalogue of faults, and the classes of those that leave the same plate."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from trainer.bench.fault_words import Alike, Fault
from trainer.bench.faults_film import FILM_FAULTS
from trainer.bench.faults_light import LIGHT_FAULTS
from trainer.bench.faults_sink import SINK_FAULTS

CATALOGUE: Final[Mapping[str, Fault]] = {
    fault.id: fault for fault in (*FILM_FAULTS, *LIGHT_FAULTS, *SINK_FAULTS)
}
"""Every fault, in the order of the work."""

_ALIKE: Final = (
    Alike("too-little-light", "Too little light", "Too few units, or a cold or old lamp on a plain timer."),
    Alike("too-much-light", "Too much light", "Too many units, or one film burned twice."),
    Alike(
        "poor-contact",
        "Poor contact",
        "Vacuum not waited for, the pump stopped early, or a film edge under the gasket.",
    ),
    Alike("soft-spots", "Dust between film and plate", "The glass was not wiped."),
    Alike("mirrored-sharp", "Wrong-reading and sharp", "The film was made the wrong way round."),
    Alike("mirrored-soft", "Wrong-reading and soft", "The film lay emulsion up."),
    Alike("other-image", "Another image", "The film of another colour was burned."),
    Alike("no-image", "No image", "The image film was never burned, or under the marks' mask."),
    Alike("no-marks", "No marks", "The marks were never burned, or under the image's mask."),
    Alike("nothing-burned", "Nothing on the plate", "The plate lay coating down, or no lamp was lit."),
    Alike("unmasked", "Coating where the mask should be", "A film was burned without its mask."),
    Alike("pinholes", "Pinholes", "Clear specks in the film were not opaqued."),
    Alike("holes-in-image", "Gaps in the image", "Opaque went over the image."),
    Alike("scratches", "Scratches", "Something hard slid over the coating."),
    Alike("displaced", "Everything off its place", "The plate was punched off centre."),
    Alike("moved-image", "Image out of register", "The image film was not down on its pins."),
    Alike(
        "moved-marks", "Marks out of register", "The mark master was not down on its pins in the second burn."
    ),
    Alike("stretched-image", "Image stretched", "The film was swollen by damp or warmth."),
    Alike("fogged", "Fogged", "The bare plate lay in white light."),
    Alike("underdeveloped", "Underdeveloped", "Developed too short, too cold or with used developer."),
    Alike("overdeveloped", "Overdeveloped", "Developed too long or too hot."),
    Alike("islands", "Dry islands", "Too little developer for the plate."),
    Alike("uneven-pool", "Developed in one place", "The pool was left where it was poured."),
    Alike("tinted-corner", "One corner tinted", "Rubbing missed a corner."),
    Alike("veil", "A patchy veil", "Developer dried on the plate, or a loaded pad put coating back."),
    Alike("developer-left", "Developer left on", "The plate was not rinsed."),
    Alike("oxidised", "Oxidised metal", "Gummed too late, or not at all."),
    Alike("blind", "Blind image", "Gum too thick, or not buffed."),
)

CLASSES: Final[Mapping[str, Alike]] = {alike.id: alike for alike in _ALIKE}
"""Every class of faults that leave the same plate."""


def members(alike: str) -> tuple[Fault, ...]:
    """The faults of a class."""
    return tuple(fault for fault in CATALOGUE.values() if fault.alike == alike)
