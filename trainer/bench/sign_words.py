"""What each sign of a plate is called, in words: `{name}` stands where a measured amount goes in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from trainer.bench.texts import marked

SEEN: Final[Mapping[str, str]] = {
    "nothing": marked("There is neither image nor marks on the plate."),
    "no-image": marked("The image is not there."),
    "other-image": marked("The image is another film's."),
    "no-marks": marked("The marks are not there."),
    "mirrored": marked("The image reads backwards."),
    "border": marked("Solid coating stands along the plate's edges, where the mask should be."),
    "corner": marked("One corner keeps a tint; the rest is clean."),
    "pool": marked("The middle is clean, and coating is left all round it."),
    "islands": marked("Islands of whole coating stand beside clean metal."),
    "veil": marked("A patchy veil of coating lies over the metal."),
    "fog": marked("An even tint lies over the background, and the wedge runs out in a long tail."),
    "short": marked("An even tint lies over the background, and every step of the wedge has moved up."),
    "left": marked("An even tint lies over the background, and the wedge stands where it should."),
    "edges-lost": marked("Lines and dots are thinner than the light makes them."),
    "edges-grown": marked("Lines and dots are thicker than the light makes them."),
    "edges-far": marked("Lines and dots are thicker than the light makes them."),
    "wedge-low": marked("The wedge stands {steps} steps too low."),
    "wedge-high": marked("The wedge stands {steps} steps too high."),
    "soft-spots": marked("In round places lines are thick, with sharp ones beside them."),
    "gaps": marked("In places the image is gone, with nothing wrong beside it."),
    "stretched": marked("The image is longer than it should be."),
    "displaced": marked("Everything lies {distance} mm off its place."),
    "image-moved": marked("The image lies {distance} mm off on its pins."),
    "marks-moved": marked("The marks lie {distance} mm off on their pins."),
    "dull": marked("Dull spots of oxidised metal stand in the background."),
    "blind": marked("Gum lies over the image in streaks."),
    "pinholes": marked("{count} small spots of coating stand in the background."),
    "scratches": marked("Bare lines run {length} mm through the image."),
}
"""By the sign's id."""
EVEN: Final = marked("An even tint lies over the background.")
"""Where only the tint is seen, and nothing on the wedge tells which of three signs it is."""
