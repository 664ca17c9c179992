"""What was done to a plate, act by act. The plate itself is computed from this and from nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

from trainer.bench.artwork import Film, Job, Spot, Stroke
from trainer.bench.limits import held, one_of
from trainer.bench.register import EXACT, Fit

Side = Literal["emulsion-down", "emulsion-up"]
Spread = Literal["one-place", "all-over"]
Rubbing = Literal["none", "part", "all-over"]
Pad = Literal["loaded", "clean"]
Rinse = Literal["none", "face", "both-sides"]
Gum = Literal["none", "thin", "thick"]
Stage = Literal["raw", "exposed", "developed", "gummed"]

OPAQUE_MARGIN: Final = 0.4
"""Paint covers a pinhole and so much more of the black round it, mm."""

_LONGEST: Final = 86_400.0
_MOST_UNITS: Final = 100_000.0


@dataclass(frozen=True, slots=True)
class Speck:
    """A speck of dust between film and plate: where, how large (mm) and how high (um)."""

    x: float
    y: float
    across: float
    height: float

    def __post_init__(self) -> None:
        held(self.x, "A speck's place", -2000.0, 2000.0, "mm")
        held(self.y, "A speck's place", -2000.0, 2000.0, "mm")
        held(self.across, "A speck's size", 0.0, 20.0, "mm")
        held(self.height, "A speck's height", 0.0, 1000.0, "um")


@dataclass(frozen=True, slots=True)
class Burn:
    """One exposure.

    `film` and `mask` are ids of the job, empty where nothing lies there. `units`: the dose at the plate's
    middle. `pressing`: how firmly film and plate are pressed together when the light comes on, kPa.
    `wrong_reading`: the film was made the wrong way round. `plate_down`: the coating lies off the light.
    `fit`: how the film lies on its pins. `opaque`: paint on the film. `dust`: specks under it.
    """

    film: str
    mask: str
    units: float
    pressing: float
    side: Side = "emulsion-down"
    wrong_reading: bool = False
    wedge: bool = False
    fit: Fit = EXACT
    plate_down: bool = False
    opaque: tuple[Spot, ...] = ()
    dust: tuple[Speck, ...] = ()

    def __post_init__(self) -> None:
        held(self.units, "An exposure", 0.0, _MOST_UNITS, "units")
        held(self.pressing, "The pressing of film on plate", 0.0, 110.0, "kPa")
        one_of(self.side, "The film's side", ("emulsion-down", "emulsion-up"))

    @property
    def mirrored(self) -> bool:
        """Does the image come out wrong-reading? Made wrong and laid wrong, it reads right again."""
        return (self.side == "emulsion-up") != self.wrong_reading


@dataclass(frozen=True, slots=True)
class Treatment:
    """One going-over with developer: for how long, how much, how warm, how far used, and how it was done.

    `volume`: what stands on the plate, mL. `used`: plate area that this developer has already done, cm2/mL.
    `reached`: the share of the plate that the pad came to, if it rubbed; the rest, in a corner, it missed.
    Treatments add up; letting it soak is one without rubbing.
    """

    seconds: float
    volume: float
    temperature: float
    used: float = 0.0
    spread: Spread = "all-over"
    rubbing: Rubbing = "all-over"
    pad: Pad = "clean"
    reached: float = 1.0

    def __post_init__(self) -> None:
        held(self.seconds, "The time of a development", 0.0, _LONGEST, "s")
        held(self.volume, "The developer", 0.0, 10_000.0, "mL")
        held(self.temperature, "The temperature of the developer", 0.0, 60.0, "degC")
        held(self.used, "The use of the developer", 0.0, 1e6, "cm2/mL")
        held(self.reached, "The share that the pad came to", 0.0, 1.0)
        one_of(self.spread, "How far the developer is brought", ("one-place", "all-over"))
        one_of(self.rubbing, "How much is rubbed", ("none", "part", "all-over"))
        one_of(self.pad, "The side of the pad", ("loaded", "clean"))


@dataclass(frozen=True, slots=True)
class Finishing:
    """Rinse and gum. `water`: s under water; then the metal lay `wait_wet` and `wait_dry` s ungummed."""

    rinse: Rinse = "none"
    water: float = 0.0
    wait_wet: float = 0.0
    wait_dry: float = 0.0
    gum: Gum = "none"
    buffed: bool = False

    def __post_init__(self) -> None:
        for seconds in (self.water, self.wait_wet, self.wait_dry):
            held(seconds, "A time after development", 0.0, 30 * _LONGEST, "s")
        one_of(self.rinse, "What is rinsed", ("none", "face", "both-sides"))
        one_of(self.gum, "How the gum is put on", ("none", "thin", "thick"))


@dataclass(frozen=True, slots=True)
class Work:
    """Everything done to one plate so far. `replace` it as acts come.

    `fog`: units of light that fell on the bare coating. `scratches` go through the coating. `punch`: how far
    off its place the plate was punched, so that all that is on the pins lies off by as much. `corner`: which
    corner a pad that rubs only part leaves out, 0 to 3, clockwise from the head's left.
    """

    job: Job
    burns: tuple[Burn, ...] = ()
    fog: float = 0.0
    scratches: tuple[Stroke, ...] = ()
    punch: Fit = EXACT
    treatments: tuple[Treatment, ...] = ()
    finishing: Finishing | None = None
    corner: int = 1

    def __post_init__(self) -> None:
        held(self.fog, "The fog", 0.0, _MOST_UNITS, "units")
        held(self.corner, "The corner left out", 0, 3)
        for burn in self.burns:
            if burn.film:
                self.job.film(burn.film)
            if burn.mask:
                self.job.windows(burn.mask)

    @property
    def stage(self) -> Stage:
        """How far the plate has come."""
        if self.finishing is not None and self.finishing.gum != "none":
            return "gummed"
        if self.treatments:
            return "developed"
        return "exposed" if self.burns or self.fog else "raw"


def opaquing(film: Film, how_much: Literal["none", "some", "all"]) -> tuple[Spot, ...]:
    """The paint on a film's pinholes: on none, every other one, or all, and then on its scratches too."""
    every: Mapping[str, int] = {"none": 0, "some": 2, "all": 1}
    one_of(how_much, "How much is painted out", tuple(every))
    step = every[how_much]
    if not step:
        return ()
    painted = [replace(hole, across=hole.across + OPAQUE_MARGIN) for hole in film.pinholes[::step]]
    if step == 1:
        painted += [spot for scratch in film.scratches for spot in _along(scratch)]
    return tuple(painted)


def _along(scratch: Stroke) -> list[Spot]:
    """Dabs of paint along a scratch, each over the last."""
    across = scratch.width + 2 * OPAQUE_MARGIN
    dabs: list[Spot] = []
    for (x0, y0), (x1, y1) in zip(scratch.points, scratch.points[1:], strict=False):
        count = max(1, round(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 / (across / 4)))
        dabs += [
            Spot(x0 + (x1 - x0) * k / count, y0 + (y1 - y0) * k / count, across) for k in range(count + 1)
        ]
    return dabs
