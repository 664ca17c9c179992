"""The words that formulas and `bench:` may use: functions, bench controls, plate measures.

Procedure files are checked against this page; the run implements the functions and the bench the controls
and measures. Nothing is imported here, so that every room may read it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple

Kind = Literal["number", "text", "truth", "texts"]
"""What a value is: a number, a text, true or false, or several texts (the keys of a `choices` quiz)."""

KIND_WORDS: Mapping[Kind, str] = {
    "number": "a number",
    "text": "a text",
    "truth": "true or false",
    "texts": "a list of texts",
}
"""Each kind as a message says it."""


class Parameter(NamedTuple):
    """One argument of a function."""

    name: str
    kind: Kind
    doc: str


class Function(NamedTuple):
    """A function that formulas may call. The last `optional` parameters may be left out."""

    name: str
    parameters: tuple[Parameter, ...]
    gives: Kind
    doc: str
    unit: str = ""
    optional: int = 0
    asks_run: bool = False
    """The answer depends on what happened in the run, not on the arguments alone."""

    @property
    def least(self) -> int:
        """The fewest arguments it takes."""
        return len(self.parameters) - self.optional

    @property
    def written(self) -> str:
        """How it is written: `min(a, b)`, `tries('step')`."""
        wanted = self.parameters[: self.least]
        names = (f"'{one.name}'" if one.kind == "text" else one.name for one in wanted)
        return f"{self.name}({', '.join(names)})"


def _number(name: str, doc: str) -> Parameter:
    return Parameter(name, "number", doc)


_SEVERAL = (_number("a", "a number"), _number("b", "a number"), _number("c", "a number"))

FUNCTIONS: Mapping[str, Function] = {
    function.name: function
    for function in (
        Function(
            "exposure_for_step",
            (
                _number("units", "the units the plate got"),
                _number("read", "the last solid step of its 21-step wedge"),
                _number("target", "the step wanted"),
            ),
            "number",
            # 0.15 density a step is the tablet's nominal increment; two steps double the dose.
            "The units that bring the wedge to the target: units x 10^(0.15 x (target - read)).",
            unit="units",
        ),
        Function(
            "steps_between",
            (_number("old_units", "the units before"), _number("new_units", "the units after")),
            "number",
            "How many wedge steps a change of units moves: log10(new / old) / 0.15.",
            unit="step",
        ),
        Function(
            "units_at_distance",
            (
                _number("units", "the units at the old distance"),
                _number("old", "the lamp's distance before"),
                _number("new", "its distance now, in the same unit"),
            ),
            "number",
            # the distance law: light falls with the square of the distance
            "The units for a lamp distance that the integrator does not see: units x (new / old)^2.",
            unit="units",
        ),
        Function(
            "highest_gauge",
            (_number("altitude", "how high the shop stands, in m"),),
            "number",
            "The most that a vacuum gauge shows at an altitude, in inHg.",
            unit="inHg",
        ),
        Function(
            "developer_for",
            (
                _number("width", "width of the plate in mm"),
                _number("height", "height of the plate in mm"),
                _number("amount", "mL for each dm2 of plate, as the label says"),
            ),
            "number",
            "Developer for a plate, in mL: width x height / 10000 x amount.",
            unit="mL",
        ),
        Function(
            "time_at",
            (
                _number("time", "a time that is right"),
                _number("known", "at this temperature in degC"),
                _number("now", "the temperature now in degC"),
                _number("q10", "how many times as fast it goes at 10 degC more"),
            ),
            "number",
            "A time at another temperature: time x q10^((known - now) / 10).",
            unit="s",
        ),
        Function("abs", (_number("x", "a number"),), "number", "The number without its sign."),
        Function("min", _SEVERAL, "number", "The least of two or three numbers.", optional=1),
        Function("max", _SEVERAL, "number", "The greatest of two or three numbers.", optional=1),
        Function(
            "round",
            (_number("x", "a number"),),
            "number",
            "The nearest whole number; a half goes away from zero.",
        ),
        Function(
            "round_to",
            (_number("x", "a number"), _number("step", "what to round to, over zero")),
            "number",
            "The nearest multiple of `step`: round_to(23.7, 0.5) is 23.5.",
        ),
        Function(
            "tries",
            (Parameter("step", "text", "a step's id, in quotes"),),
            "number",
            "How often that step was finished since the current plate began.",
            asks_run=True,
        ),
        Function(
            "taken",
            (Parameter("name", "text", "a value's whole name, in quotes: 'readings.vacuum'"),),
            "truth",
            "Is there a value under that name now?",
            asks_run=True,
        ),
    )
}
"""Every function of formulas, by name."""


class Control(NamedTuple):
    """A control of the bench. A choice has `options`; a number has `unit`, `least` and `most`.

    `untouched`: what it stands at when nobody operates it, which is how a rinse or a mask is forgotten.
    `held`: it is done for as long as it is kept up, and ends with the step.
    """

    name: str
    doc: str
    untouched: str | float
    options: tuple[str, ...] = ()
    unit: str = ""
    least: float = 0.0
    most: float = 0.0
    held: bool = False

    @property
    def kind(self) -> Kind:
        """`text` for a choice, `number` for a number."""
        return "text" if self.options else "number"


_SWITCH = ("off", "on")

CONTROLS: Mapping[str, Control] = {
    control.name: control
    for control in (
        Control("film", "Which film is on the pins.", "none", ("none", "image", "marks", "wrong")),
        Control("film_side", "Which way the film lies.", "emulsion-down", ("emulsion-down", "emulsion-up")),
        Control("mask", "Which mask lies over the film.", "none", ("none", "image", "marks")),
        Control(
            "opaquing",
            "How much of what must not print is painted out.",
            "none",
            ("none", "some", "all", "over-image"),
        ),
        Control("take", "A new plate taken from its pack.", "off", _SWITCH),
        Control("plate_side", "Which way the plate lies.", "coated-up", ("coated-up", "coated-down")),
        Control("shade", "The bench shaded from white light.", "off", _SWITCH),
        Control("cover", "A cover over the unexposed plate in room light.", "off", _SWITCH),
        Control("punch", "How the plate was punched.", "none", ("none", "centred", "off-centre")),
        Control("pins", "How the plate sits on the pins.", "loose", ("loose", "seated")),
        Control("film_pins", "How the film sits on the pins.", "loose", ("loose", "seated")),
        Control("power", "The frame's power, and with it the lamp's fan.", "off", _SWITCH),
        Control("glass_wiped", "The glass wiped on both sides.", "off", _SWITCH),
        Control("glass", "The hinged glass.", "open", ("open", "closed", "locked")),
        Control("gasket", "What lies across the gasket.", "clear", ("clear", "film-edge", "tape")),
        Control("pump", "The vacuum pump.", "off", _SWITCH),
        Control("lamp_side", "The lamp side of the frame.", "open", ("open", "closed")),
        Control("counter", "What puts the light out again.", "integrator", ("integrator", "timer")),
        Control("units", "What the integrator is set to.", 0.0, unit="units", least=0.0, most=500.0),
        Control("timer", "What the plain timer is set to.", 0.0, unit="s", least=0.0, most=3600.0),
        Control("lamp", "The lamp; it goes out by itself at the count.", "off", _SWITCH),
        Control("wedge", "A 21-step wedge beside the image.", "off", _SWITCH),
        Control("developer", "How much developer is in the cup.", 0.0, unit="mL", least=0.0, most=500.0),
        Control("developer_temperature", "How warm it is.", 20.0, unit="degC", least=5.0, most=40.0),
        Control("pour", "The cup emptied onto the plate.", "off", _SWITCH),
        Control("spread", "How far the pool is brought.", "one-place", ("one-place", "all-over")),
        Control(
            "rubbing", "How much of the plate is rubbed.", "none", ("none", "part", "all-over"), held=True
        ),
        Control("pad", "The side of the pad that rubs.", "loaded", ("loaded", "clean")),
        Control("rinse", "What the water goes over.", "none", ("none", "face", "both-sides"), held=True),
        Control("squeegee", "Water squeegeed off.", "off", _SWITCH),
        Control("gum", "How the gum is put on.", "none", ("none", "thin", "thick")),
        Control("buff", "Gum buffed dry.", "off", _SWITCH),
    )
}
"""Every control of the bench, by name."""


class Measure(NamedTuple):
    """A measure of the plate, read as `plate.NAME`. All but `plate.number` exist only in a rehearsal."""

    name: str
    kind: Kind
    doc: str
    unit: str = ""
    always: bool = False


MEASURES: Mapping[str, Measure] = {
    measure.name: measure
    for measure in (
        Measure("number", "number", "Which plate of this run it is; the first is 1.", "each", always=True),
        Measure("solid_step", "number", "The last solid step of the wedge.", "step"),
        Measure("ghost_steps", "number", "How many steps are neither solid nor clear.", "each"),
        Measure("background", "number", "Coating left where the metal should be clean.", "%"),
        Measure("tone_50", "number", "What a 50 % tint became.", "%"),
        Measure("smallest_dot", "number", "The smallest dot that held.", "%"),
        Measure("register_error", "number", "The greatest error of register on the sheet.", "mm"),
        Measure("pinholes", "number", "How many pinholes would print.", "each"),
        Measure("vacuum", "number", "What the gauge shows.", "inHg"),
        Measure("pressed", "truth", "Has the air between film and plate gone, so that the rings lie still?"),
        Measure("punch_error", "number", "How far off their place the holes are.", "mm"),
        Measure("struck", "number", "How much of the film's image has changed colour.", "%"),
        Measure("marks_struck", "number", "How much of the marks has changed colour.", "%"),
        Measure("stray", "number", "How much that is neither image nor mark has changed colour.", "%"),
        Measure("residue", "number", "How much developer the water left.", "%"),
        Measure("gum_left", "number", "How thick the gum lies.", "um"),
        Measure("gum_dry", "truth", "Is the gum buffed dry?"),
        Measure("uneven", "number", "How much more coating one place kept than the rest of the metal.", "%"),
        Measure("growth", "number", "The most that edges moved out.", "um"),
        Measure("position", "number", "How far the image lies from its place on the plate.", "mm"),
        Measure("image_missing", "number", "How much of the image is not there.", "%"),
        Measure("image_missing_worst", "number", "The same in the worst place.", "%"),
        Measure("strength", "number", "Coating kept where the image is solid, at its weakest.", "%"),
        Measure("unwanted", "number", "Solid coating where there should be none.", "cm2"),
        Measure("scratches", "number", "Scratches through the image.", "mm"),
        Measure("oxidised", "number", "Metal that oxidised, in the worst place.", "%"),
        Measure("blind", "number", "Image that takes no ink, in the worst place.", "%"),
        Measure("gum", "number", "How well gum protects the metal.", "%"),
        Measure("right_reading", "truth", "Does the image read the right way round?"),
        Measure("marks", "truth", "Are the marks on the plate?"),
        Measure("passes", "truth", "Does the plate meet the settings?"),
    )
}
"""Every measure of the plate, by name without `plate.`."""
