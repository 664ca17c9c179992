"""The plate sheet: what is measured on a plate, and whether it passes.

Every measure is read off the plate's raster, as a person with a loupe would read it. What a measure is held
against stands in its line.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from typing import Final

import numpy as np

from trainer.bench import finish, looks, looks_over, register, wedge
from trainer.bench.artwork import Film, Job, Point
from trainer.bench.light import placement
from trainer.bench.limits import held
from trainer.bench.looks import Lies, Look
from trainer.bench.looks_over import Lying, Meant, Tint
from trainer.bench.made import PlateRaster, made
from trainer.bench.numbers import alike
from trainer.bench.plate import Work
from trainer.bench.settings import BenchSettings

Value = float | bool | None

_SNAP: Final = 0.03
"""A film no further off than this, mm, is taken to lie in its place where pictures are compared."""

_ALIKE: Final = 0.3
"""Films whose places differ by no more than this, mm, lie off together."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a plate is held against. `films`: ids of the films that it should carry, the first the image's.

    A shop's own numbers; those here are common practice, no source.
    """

    films: tuple[str, ...]
    wedge: bool = True
    wedge_target: float = 6.0
    wedge_slack: float = 0.0
    ghost_most: float = 4.0
    background_most: float = 1.0
    uneven_most: float = 1.0
    tone_low: float = 48.0
    tone_high: float = 62.0
    smallest_dot_most: float = 3.0
    growth_most: float = 8.0
    register_most: float = 0.15
    position_most: float = 0.5
    missing_most: float = 3.0
    missing_tile_most: float = 30.0
    unwanted_most: float = 0.1
    strength_least: float = 90.0
    oxidised_most: float = 5.0
    blind_most: float = 5.0
    gum_least: float = 80.0
    pinholes_most: float = 0.0
    scratches_most: float = 0.0


@dataclass(frozen=True, slots=True)
class Line:
    """One measure: its value (None where it could not be taken), whether it passes, and against what."""

    name: str
    value: Value
    unit: str
    ok: bool | None
    held_against: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """A plate's measures. It passes when every line that could be taken passes and none was missing."""

    lines: tuple[Line, ...]

    @property
    def passes(self) -> bool:
        """Does the plate meet everything it is held against?"""
        return all(line.ok is not False for line in self.lines)

    def values(self) -> Mapping[str, float | bool]:
        """The measures that could be taken, by name, with `passes`."""
        taken = {line.name: line.value for line in self.lines if line.value is not None}
        return {**taken, "passes": self.passes}


@dataclass(frozen=True)
class Inspection:
    """A plate under inspection: looks at it are taken once and kept."""

    look: Look
    job: Job
    settings: BenchSettings
    wanted: Wanted
    films: tuple[Film, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "films", tuple(self.job.film(named) for named in self.wanted.films))

    @cached_property
    def plate(self) -> PlateRaster:
        """The whole plate, in the pixels of `looks_over`."""
        return self.look(looks_over.whole_grid(self.job))

    @cached_property
    def lies(self) -> Mapping[str, Lies | None]:
        """How each film's picture lies, by its crosses."""
        return {film.id: looks.lies(self.look, self.job, film) for film in self.films}

    @cached_property
    def shift(self) -> Point:
        """How far (mm) everything on the pins lies off: the first film's picture at the round pin."""
        first = self.lies[self.films[0].id] if self.films else None
        return (first.fit.dx, first.fit.dy) if first else (0.0, 0.0)

    @cached_property
    def common_shift(self) -> Point:
        """How far (mm) all films lie off alike, and with them masks and wedge: the plate was punched so."""
        fits = [one.fit for one in self.lies.values() if one is not None]
        if not fits or max(np.ptp([fit.dx for fit in fits]), np.ptp([fit.dy for fit in fits])) > _ALIKE:
            return 0.0, 0.0
        return self.shift if max(map(abs, self.shift)) > _SNAP else (0.0, 0.0)

    @cached_property
    def wedge(self) -> tuple[float, ...] | None:
        """The coating on the wedge's steps."""
        return looks.wedge_kept(self.look, self.job, self.common_shift)

    @cached_property
    def right_reading(self) -> bool | None:
        """Does the first film's picture read the right way round? None where there is none to tell by."""
        if not self.films:
            return None
        right, wrong = (
            alike(self.plate.kept, looks_over.meant(self.job, self.films[:1], Lying(mirror=mirror)).cover)
            for mirror in (False, True)
        )
        return right >= wrong if max(right, wrong) > 0.2 else None

    @cached_property
    def meant(self) -> Meant:
        """What the plate was meant to carry, where its films' pictures lie."""
        fits = tuple(
            (name, one.fit)
            for name, one in self.lies.items()
            if one is not None and register.worst(_corners(self.job), one.fit) > _SNAP
        )
        lying = Lying(fits, self.right_reading is False, self.common_shift)
        return looks_over.meant(self.job, self.films, lying)

    @cached_property
    def tints(self) -> tuple[Tint, ...]:
        """The image films' tints as they came out."""
        found: list[Tint] = []
        for film in self.films:
            one = self.lies[film.id]
            off = one is not None and register.worst(_corners(self.job), one.fit) > _SNAP
            found += looks_over.tints(
                self.plate, self.job, film, one.fit if one is not None and off else register.EXACT
            )
        return tuple(found)

    @cached_property
    def background(self) -> looks_over.Map:
        """Coating on what should be bare, tile by tile."""
        return looks_over.background(self.plate, self.meant)


