"""What stands on the bench at one moment: controls, frame, lamp, and the plate as far as it has come.

Frozen. Time goes by with `apparatus_time.passed`, a hand is laid on it with `apparatus_acts.operated`, and
`apparatus_work.work` says what has been done to the plate.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final, Literal

from trainer.bench.artwork import Job
from trainer.bench.conditions import Conditions
from trainer.bench.plate import Burn, Treatment
from trainer.bench.register import Fit
from trainer.bench.settings import BenchSettings
from trainer.bench.vacuum import Drawn, open_frame

Setting = str | float
"""What a control stands at: one of its words, or a number."""

_SWITCH: Final = ("off", "on")
WORDS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "film": ("none", "image", "marks", "wrong"),
        "film_side": ("emulsion-down", "emulsion-up"),
        "mask": ("none", "image", "marks"),
        "opaquing": ("none", "some", "all", "over-image"),
        "take": _SWITCH,
        "plate_side": ("coated-up", "coated-down"),
        "shade": _SWITCH,
        "cover": _SWITCH,
        "punch": ("none", "centred", "off-centre"),
        "pins": ("loose", "seated"),
        "film_pins": ("loose", "seated"),
        "power": _SWITCH,
        "glass_wiped": _SWITCH,
        "glass": ("open", "closed", "locked"),
        "gasket": ("clear", "film-edge", "tape"),
        "pump": _SWITCH,
        "lamp_side": ("open", "closed"),
        "counter": ("integrator", "timer"),
        "lamp": _SWITCH,
        "wedge": _SWITCH,
        "pour": _SWITCH,
        "spread": ("one-place", "all-over"),
        "rubbing": ("none", "part", "all-over"),
        "pad": ("loaded", "clean"),
        "rinse": ("none", "face", "both-sides"),
        "squeegee": _SWITCH,
        "gum": ("none", "thin", "thick"),
        "buff": _SWITCH,
    }
)
"""Every control that has words, with its words; the first is where it stands untouched."""

NUMBERS: Final[Mapping[str, tuple[float, float, str, float]]] = MappingProxyType(
    {
        "units": (0.0, 500.0, "units", 0.0),
        "timer": (0.0, 3600.0, "s", 0.0),
        "developer": (0.0, 500.0, "mL", 0.0),
        "developer_temperature": (5.0, 40.0, "degC", 20.0),
    }
)
"""Every control that has a number: its least, its most, its unit, where it stands untouched."""

HELD: Final = ("rubbing", "rinse")
"""Controls that are kept up for a time."""

_OF_THE_ROOM: Final = ("power", "shade", "opaquing", "developer_temperature", "counter")
"""Controls that stay as they are when a new plate is begun."""


@dataclass(frozen=True, slots=True)
class Kit:
    """What does not change while one person works: artwork, the films meant, the day, the constants.

    image, marks, wrong: ids of the job's films, empty where it has none. `wanted`: ids of those that the
    plate should carry in the end.
    """

    job: Job
    image: str
    marks: str
    wrong: str
    wanted: tuple[str, ...]
    conditions: Conditions
    settings: BenchSettings


@dataclass(frozen=True, slots=True)
class Light:
    """The lamp is lit. `theta`: how warm it was; `seconds` so far; it goes out by itself after `lasts` s.

    A stretch of light with the pump unchanged makes one burn: `from_units` were counted and the film was
    pressed with `from_pressing` kPa when the present stretch began.
    """

    theta: float
    lasts: float
    counter: Literal["integrator", "timer"]
    set_to: float
    seconds: float = 0.0
    from_units: float = 0.0
    from_pressing: float = 0.0


@dataclass(frozen=True, slots=True)
class Pool:
    """Developer on the plate: what was poured, and the going-over that is under way, for so many seconds."""

    volume: float
    temperature: float
    used: float
    lies: float = 0.0
    seconds: float = 0.0
    rubbed_before: float = 0.0


@dataclass(frozen=True, slots=True)
class Plate:
    """The plate in hand, as far as it has come.

    number: from 1. out: it has left its pack. fog: light on the bare coating, lx s. rubbed: seconds of
    rubbing, all goings-over together. rubs: goings-over that were ended. rinsed: the most that water
    went over; water: seconds of it. wet, dry: seconds since, without gum. laid: how many films were laid
    on it.
    """

    number: int = 1
    out: bool = False
    punch: Fit | None = None
    burns: tuple[Burn, ...] = ()
    fog: float = 0.0
    treatments: tuple[Treatment, ...] = ()
    pool: Pool | None = None
    rubbed: float = 0.0
    rubs: int = 0
    rinsed: Literal["none", "face", "both-sides"] = "none"
    water: float = 0.0
    squeegeed: bool = False
    wet: float = 0.0
    dry: float = 0.0
    gum: Literal["none", "thin", "thick"] = "none"
    buffed: bool = False
    laid: int = 0


@dataclass(frozen=True, slots=True)
class Apparatus:
    """The bench at one moment. `theta`: the lamp, from 0 cold to 1 hot.

    count: what the integrator counted last. seconds: since the bench was made ready.
    """

    controls: Mapping[str, Setting]
    drawn: Drawn
    theta: float
    plate: Plate = field(default_factory=Plate)
    light: Light | None = None
    count: float = 0.0
    seconds: float = 0.0

    def word(self, control: str) -> str:
        """What a control with words stands at."""
        return str(self.controls[control])

    def number(self, control: str) -> float:
        """What a control with a number stands at."""
        return float(self.controls[control])

    def on(self, switch: str) -> bool:
        """Is a switch on?"""
        return self.controls[switch] == "on"


def untouched(conditions: Conditions) -> dict[str, Setting]:
    """Where every control stands before anybody has laid a hand on it."""
    controls: dict[str, Setting] = {name: words[0] for name, words in WORDS.items()}
    controls |= {name: number[3] for name, number in NUMBERS.items()}
    controls["developer_temperature"] = conditions.developer_degrees
    controls["gasket"] = conditions.gasket
    return controls


def made_ready(kit: Kit) -> Apparatus:
    """The bench at the beginning."""
    conditions = kit.conditions
    return Apparatus(untouched(conditions), open_frame(conditions.air), conditions.lamp_warm)


_OF_THE_PLATE: Final = (
    *(
        "plate_side",
        "cover",
        "punch",
        "pins",
        "pour",
        "spread",
        "rubbing",
        "pad",
        "rinse",
        "squeegee",
        "gum",
        "buff",
    ),
)
"""Controls that are about the plate in hand alone."""


def another(before: Apparatus) -> Apparatus:
    """Another plate comes out of the pack; frame and films stay as they are."""
    fresh: dict[str, Setting] = {name: WORDS[name][0] for name in _OF_THE_PLATE}
    plate = Plate(number=before.plate.number, out=True, laid=before.plate.laid)
    return replace(before, controls={**before.controls, **fresh, "take": "off"}, plate=plate)


def new_plate(before: Apparatus, kit: Kit) -> Apparatus:
    """The plate is given up: frame cleared, and nothing has been done to the next one yet."""
    controls = untouched(kit.conditions)
    controls |= {name: before.controls[name] for name in _OF_THE_ROOM}
    return Apparatus(
        controls,
        open_frame(kit.conditions.air),
        before.theta,
        Plate(number=before.plate.number + 1),
        None,
        before.count,
        before.seconds,
    )
