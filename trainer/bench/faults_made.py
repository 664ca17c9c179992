"""How the bench makes each fault: the same right work, with the one thing done wrong that the fault is
named for.

Nothing of a plate is touched here. What was done is changed, and the plate that the models make of it
shows the signs. How bad it is comes from dice, within what a person can do and the eye can see.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from random import Random
from typing import Final

from trainer.bench import development, lamp, register, vacuum, wedge
from trainer.bench.artwork import Box, Film, Job, Rect, Spot, Stroke, bounds
from trainer.bench.limits import one_of
from trainer.bench.plate import Burn, Finishing, Speck, Treatment, Work, opaquing
from trainer.bench.settings import BenchSettings

_UNITS: Final = 24.0
_PRESSING: Final = 71.0
"""What 21 inHg press, kPa."""
_VOLUME: Final = 75.0
_SEA_LEVEL: Final = 101.325
_STEP: Final = wedge.exposure_factor(1)

_OF_TWO_BURNS: Final = frozenset(
    {
        "marks-burn-forgotten",
        "image-burn-forgotten",
        "second-burn-off",
        "image-under-marks-mask",
        "marks-under-image-mask",
    }
)

Maker = Callable[[Work, Random, BenchSettings], Work]


def right_work(job: Job, settings: BenchSettings, films: tuple[str, ...], units: float = _UNITS) -> Work:
    """A plate made as it should be:

    the films burned one after the other, with the wedge in the first burn.
    """
    burns = tuple(
        Burn(
            film=named,
            mask=job.film(named).mask,
            units=units,
            pressing=_PRESSING,
            wedge=place == 0,
            opaque=opaquing(job.film(named), "all"),
        )
        for place, named in enumerate(films)
    )
    how = settings.developer
    seconds = development.time_for(how.reference_temperature, 0.0, how)
    treatment = Treatment(seconds, _VOLUME, how.reference_temperature)
    finishing = Finishing("both-sides", water=40.0, wait_wet=10.0, wait_dry=20.0, gum="thin", buffed=True)
    return Work(job, burns, treatments=(treatment,), finishing=finishing)


def injected(work: Work, fault: str, dice: Random, settings: BenchSettings) -> Work:
    """The same work with a fault in it.

    The first burn is the image's, the last the marks'. Raises OutOfRange.
    """
    one_of(fault, "A fault", tuple(MAKERS))
    return MAKERS[fault](work, dice, settings)


def possible(work: Work, fault: str) -> bool:
    """Can this fault be made of this work? Some need a flaw in the film, a second film or a second burn."""
    first = work.job.film(work.burns[0].film)
    if fault == "pinholes":
        return len(first.pinholes) > 1
    if fault == "wrong-film":
        return len(work.job.image_films()) > 1
    if fault in _OF_TWO_BURNS:
        return len(work.burns) > 1
    return True


# -- at the light table, the punch and the frame


def _first(work: Work, **changes: object) -> Work:
    return replace(work, burns=(replace(work.burns[0], **changes), *work.burns[1:]))  # type: ignore[arg-type]


def _last(work: Work, **changes: object) -> Work:
    return replace(work, burns=(*work.burns[:-1], replace(work.burns[-1], **changes)))  # type: ignore[arg-type]


def _every(work: Work, change: Callable[[Burn], Burn]) -> Work:
    return replace(work, burns=tuple(change(burn) for burn in work.burns))


def _film(work: Work) -> Film:
    return work.job.film(work.burns[0].film)


def _wrong_film(work: Work, dice: Random, _: BenchSettings) -> Work:
    others = [film for film in work.job.image_films() if film.id != work.burns[0].film]
    other = dice.choice(others)
    return _first(work, film=other.id, opaque=opaquing(other, "all"))


def _dust(work: Work, dice: Random, _: BenchSettings) -> Work:
    art = [shape for shape in _film(work).art if _wide_enough(bounds(shape))]
    places = [_on(dice.choice(art), dice) for _speck in range(dice.randint(6, 12))]
    specks = tuple(Speck(x, y, dice.uniform(0.3, 0.8), dice.uniform(150, 300)) for x, y in places)
    return _first(work, dust=specks)


def _pinholes(work: Work, dice: Random, _: BenchSettings) -> Work:
    return _first(work, opaque=opaquing(_film(work), "none" if dice.random() < 0.6 else "some"))


def _over_image(work: Work, dice: Random, _: BenchSettings) -> Work:
    art = [shape for shape in _film(work).art if _wide_enough(bounds(shape))]
    dabs = tuple(
        Spot(*_on(dice.choice(art), dice), dice.uniform(2.0, 4.0)) for _ in range(dice.randint(2, 4))
    )
    return _first(work, opaque=work.burns[0].opaque + dabs)


def _scratched(work: Work, dice: Random, _: BenchSettings) -> Work:
    box = _image_box(work)
    lines = []
    for _line in range(dice.randint(2, 4)):
        x, y = _within(box, dice, 0.1)
        far = (x + dice.choice((-1, 1)) * dice.uniform(0.25, 0.5) * box.width, y + dice.uniform(-30, 30))
        lines.append(Stroke(((x, y), far), dice.uniform(0.25, 0.5)))
    return replace(work, scratches=tuple(lines))


def _off_centre(work: Work, dice: Random, _: BenchSettings) -> Work:
    return replace(work, punch=register.Fit(_off(dice, 1.5, 4.0), _off(dice, 0.5, 2.0), 0.0, 0.0))


def _not_seated(work: Work, dice: Random, settings: BenchSettings) -> Work:
    return _first(work, fit=_loose(dice, settings))


def _second_off(work: Work, dice: Random, settings: BenchSettings) -> Work:
    return _last(work, fit=_loose(dice, settings))


def _loose(dice: Random, settings: BenchSettings) -> register.Fit:
    return register.unseated(settings.register, _off(dice, 0.3, 1.0), _off(dice, 0.3, 1.0))


def _swollen(work: Work, dice: Random, settings: BenchSettings) -> Work:
    damp = register.Climate(
        film_degrees=dice.uniform(2, 6), film_humidity=dice.uniform(25, 45), plate_degrees=0.0
    )
    return _first(work, fit=register.seated(settings.register, 0.0, damp))


def _face_down(work: Work, _dice: Random, _: BenchSettings) -> Work:
    return _every(work, lambda burn: replace(burn, plate_down=True))


# -- vacuum and light


def _units(work: Work, times: float) -> Work:
    return _every(work, lambda burn: replace(burn, units=burn.units * times))


def _under(work: Work, dice: Random, _: BenchSettings) -> Work:
    return _units(work, _STEP ** -dice.uniform(2.0, 4.0))


def _over(work: Work, dice: Random, _: BenchSettings) -> Work:
    return _units(work, _STEP ** dice.uniform(2.0, 4.0))


def _by_timer(work: Work, hours: float, theta: float, settings: BenchSettings) -> Work:
    """The light ended by seconds that were right for a new hot lamp; from burn to burn it warms."""
    burns = []
    for burn in work.burns:
        done = lamp.by_timer(lamp.timer_setting(burn.units, settings.lamp), theta, hours, settings.lamp)
        burns.append(replace(burn, units=done.units))
        theta = done.theta if theta < 1 else theta
    return replace(work, burns=tuple(burns))


def _cold_lamp(work: Work, dice: Random, settings: BenchSettings) -> Work:
    return _by_timer(work, dice.uniform(50, 300), 0.0, settings)


def _old_lamp(work: Work, dice: Random, settings: BenchSettings) -> Work:
    return _by_timer(work, dice.uniform(2.0, 4.0) * settings.lamp.useful_life, 1.0, settings)


def _pressed(work: Work, pressing: float) -> Work:
    return _every(work, lambda burn: replace(burn, pressing=pressing))


def _poor_vacuum(work: Work, dice: Random, _: BenchSettings) -> Work:
    return _pressed(work, dice.uniform(5.0, 25.0))


def _pump_stopped(work: Work, dice: Random, _: BenchSettings) -> Work:
    return _pressed(work, dice.uniform(0.0, 8.0))


def _film_edge(work: Work, dice: Random, settings: BenchSettings) -> Work:
    leaking = vacuum.leak(dice.choice(("film-edge", "tape")), settings.frame) * dice.uniform(0.5, 1.0)
    return _pressed(work, vacuum.highest_gauge(_SEA_LEVEL, settings.frame, leaking))


def _image_forgotten(work: Work, _dice: Random, _: BenchSettings) -> Work:
    rest = work.burns[1:]
    return replace(
        work,
        burns=tuple(replace(burn, wedge=True) if place == 0 else burn for place, burn in enumerate(rest)),
    )


def _marks_forgotten(work: Work, _dice: Random, _: BenchSettings) -> Work:
    return replace(work, burns=work.burns[:-1])


def _fogged(work: Work, dice: Random, settings: BenchSettings) -> Work:
    return replace(work, fog=settings.coating.mid_dose * dice.uniform(0.7, 1.0))


# -- at the sink


def _treated(work: Work, **changes: object) -> Work:
    return replace(work, treatments=(replace(work.treatments[0], **changes),))  # type: ignore[arg-type]


def _short(work: Work, dice: Random, _: BenchSettings) -> Work:
    return _treated(work, seconds=work.treatments[0].seconds * dice.uniform(0.2, 0.4))


def _cold(work: Work, dice: Random, _: BenchSettings) -> Work:
    return _treated(work, temperature=dice.uniform(5.0, 9.0))


def _used(work: Work, dice: Random, settings: BenchSettings) -> Work:
    return _treated(work, used=settings.developer.half_strength * dice.uniform(1.4, 2.2))


def _little(work: Work, dice: Random, _: BenchSettings) -> Work:
    return _treated(work, volume=dice.uniform(12.0, 32.0))


def _one_place(work: Work, _dice: Random, _: BenchSettings) -> Work:
    return _treated(work, spread="one-place")


def _corner(work: Work, dice: Random, _: BenchSettings) -> Work:
    return replace(_treated(work, rubbing="part"), corner=dice.randint(0, 3))


def _dried(work: Work, dice: Random, settings: BenchSettings) -> Work:
    lasts = development.drying_time(work.treatments[0].volume, work.job.area, settings.developer)
    left = replace(work.treatments[0], seconds=lasts * dice.uniform(0.8, 1.5), rubbing="none")
    return replace(work, treatments=(*work.treatments, left))


def _dirty(work: Work, _dice: Random, _: BenchSettings) -> Work:
    return _treated(work, pad="loaded")


def _overdeveloped(work: Work, dice: Random, _: BenchSettings) -> Work:
    if dice.random() < 0.5:
        return _treated(work, seconds=work.treatments[0].seconds * dice.uniform(3.5, 4.4))
    return _treated(work, temperature=40.0, seconds=work.treatments[0].seconds * dice.uniform(1.2, 1.6))


def _finished(work: Work, **changes: object) -> Work:
    return replace(work, finishing=replace(work.finishing or Finishing(), **changes))  # type: ignore[arg-type]


def _unrinsed(work: Work, _dice: Random, _: BenchSettings) -> Work:
    return _finished(work, rinse="none", water=0.0)


def _gum_late(work: Work, dice: Random, settings: BenchSettings) -> Work:
    return _finished(work, wait_wet=settings.finish.oxidation_wet * dice.uniform(0.3, 1.5))


def _no_gum(work: Work, dice: Random, settings: BenchSettings) -> Work:
    return _finished(
        work, gum="none", buffed=False, wait_dry=settings.finish.oxidation_dry * dice.uniform(0.3, 1.5)
    )


def _thick(work: Work, _dice: Random, _: BenchSettings) -> Work:
    return _finished(work, gum="thick")


def _unbuffed(work: Work, _dice: Random, _: BenchSettings) -> Work:
    return _finished(work, buffed=False)


# -- places


def _off(dice: Random, least: float, most: float) -> float:
    return dice.choice((-1.0, 1.0)) * dice.uniform(least, most)


def _image_box(work: Work) -> Box:
    """The least rectangle round all that the image film carries."""
    boxes = [bounds(shape) for shape in _film(work).art]
    left, top = min(box.x for box in boxes), min(box.y for box in boxes)
    right = max(box.x + box.width for box in boxes)
    return Box(left, top, right - left, max(box.y + box.height for box in boxes) - top)


def _within(box: Box, dice: Random, margin: float) -> tuple[float, float]:
    return (
        box.x + box.width * dice.uniform(margin, 1 - margin),
        box.y + box.height * dice.uniform(margin, 1 - margin),
    )


def _wide_enough(box: Box) -> bool:
    return box.width > 1.0 or box.height > 1.0


def _on(shape: object, dice: Random) -> tuple[float, float]:
    """A place on a shape of the film."""
    if isinstance(shape, Stroke):
        return dice.choice(shape.points)
    if isinstance(shape, Rect):
        return _within(shape.box, dice, 0.2)
    box = bounds(shape)  # type: ignore[arg-type]
    return box.middle


MAKERS: Final[Mapping[str, Maker]] = {
    "wrong-reading": lambda work, _dice, _: _first(work, wrong_reading=True),
    "emulsion-up": lambda work, _dice, _: _first(work, side="emulsion-up"),
    "wrong-film": _wrong_film,
    "mask-off": lambda work, _dice, _: _first(work, mask=""),
    "image-under-marks-mask": lambda work, _dice, _: _first(work, mask=work.burns[-1].mask),
    "marks-under-image-mask": lambda work, _dice, _: _last(work, mask=work.burns[0].mask),
    "dust": _dust,
    "pinholes": _pinholes,
    "opaque-over-image": _over_image,
    "scratched": _scratched,
    "off-centre": _off_centre,
    "not-seated": _not_seated,
    "second-burn-off": _second_off,
    "swollen-film": _swollen,
    "plate-face-down": _face_down,
    "underexposed": _under,
    "overexposed": _over,
    "cold-lamp": _cold_lamp,
    "old-lamp": _old_lamp,
    "poor-vacuum": _poor_vacuum,
    "pump-stopped": _pump_stopped,
    "film-edge": _film_edge,
    "image-burn-forgotten": _image_forgotten,
    "marks-burn-forgotten": _marks_forgotten,
    "fogged": _fogged,
    "short-development": _short,
    "cold-developer": _cold,
    "old-developer": _used,
    "little-developer": _little,
    "one-place": _one_place,
    "corner-missed": _corner,
    "dried-on": _dried,
    "dirty-pad": _dirty,
    "overdeveloped": _overdeveloped,
    "rinse-skipped": _unrinsed,
    "gum-late": _gum_late,
    "no-gum": _no_gum,
    "gum-thick": _thick,
    "not-buffed": _unbuffed,
}
"""Each fault of the catalogue, and how it is made."""