def _corners(job: Job) -> list[Point]:
    """The plate's corners as seen from its round pin."""
    x, y = job.pin
    return [(-x, -y), (job.width - x, -y), (-x, job.height - y), (job.width - x, job.height - y)]


def sheet(work: Work, settings: BenchSettings, wanted: Wanted) -> Sheet:
    """The plate sheet of a work."""
    return sheet_of(Inspection(partial(made, work, settings=settings), work.job, settings, wanted), work)


def sheet_of(seen: Inspection, work: Work) -> Sheet:
    """The plate sheet of a plate under inspection, so that others may share its looks."""
    return Sheet(tuple(_lines(seen, work)))


def _lines(seen: Inspection, work: Work) -> Iterator[Line]:
    yield from _wedge_lines(seen)
    yield from _even_lines(seen)
    yield from _tone_lines(seen)
    yield from _place_lines(seen)
    yield from _image_lines(seen)
    yield from _flaw_lines(seen, work)
    yield from _finish_lines(seen)


_SHOWN = {"um": "µm", "cm2": "cm²"}


def _most(name: str, value: float | None, unit: str, most: float) -> Line:
    ok = None if value is None else value <= most + 1e-9
    return Line(name, value, unit, ok, f"at most {most:g} {_SHOWN.get(unit, unit)}".strip())


def _wedge_lines(seen: Inspection) -> Iterator[Line]:
    if not seen.wanted.wedge:
        return
    target, slack = seen.wanted.wedge_target, seen.wanted.wedge_slack
    against = f"{target:g}" if not slack else f"{target - slack:g} to {target + slack:g}"
    if seen.wedge is None:
        yield Line("solid_step", None, "step", ok=False, held_against=against)
        yield Line("ghost_steps", None, "each", ok=None, held_against=f"at most {seen.wanted.ghost_most:g}")
        return
    read = wedge.reading(seen.wedge, seen.settings.coating)
    yield Line("solid_step", float(read.solid_step), "step", abs(read.solid_step - target) <= slack, against)
    yield _most("ghost_steps", float(read.ghost_steps), "each", seen.wanted.ghost_most)


def _even_lines(seen: Inspection) -> Iterator[Line]:
    background = seen.background
    if np.isnan(background).all():
        return
    worst = float(np.nanmax(background))
    yield _most("background", 100 * worst, "%", seen.wanted.background_most)
    uneven = 100 * (worst - float(np.nanpercentile(background, 10)))
    yield _most("uneven", uneven, "%", seen.wanted.uneven_most)


def _tone_lines(seen: Inspection) -> Iterator[Line]:
    low, high = seen.wanted.tone_low, seen.wanted.tone_high
    middles = [100 * tint.kept for tint in seen.tints if tint.tone == 0.5]
    if middles:
        worst = max(middles, key=lambda one: abs(one - (low + high) / 2))
        yield Line("tone_50", worst, "%", low <= worst <= high, f"{low:g} to {high:g} %")
    dots = sorted(tint.tone for tint in seen.tints if tint.tone <= 0.5)
    if dots:
        there = [one.tone for one in seen.tints if one.tone <= 0.5 and one.kept >= one.tone / 2]
        smallest = 100 * min(there) if there else 100.0
        yield _most("smallest_dot", smallest, "%", seen.wanted.smallest_dot_most)
    if seen.films:
        grown = looks_over.growth(seen.plate, seen.meant, seen.background)
        if not np.isnan(grown).all():
            around = looks_over.growth(seen.plate, seen.meant, seen.background, around=True)
            worst_edge = looks_over.worst_growth(grown, around)
            yield _most("growth", worst_edge, "um", seen.wanted.growth_most)


