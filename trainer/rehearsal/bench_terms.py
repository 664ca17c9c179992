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
REFUSALS = (
    marked("The glass is down. Lift it before you reach in."),
    marked("The light is on. Leave the glass down until it is out."),
    marked("The frame has no power, so the lamp does not light."),
    marked("The glass is open, and the interlock keeps the light off."),
    marked("The lamp side is open, and the interlock keeps the light off."),
    marked("The light is on. The lamp side stays closed until it is out."),
    marked("The frame has no power, so the pump does not run."),
    marked("It is counting. Nothing is set while the light is on."),
    marked("The plate has no holes, so it does not go on the pins. Punch it first."),
    marked("There is no film to seat. Lay one on the pins first."),
    marked("The plate is punched already. A second stroke would make a second set of holes."),
    marked("The punch is not pulled yet."),
    marked("The cup is empty. Measure the developer into it first."),
    marked("There is no developer on the plate. A dry pad would only scratch it."),
    marked("There is no gum on the plate to buff."),
    marked("The light is on. Leave the plate that is in the frame until it is out."),
    marked("The plate has been developed. It is too late to turn it over for the light."),
    marked("There is vacuum on the glass. Wait until the needle stands at zero; never force it."),
    marked(
        "There is vacuum on the glass. Switch the pump off and wait until the needle stands at zero; "
        "never force it."
    ),
)
"""Why the bench does not do something: its own sentences, which the run looks up as it refuses."""
KNOWN = frozenset((*CONTROLS, *POSITIONS, *INSTRUMENTS))
"""Every word that `term` knows."""


def term(text: str) -> str:
    """A word of the bench in the language spoken; a number, or what is new on the bench, as it is."""
    return spoken(text) if text in KNOWN else text
