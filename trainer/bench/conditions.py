"""What the bench is like on a day, whoever works at it. Nobody operates it, and it can be had again.

Given number by number, or drawn from a seed. What is drawn in detail (where a speck lies, how a loose film
came to lie) comes from the seed too, so that a plate can be made again from what was recorded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from math import isfinite
from random import Random
from typing import Any, Final, Literal, cast

from trainer.bench.artwork import Film, Job, Spot, Stroke, bounds
from trainer.bench.limits import OutOfRange, held
from trainer.bench.plate import Speck
from trainer.bench.register import Climate, Fit, Register, seated, unseated

Value = bool | int | float | str

_RANGES: Final[Mapping[str, tuple[float, float, str]]] = {
    "lamp_hours": (0, 20_000, "h"),
    "lamp_warm": (0, 1, ""),
    "air": (40, 110, "kPa"),
    "dust": (0, 40, "specks"),
    "room_light": (0, 10_000, "lx"),
    "shaded_light": (0, 10_000, "lx"),
    "film_warmer": (-40, 40, "degC"),
    "film_damper": (-60, 60, "%RH"),
    "plate_warmer": (-40, 40, "degC"),
    "developer_used": (0, 1000, "cm2/mL"),
    "developer_degrees": (5, 40, "degC"),
    "pinholes": (0, 100, "pinholes"),
    "film_scratches": (0, 100, "scratches"),
    "plate_scratches": (0, 20, "scratches"),
    "missed_corner": (0, 3, ""),
    "seed": (0, 2**53, ""),
}
_WIDE: Final = 2.0
"""Image narrower than this, mm, is a line."""
_GASKETS: Final = ("clear", "film-edge", "tape")


@dataclass(frozen=True, slots=True)
class Conditions:
    """One day at the bench.

    lamp_hours: age of the lamp. lamp_warm: 0 cold, 1 hot, at the start. air: pressure of the local air, kPa.
    dust: specks on glass that nobody wiped. room_light, shaded_light: on an open plate, lx. film_warmer,
    film_damper, plate_warmer: against the day the film was made, degC and %RH. developer_used: plate that the
    developer has done, cm2/mL; developer_degrees: as it is found. gasket: what lies across it until somebody
    looks. pinholes, film_scratches: how many of its flaws the film has. plate_scratches: through the coating.
    film_wrong: the film was made the wrong way round. missed_corner: the one a careless hand leaves out.
    """

    seed: int = 0
    lamp_hours: float = 300.0
    lamp_warm: float = 0.0
    air: float = 101.325
    dust: int = 4
    room_light: float = 400.0
    shaded_light: float = 30.0
    film_warmer: float = 0.0
    film_damper: float = 0.0
    plate_warmer: float = 0.0
    developer_used: float = 0.0
    developer_degrees: float = 20.0
    gasket: Literal["clear", "film-edge", "tape"] = "clear"
    pinholes: int = 0
    film_scratches: int = 0
    plate_scratches: int = 0
    film_wrong: bool = False
    missed_corner: int = 1

    def __post_init__(self) -> None:
        for name, (least, most, unit) in _RANGES.items():
            held(float(getattr(self, name)), f"`{name}`", least, most, unit)
        if self.gasket not in _GASKETS:
            raise OutOfRange(f"`gasket` is one of {', '.join(_GASKETS)}, not {str(self.gasket)[:40]!r}.")

    def as_mapping(self) -> dict[str, Value]:
        """Name and value of each, for the record."""
        return {one.name: getattr(self, one.name) for one in fields(self)}

    @property
    def climate(self) -> Climate:
        """How film and plate differ from the day the film was made."""
        return Climate(self.film_warmer, self.film_damper, self.plate_warmer)


NAMES: Final = tuple(one.name for one in fields(Conditions))
_KINDS: Final[Mapping[str, type]] = {one.name: type(one.default) for one in fields(Conditions)}


def given(values: Mapping[str, Value], base: Conditions | None = None) -> Conditions:
    """Conditions with these values, over `base` or the usual ones. Raises OutOfRange with a sentence."""
    over = dict((base or Conditions()).as_mapping())
    for name, value in values.items():
        if name not in _KINDS:
            raise OutOfRange(f"The bench has no condition `{name[:40]}`; it has {', '.join(NAMES)}.")
        over[name] = _fitting(name, value)
    return Conditions(**cast("Mapping[str, Any]", over))  # each value is of its field's own kind


def drawn(seed: int, air: float = 101.325) -> Conditions:
    """A day drawn from a seed: an ordinary one, on which right work makes a good plate."""
    dice = Random(seed)  # noqa: S311 - a day at the bench, no secret
    return Conditions(
        seed=seed,
        lamp_hours=round(dice.uniform(50, 900)),
        lamp_warm=dice.choice((0.0, 0.0, 0.0, 0.5)),
        air=air,
        dust=dice.randint(3, 8),
        room_light=round(dice.uniform(250, 600)),
        film_damper=round(dice.uniform(-3, 3), 1),
        developer_used=round(dice.uniform(0, 6), 1),
        developer_degrees=round(dice.uniform(18, 21), 1),
        gasket=dice.choice(("clear", "clear", "clear", "film-edge")),
        pinholes=dice.randint(0, 4),
        film_scratches=dice.randint(0, 1),
        missed_corner=dice.randint(0, 3),
    )


def with_flaws(job: Job, pinholes: int, scratches: int) -> Job:
    """The job with so many of the flaws that its image films can have."""

    def flawed(film: Film) -> Film:
        if film.kind != "image":
            return film.without_flaws()
        return replace(film, pinholes=film.pinholes[:pinholes], scratches=film.scratches[:scratches])

    return replace(job, films={name: flawed(film) for name, film in job.films.items()})


def specks(job: Job, conditions: Conditions, film: str) -> tuple[Speck, ...]:
    """The dust on glass that nobody wiped: the same specks for the same seed, every other one over image."""
    dice = _dice(conditions, "dust")
    art = job.film(film).art if film else ()
    made = []
    for number in range(conditions.dust):
        x, y = dice.uniform(0.1, 0.9) * job.width, dice.uniform(0.1, 0.9) * job.height
        if art and number % 2 == 0:
            box = bounds(art[dice.randrange(len(art))])
            x, y = box.x + dice.random() * box.width, box.y + dice.random() * box.height
        made.append(Speck(x, y, across=dice.uniform(0.3, 1.0), height=dice.uniform(120, 300)))
    return tuple(made)


def dabs(job: Job, conditions: Conditions, film: str) -> tuple[Spot, ...]:
    """Paint that went over the image: the same dabs for the same seed."""
    dice = _dice(conditions, "dabs")
    wide = [box for shape in job.film(film).art if min((box := bounds(shape)).width, box.height) > _WIDE]
    boxes = wide or [bounds(shape) for shape in job.film(film).art]
    made = []
    for _ in range(dice.randint(2, 4)):
        box = boxes[dice.randrange(len(boxes))]
        x, y = box.x + dice.random() * box.width, box.y + dice.random() * box.height
        made.append(Spot(x, y, dice.uniform(2.0, 4.0)))
    return tuple(made)


def scratches(job: Job, conditions: Conditions, plate: int) -> tuple[Stroke, ...]:
    """Scratches through the coating of a plate."""
    dice = _dice(conditions, f"scratch {plate}")
    made = []
    for _ in range(conditions.plate_scratches):
        x, y = dice.uniform(0.15, 0.75) * job.width, dice.uniform(0.2, 0.7) * job.height
        to = (x + dice.uniform(0.08, 0.2) * job.width, y + dice.uniform(-0.1, 0.1) * job.height)
        made.append(Stroke(((x, y), to), width=dice.uniform(0.2, 0.5)))
    return tuple(made)


def film_fit(conditions: Conditions, register: Register, laid: int, *, on_pins: bool) -> Fit:
    """How the film that was laid as the `laid`-th came to lie: on its pins, or as it slipped."""
    dice = _dice(conditions, f"film {laid}")
    slack = dice.uniform(-1, 1)
    if on_pins:
        return seated(register, slack, conditions.climate)
    along, across = _well_off(dice), _well_off(dice)
    return unseated(register, along, across, slack, conditions.climate)


def punch_fit(conditions: Conditions, register: Register, plate: int) -> Fit:
    """How far off its place a plate was punched, where nobody centred it."""
    dice = _dice(conditions, f"punch {plate}")
    return Fit(2 * register.loose * _well_off(dice), register.loose * _well_off(dice), 0.0, 0.0)


def _well_off(dice: Random) -> float:
    """A share of what is possible, never so small that nobody would see it."""
    return dice.choice((-1.0, 1.0)) * dice.uniform(0.5, 1.0)


def _dice(conditions: Conditions, what: str) -> Random:
    return Random(f"{conditions.seed} {what}")  # noqa: S311 - a day at the bench, no secret


def _fitting(name: str, value: Value) -> Value:
    """A value of the kind of its condition. Raises OutOfRange."""
    kind = _KINDS[name]
    if kind is str or kind is bool:
        if isinstance(value, kind):
            return value
        wanted = "a word" if kind is str else "true or false"
        raise OutOfRange(f"`{name}` is {wanted}, not {str(value)[:40]}.")
    if isinstance(value, bool | str):
        raise OutOfRange(f"`{name}` is a number, not {str(value)[:40]!r}.")
    if kind is int:
        if not isfinite(value) or value != int(value):
            raise OutOfRange(f"`{name}` is a whole number, not {value:g}.")
        return int(value)
    return float(value)
