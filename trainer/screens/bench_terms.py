"""The simulated bench's own words: controls, their positions, instruments. The bench knows no languages."""

from __future__ import annotations

from trainer.tongue import marked, spoken

CONTROLS = (
    *(marked("Film"), marked("Film side"), marked("Mask"), marked("Opaquing"), marked("Take")),
    *(marked("Plate side"), marked("Shade"), marked("Cover"), marked("Punch"), marked("Pins")),
    *(marked("Film pins"), marked("Power"), marked("Glass wiped"), marked("Glass"), marked("Gasket")),
    *(marked("Pump"), marked("Lamp side"), marked("Counter"), marked("Units"), marked("Timer")),
    *(marked("Lamp"), marked("Wedge"), marked("Developer"), marked("Developer temperature")),
    *(marked("Pour"), marked("Spread"), marked("Rubbing"), marked("Pad"), marked("Rinse")),
    *(marked("Squeegee"), marked("Gum"), marked("Buff")),
)
POSITIONS = (
    *(marked("off"), marked("on"), marked("none"), marked("image"), marked("marks"), marked("wrong")),
    *(marked("emulsion down"), marked("emulsion up"), marked("some"), marked("all"), marked("over image")),
    *(marked("coated up"), marked("coated down"), marked("centred"), marked("off centre")),
    *(marked("loose"), marked("seated"), marked("open"), marked("closed"), marked("locked")),
    *(marked("clear"), marked("film edge"), marked("tape"), marked("integrator"), marked("timer")),
    *(marked("one place"), marked("all over"), marked("part"), marked("loaded"), marked("clean")),
    *(marked("face"), marked("both sides"), marked("thin"), marked("thick")),
)
INSTRUMENTS = (
    *(marked("Vacuum"), marked("Count"), marked("Rubbed"), marked("In the cup"), marked("Water")),
    *(marked("Without gum"), marked("On the coating"), marked("Lamp hours"), marked("In the pack")),
)
KNOWN = frozenset((*CONTROLS, *POSITIONS, *INSTRUMENTS))
"""Every word that `term` knows."""


def term(text: str) -> str:
    """A word of the bench in the language spoken; a number, or what is new on the bench, as it is."""
    return spoken(text) if text in KNOWN else text
