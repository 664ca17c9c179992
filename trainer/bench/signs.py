"""The signs that a plate shows: each is something that a person can see with the eye or a loupe."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import log10
from typing import Final

import numpy as np

from trainer.bench import looks_over, register, wedge
from trainer.bench.artwork import Film
from trainer.bench.gaps import widest_gap
from trainer.bench.seen import Seen
from trainer.bench.settings import BenchSettings
from trainer.bench.sign_words import EVEN, SEEN
from trainer.bench.tiles import most, well_inside
from trainer.bench.tints import LEFT, Tinted
from trainer.bench.wedge_place import wedge_shift

_STEPS_OFF: Final = 0.9
_GROWN: Final = 2.0
_GROWN_VEILED: Final = 5.0
"""Under a patchy veil edges cannot be judged more finely than this."""
_GROWN_TWICE: Final = 12.0
"""A film that lies emulsion up grows its edges by less than this."""
_SPECK_GROWN: Final = 4.0
_GAP: Final = 0.2
_DAB: Final = 0.9
_LOOKED_AT: Final = 5
_OFF: Final = 0.1
_TURNED: Final = 2e-4
_STRETCHED: Final = 1.5e-4
_OXIDISED: Final = 0.05
_BLIND: Final = 0.05
_CAN_TELL: Final = 0.9
_OF_WEDGE: Final = ("short", "fog", "left")
"""An even tint: which of them it is, the wedge tells."""


@dataclass(frozen=True, slots=True)
class Sign:
    """One sign: how strong it is (1 is plain to see, 0 nothing), and what is seen, in words."""

    id: str
    strength: float
    seen: str


def signs(plate: Seen) -> tuple[Sign, ...]:
    """All signs of a plate, the strongest first."""
    found = [
        *_image_signs(plate),
        *_tint_signs(plate),
        *_light_signs(plate),
        *_local_signs(plate),
        *_place_signs(plate),
        *_finish_signs(plate),
        *_flaw_signs(plate),
    ]
    return tuple(sorted((sign for sign in found if sign.strength > 0), key=lambda sign: -sign.strength))


def _sign(name: str, strength: float, **amounts: str) -> Sign:
    """A sign, with what was measured put into its words."""
    return Sign(name, strength, SEEN[name].format(**amounts))


def _share(value: float, plain: float) -> float:
    """A strength: 1 where the value is as large as is plain to see."""
    return min(max(value / plain, 0.0), 1.0)


def _image_signs(plate: Seen) -> Iterator[Sign]:
    film, mirrored = plate.film
    wanted = plate.inspection.wanted
    marks = [one for one in plate.inspection.films if one.kind == "marks"]
    gone = _marks_gone(plate)
    if film is None and _image_is_bare(plate):
        if marks and gone:
            yield _sign("nothing", 1.0)
            return
        yield _sign("no-image", 1.0)
    elif film is not None and film.id != wanted.films[0]:
        yield _sign("other-image", 1.0)
    if gone:
        yield _sign("no-marks", 0.95)
    if mirrored:
        yield _sign("mirrored", 1.0)


def _image_is_bare(plate: Seen) -> bool:
    """Is there bare metal where image should be? Under a tint nobody can tell."""
    lost = looks_over.missing(plate.judged.plate, plate.judged.meant)
    known = plate.clean & np.isfinite(lost)
    return bool(known.sum() > 0.1 * np.isfinite(lost).sum()) and float(np.median(lost[known])) > 0.8


def _marks_gone(plate: Seen) -> bool:
    """Is there bare metal where the marks' crosses should be?"""
    side = looks_over.PIXEL * looks_over.TILE
    for film in plate.judged.films:
        found = plate.judged.lies.get(film.id)
        if film.kind != "marks" or (found is not None and plate.tint.readable > _CAN_TELL):
            continue
        crosses = found.marks if found is not None else (None,) * len(film.targets)
        looked_at = [
            cross
            for (x, y), cross in zip(film.targets, crosses, strict=True)
            if plate.clean[max(int(y / side) - 1, 0) : int(y / side) + 2, int(x / side)].all()
        ]
        if looked_at and not any(looked_at):
            return True
    return False