def _place_lines(seen: Inspection) -> Iterator[Line]:
    if not seen.films:
        return
    shown = [one for one in seen.lies.values() if one is not None]
    position = float(np.hypot(*seen.shift)) if shown else None
    yield _most("position", position, "mm", seen.wanted.position_most)
    off = register.Fit(seen.shift[0], seen.shift[1], 0.0, 0.0)
    error = max((register.worst(_corners(seen.job), one.fit, off) for one in shown), default=None)
    yield _most("register_error", error, "mm", seen.wanted.register_most)
    yield Line("right_reading", seen.right_reading, "", seen.right_reading, "right-reading")
    marks = [film for film in seen.films if film.kind == "marks"]
    if marks:
        there = all(seen.lies[film.id] is not None and _all_there(seen.lies[film.id]) for film in marks)
        yield Line("marks", there, "", there, "all there")


def _all_there(one: Lies | None) -> bool:
    return one is not None and all(mark is not None and mark.strength > 0.6 for mark in one.marks)


def _image_lines(seen: Inspection) -> Iterator[Line]:
    if not seen.films:
        return
    wanted = seen.wanted
    share = 100 * looks_over.missing_share(seen.plate, seen.meant)
    tiles = looks_over.missing(seen.plate, seen.meant)
    yield _most("image_missing", share, "%", wanted.missing_most)
    if not np.isnan(tiles).all():
        yield _most("image_missing_worst", 100 * float(np.nanmax(tiles)), "%", wanted.missing_tile_most)
    strong = looks_over.strength(seen.plate, seen.meant)
    if not np.isnan(strong).all():
        weakest = 100 * float(np.nanmin(strong))
        yield Line(
            "strength",
            weakest,
            "%",
            weakest >= wanted.strength_least,
            f"at least {wanted.strength_least:g} %",
        )
    area = float(looks_over.unwanted(seen.plate, seen.meant).sum())
    yield _most("unwanted", area, "cm2", wanted.unwanted_most)


def flaws(seen: Inspection, work: Work) -> tuple[int, float]:
    """How many of the films' pinholes and scratches print, and the mm of scratches through the image.

    They are looked for where the films and the plate have them, and seen only on what should be bare.
    """
    count = 0
    for burn in {burn.film: burn for burn in work.burns if burn.film}.values():
        film, place = work.job.film(burn.film), placement(work, burn)
        scratches = [(*_middle(line.points), line.width) for line in film.scratches]
        for x, y, across in (*((hole.x, hole.y, hole.across) for hole in film.pinholes), *scratches):
            lies_x, lies_y = place.points(np.array([x]), np.array([y]))
            at = float(lies_x[0]), float(lies_y[0])
            if _on_bare(seen.meant, at):
                count += looks.speck_prints(seen.look, at, across)
    return count, sum(looks.scratch_shows(seen.look, one.points, one.width) for one in work.scratches)


def _middle(points: Sequence[Point]) -> Point:
    """The middle of a line's first stretch."""
    (x0, y0), (x1, y1) = points[0], points[1]
    return (x0 + x1) / 2, (y0 + y1) / 2


def _flaw_lines(seen: Inspection, work: Work) -> Iterator[Line]:
    count, length = flaws(seen, work)
    yield _most("pinholes", float(count), "each", seen.wanted.pinholes_most)
    yield _most("scratches", length, "mm", seen.wanted.scratches_most)


def _on_bare(meant: Meant, at: Point) -> bool:
    """Should the metal be bare at a place? A hole over image cannot be seen."""
    col, row = (int(place / meant.grid.pixel) for place in at)
    return 0 <= row < meant.grid.rows and 0 <= col < meant.grid.cols and bool(meant.bare[row, col])


def _finish_lines(seen: Inspection) -> Iterator[Line]:
    wanted = seen.wanted
    worst = 100 * float(looks_over.oxidation(seen.plate).max())
    yield _most("oxidised", worst, "%", wanted.oxidised_most)
    blind = looks_over.blindness(seen.plate, seen.meant)
    if not np.isnan(blind).all():
        yield _most("blind", 100 * float(np.nanmax(blind)), "%", wanted.blind_most)
    gum = 100 * float(finish.protection(held(seen.plate.gum, "The gum", 0.0, 500.0), seen.settings.finish))
    yield Line("gum", gum, "%", gum >= wanted.gum_least, f"at least {wanted.gum_least:g} % protected")