def _tint_signs(plate: Seen) -> Iterator[Sign]:
    tint = plate.tint
    if tint.border:
        yield _sign("border", 1.0)
    if tint.pattern == "corner":
        yield _sign("corner", 1.0)
    elif tint.pattern == "pool":
        yield _sign("pool", 1.0)
    elif tint.pattern == "islands":
        yield _sign("islands", 1.0)
    elif tint.pattern == "veil":
        yield _sign("veil", _share(tint.spread, 0.03))
    if tint.pattern == "even" or (tint.uneven and tint.level > _under(tint)):
        yield from _even_signs(plate)


def _under(tint: Tinted) -> float:
    """The least that must lie under a pattern for an even tint of its own."""
    return 2 * LEFT + 0.1 * tint.spread if tint.pattern == "veil" else 3 * LEFT


def _even_signs(plate: Seen) -> Iterator[Sign]:
    strength = _share(plate.tint.level, 2 * LEFT)
    tint = plate.reading.tint if plate.reading is not None else "none"
    if tint in _OF_WEDGE:
        yield _sign(tint, strength)
        if tint == "left" and plate.reading is not None and plate.reading.steps < -_STEPS_OFF:
            # too little light and too little development leave the same wedge
            yield _sign("short", strength / 2)
        return
    for place, story in enumerate(_OF_WEDGE):
        yield Sign(story, strength * (0.8 - 0.1 * place), EVEN)


def _light_signs(plate: Seen) -> Iterator[Sign]:
    edges = plate.edges
    steps = plate.reading.steps if plate.reading is not None else 0.0
    if edges is not None and edges < -_GROWN:
        yield _sign("edges-lost", _share(-edges, 2 * _GROWN))
        power = plate.judged.settings.coating.development_power
        steps += power * _decades(-edges, plate.judged.settings) / wedge.INCREMENT
    elif edges is not None and edges > (_GROWN_VEILED if plate.tint.uneven else _GROWN):
        yield _sign("edges-grown", _share(edges, 2 * _GROWN))
        if edges > _GROWN_TWICE:
            yield _sign("edges-far", _share(edges, 2 * _GROWN_TWICE))
    if plate.reading is None:
        return
    if steps < -_STEPS_OFF:
        yield _sign("wedge-low", _share(-steps, 1.5), steps=f"{-steps:.1f}")
    elif steps > _STEPS_OFF:
        yield _sign("wedge-high", _share(steps, 1.5), steps=f"{steps:.1f}")


def _decades(lost: float, settings: BenchSettings) -> float:
    """The decades of development past the right one that take so many um off every edge."""
    return log10(1 + lost / max(settings.developer.edge_loss, 1e-6))


def _local_signs(plate: Seen) -> Iterator[Sign]:
    if plate.film[0] is None:
        return
    fogged = plate.reading is not None and plate.reading.tint == "fog"
    least = _SPECK_GROWN * (2 if plate.moved or fogged else 1) + 1.2 * max(plate.edges or 0.0, 0.0)
    spots = int((plate.spots > least).sum())
    thinned = plate.edges is not None and plate.edges < -_GROWN
    if spots and not thinned and not plate.tint.uneven:
        yield _sign("soft-spots", _share(spots, 3))
    gaps = _gaps(plate)
    if gaps:
        yield _sign("gaps", _share(gaps, 1))


def _gaps(plate: Seen) -> int:
    """How many tiles have a gap as wide as a dab of paint.

    A scratch is thinner; lost highlights are no gap.
    """
    film, mirrored = plate.film
    judged = plate.judged
    lost = np.where(plate.clean, looks_over.missing(judged.plate, judged.meant), np.nan)
    if plate.moved:
        lost = np.where(well_inside(judged.job, judged.films), lost, np.nan)
    more = np.where(most(judged.meant.cover) > 0.2, np.nan_to_num(lost), 0.0)
    side = looks_over.PIXEL * looks_over.TILE
    worst = [
        int(place) for place in np.argsort(more, axis=None)[::-1][:_LOOKED_AT] if more.flat[place] > _GAP
    ]
    places = [
        ((place % more.shape[1] + 0.5) * side, (place // more.shape[1] + 0.5) * side) for place in worst
    ]
    lies = judged.lies.get(film.id) if film is not None and plate.moved else None
    place = looks_over.place_of(judged.job, lies.fit if lies is not None else register.EXACT, mirror=mirrored)
    return sum(widest_gap(judged.look, film, at, place) > _DAB for at in places)


def _place_signs(plate: Seen) -> Iterator[Sign]:
    image = _fit(plate, plate.judged.films[0]) if plate.film[0] is not None else None
    marks = next((_fit(plate, one) for one in plate.judged.films if one.kind == "marks"), None)
    if image is not None and image.stretch > _STRETCHED * (4 if plate.tint.uneven else 1):
        yield _sign("stretched", 1.0)
    if image is None and marks is None:
        return
    at = _punched(plate, image, marks)
    off = float(np.hypot(at.dx, at.dy))
    if off > 3 * _OFF:
        yield _sign("displaced", _share(off, 0.5), distance=f"{off:.1f}")
    if image is not None and (apart := _apart(image, at)) > _OFF:
        yield _sign("image-moved", _share(apart, 0.3), distance=f"{apart:.1f}")
    only = image is None and wedge_shift(plate.judged.look, plate.judged.job) is None
    if marks is not None and (apart := off if only else _apart(marks, at)) > _OFF:
        # with nothing else on the plate nobody can tell which of the two it is
        yield _sign("marks-moved", _share(apart, 0.3), distance=f"{apart:.1f}")


def _punched(plate: Seen, image: register.Fit | None, marks: register.Fit | None) -> register.Fit:
    """How far the plate's own place is off: image and marks together, or else the wedge, tell it."""
    if image is not None and marks is not None and _apart(image, marks) < _OFF:
        return replace(image, angle=0.0, stretch=0.0)
    place = wedge_shift(plate.judged.look, plate.judged.job)
    for fit in (image, marks):
        if (
            fit is not None
            and place is not None
            and np.hypot(fit.dx - place[0], fit.dy - place[1]) < 2 * _OFF
        ):
            return replace(fit, angle=0.0, stretch=0.0)
    if place is None and (image is None or marks is None):
        one = image or marks or register.EXACT
        return register.EXACT if abs(one.angle) > _TURNED else replace(one, angle=0.0, stretch=0.0)
    return register.Fit(*(place or (0.0, 0.0)), 0.0, 0.0)


def _fit(plate: Seen, film: Film) -> register.Fit | None:
    """How a film's picture lies, by those of its crosses that stand on clean metal."""
    found = plate.judged.lies.get(film.id)
    if found is None:
        return None
    job, rows, off = plate.judged.job, [], []
    side = looks_over.PIXEL * looks_over.TILE
    for (x, y), mark in zip(film.targets, found.marks, strict=True):
        row, col = int(y / side), int(x / side)
        around = plate.clean[max(row - 2, 0) : row + 3, max(col - 2, 0) : col + 3]
        if mark is None or not around.all():
            continue
        right, down = x - job.pin[0], y - job.pin[1]
        rows += [[1.0, 0.0, -down, right], [0.0, 1.0, right, down]]
        off += [mark.dx, mark.dy]
    if len(rows) < 4:
        return None
    return register.Fit(*np.linalg.lstsq(np.array(rows), np.array(off), rcond=None)[0].tolist())


def _apart(fit: register.Fit, other: register.Fit) -> float:
    return float(np.hypot(fit.dx - other.dx, fit.dy - other.dy))


def _finish_signs(plate: Seen) -> Iterator[Sign]:
    raster = plate.judged.plate
    worst = float(looks_over.oxidation(raster).max())
    if worst > _OXIDISED:
        yield _sign("dull", _share(worst, 0.15))
    blind = looks_over.blindness(raster, plate.judged.meant)
    if not np.isnan(blind).all() and float(np.nanmax(blind)) > _BLIND:
        yield _sign("blind", _share(float(np.nanmax(blind)), 0.15))


def _flaw_signs(plate: Seen) -> Iterator[Sign]:
    holes, scratched = plate.flaws
    if holes:
        yield _sign("pinholes", 0.9, count=f"{holes:.0f}")
    if scratched > 0:
        yield _sign("scratches", 0.9, length=f"{scratched:.0f}")
