"""What light did to a plate: for each burn, which part of each pixel got which dose.

A pixel is parted by area, not blended: its clear part gets the whole dose and its black part the leak, so
that an edge stays where it is at every resolution. Only what changes slowly over the plate (fall-off) is left
to multiply.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from trainer.bench import contact, geometry, tone, wedge
from trainer.bench.artwork import Box, Screen, Spot
from trainer.bench.film import FilmRaster, Patches, rendered, spots_cover, windows_cover
from trainer.bench.film_place import Placement
from trainer.bench.plate import Burn, Speck, Work
from trainer.bench.plate_fields import Field, Places, off_axis
from trainer.bench.raster import Coverage, Floats, Grid
from trainer.bench.register import EXACT
from trainer.bench.settings import BenchSettings

_LEAST_EDGE, _MOST_EDGE = -80.0, 240.0
"""An edge moves in or out by at most so many um."""

_RULING: Final = 50.0
"""A ruling, lines/cm, to reckon tones by."""

_STEP_FINEST, _STEP_COARSEST = 4.0, 16.0
"""Films are drawn with their edges at rungs so many um apart; between rungs, coverage is in proportion."""


_PLATE: Final = Placement(0.0, (0.0, 0.0))
"""Where things lie that lie on the plate itself."""


@dataclass(frozen=True, slots=True)
class Exposure:
    """Burns of one film on one place, added up: `gap` is the mean that their light met, um."""

    burn: Burn
    units: float
    gap: float


@dataclass(frozen=True, slots=True)
class Part:
    """A part of each pixel and the dose it got under the lamp's axis. `area` None: all of every pixel."""

    area: Coverage | None
    units: float


def exposures(work: Work, settings: BenchSettings) -> tuple[Exposure, ...]:
    """The burns that reached the coating, like ones added up."""
    sums: dict[Burn, list[tuple[float, float]]] = {}
    for burn in work.burns:
        if burn.units and not burn.plate_down:
            gap = float(contact.gap(burn.pressing, settings.contact))
            sums.setdefault(replace(burn, units=0.0, pressing=0.0), []).append((burn.units, gap))
    return tuple(
        Exposure(
            _pressed(burn, work),
            sum(units for units, _ in parts),
            sum(units * gap for units, gap in parts) / sum(units for units, _ in parts),
        )
        for burn, parts in sums.items()
    )


def _pressed(burn: Burn, work: Work) -> Burn:
    """The burn with the weakest pressing of its kind, by which dust holds the film off."""
    like = [one.pressing for one in work.burns if replace(one, units=0.0, pressing=0.0) == burn]
    return replace(burn, pressing=min(like))


def placement(work: Work, burn: Burn) -> Placement:
    """Where the burn's film lies on the plate."""
    fits = tuple(fit for fit in (burn.fit, work.punch) if fit != EXACT)
    return Placement(work.job.width, work.job.pin, burn.mirrored, fits)


def parts(
    exposure: Exposure, work: Work, settings: BenchSettings, moved: Coverage | np.float32, grid: Grid
) -> list[Part]:
    """How an exposure parts each pixel. `moved`: um that edges move out there; dust is added to it."""
    burn, stock = exposure.burn, settings.film
    windows = _windows(work, burn, grid)
    found: list[Part] = []
    if windows is not None and not windows.any():
        return [Part(None, 0.0)]
    if windows is not None:
        found.append(Part(1.0 - windows, 0.0))
    if not burn.film:
        return [*found, Part(windows, exposure.units)]
    clear = _open(exposure, work, settings, moved, grid)
    black = 1.0 - clear
    if windows is not None:
        clear = clear * windows
        black = black * windows
    through = exposure.units * wedge.transmittance(stock.clear_density)
    if burn.dust:
        # a speck is opaque: nothing under it is struck
        lit = 1.0 - specks_cover(burn.dust, grid)
        clear, black = clear * lit, black * lit
        found.append(Part(1.0 - lit if windows is None else windows * (1.0 - lit), 0.0))
    if burn.opaque:
        painted = spots_cover(burn.opaque, grid, placement(work, burn))
        found.append(Part(clear * painted, through * wedge.transmittance(stock.opaque_density)))
        clear = clear * (1.0 - painted)
    leak = exposure.units * wedge.transmittance(stock.black_density)
    return [*found, Part(black, leak), Part(clear, through)]


def _windows(work: Work, burn: Burn, grid: Grid) -> Coverage | None:
    """How much of each pixel the mask, which sits on the pins as films do, leaves open; None without one."""
    if not burn.mask:
        return None
    return windows_cover(windows(work, burn), grid)


def windows(work: Work, burn: Burn) -> list[Box]:
    """Where the windows of the burn's mask lie."""
    off = work.punch
    return [replace(box, x=box.x + off.dx, y=box.y + off.dy) for box in work.job.windows(burn.mask)]


def _open(
    exposure: Exposure, work: Work, settings: BenchSettings, moved: Coverage | np.float32, grid: Grid
) -> Coverage:
    """How much of each pixel lies under clear film once light has crept under the edges."""
    burn = exposure.burn
    film = work.job.film(burn.film)
    place = placement(work, burn)
    if isinstance(moved, np.float32):
        if not burn.dust:
            return clear_share(rendered(film, grid, place, float(moved) / 1000), moved)
        moved = np.full((grid.rows, grid.cols), moved)
    elif burn.dust:
        moved = moved.copy()
    for speck in burn.dust:
        _lift(moved, (speck, burn.pressing), work, settings, grid)
    moved = np.clip(moved, _LEAST_EDGE, _MOST_EDGE)
    rung = min(max(grid.pixel * 1000 / 4, _STEP_FINEST), _STEP_COARSEST)
    low, high = float(moved.min()), float(moved.max())
    first, last = int(np.floor(low / rung)), int(np.ceil(high / rung))
    if first == last:
        return clear_share(rendered(film, grid, place, first * rung / 1000), moved)
    total = np.zeros(moved.shape, dtype=np.float32)
    moved_rungs = moved / np.float32(rung)
    for step in range(first, last + 1):
        weight = np.maximum(1.0 - np.abs(moved_rungs - np.float32(step)), 0.0)
        if weight.any():
            weight *= clear_share(rendered(film, grid, place, step * rung / 1000), moved)
            total += weight
    return total


def clear_share(raster: FilmRaster, moved: Coverage | np.float32) -> Coverage:
    """The clear share of each pixel, tints as their dots have grown."""
    if not raster.patches:
        return raster.cover
    clear = raster.cover.copy()
    here = raster.tint > 0
    edge = moved if isinstance(moved, np.float32) else moved[here]
    clear[here] += raster.tint[here] * grown_tones(raster.patches, raster.patch[here] - 1, edge)
    return clear


def grown_tones(inks: tuple[Screen, ...], which: Patches, edge: Coverage | np.float32) -> Coverage:
    """The tone at each place, of the tint `which` it is, once its dots' edges moved out by `edge` um."""
    radii, pitches = _dot_sizes(inks)
    # a dot's tone goes by its radius over its pitch alone: all are reckoned as of one ruling
    radius = (radii[which] + np.where(np.isfinite(radii[which]), edge, 0.0)) / pitches[which]
    whole = tone.pitch(_RULING)
    return np.asarray(tone.tone_of(np.clip(radius, 0.0, 0.75) * whole, _RULING), dtype=np.float32)


@lru_cache(maxsize=64)
def _dot_sizes(inks: tuple[Screen, ...]) -> tuple[Floats, Floats]:
    """Radius of each tint's dots and their pitch, um. Where there is no dot or no gap it is endless."""
    radii = [
        -np.inf if ink.tone <= 0 else np.inf if ink.tone >= 1 else tone.radius(ink.tone, ink.ruling)
        for ink in inks
    ]
    return np.array(radii), np.array([tone.pitch(ink.ruling) for ink in inks])


def specks_cover(dust: tuple[Speck, ...], grid: Grid) -> Coverage:
    """How much of each pixel specks of dust cover. They lie on the plate and do not move with a film."""
    return spots_cover(tuple(Spot(one.x, one.y, one.across) for one in dust), grid, _PLATE)


def _lift(
    moved: Coverage, dust: tuple[Speck, float], work: Work, settings: BenchSettings, grid: Grid
) -> None:
    """Add what a speck does under a pressing (kPa): round it the film stands off and light creeps further."""
    speck, pressing = dust
    reach = contact.dust_reach(speck.height, pressing, settings.contact)
    rows = grid.span(speck.y - reach, speck.y + reach, down=True)
    cols = grid.span(speck.x - reach, speck.x + reach, down=False)
    if rows[0] >= rows[1] or cols[0] >= cols[1]:
        return
    x, y = grid.x()[None, cols[0] : cols[1]], grid.y()[rows[0] : rows[1], None]
    away = np.hypot(x - speck.x, y - speck.y)
    gap = contact.dust_gap(away, speck.height, pressing, settings.contact)
    angle = geometry.tangent(off_axis(x, y, work.job), settings.lamp.distance)
    more = contact.undercut(gap, angle, contact.spread(settings.lamp))
    moved[rows[0] : rows[1], cols[0] : cols[1]] += np.asarray(more, dtype=np.float32)


def edges(exposure: Exposure, settings: BenchSettings) -> Field:
    """How far (um) each edge of the image moves out: by gap, film base and dose, less what development eats.

    Past an edge the light falls off by the scatter's length; inside it comes up to the whole in the same way.
    The edge is where the dose is the coating's middle one. A teaching model: calibrate.
    """
    scatter, loss = settings.coating.scatter, settings.developer.edge_loss
    clear = settings.film.clear_density if exposure.burn.film else 0.0
    units = exposure.units * wedge.transmittance(clear)

    def field(places: Places) -> Coverage:
        angle = places.angle
        away = contact.undercut(np.full_like(angle, exposure.gap), angle, contact.spread(settings.lamp))
        if exposure.burn.side == "emulsion-up":
            away = away + contact.through_base(
                settings.film.base, angle + contact.spread(settings.lamp), settings.film.index
            )
        far = np.ones_like(angle) if places.developed is None else places.developed
        dose = units * places.lit * np.maximum(far, 0.05) ** -settings.coating.development_power
        share = np.maximum(dose / settings.coating.mid_dose, 1.0 + 1e-6)
        over = np.where(share > 2, np.log(share / 2), np.log(2 * (1 - 1 / share)))
        return np.asarray(away + scatter * over - loss * np.maximum(far - 1.0, 0.0))

    return field


def together(all_parts: list[list[Part]]) -> Iterator[Part]:
    """Every pairing of the parts of one exposure with those of the others: areas multiply, doses add."""
    yield from _paired(all_parts, Part(None, 0.0))


def _paired(rest: list[list[Part]], so_far: Part) -> Iterator[Part]:
    if not rest:
        yield so_far
        return
    for part in rest[0]:
        if part.area is None or so_far.area is None:
            area = so_far.area if part.area is None else part.area
        else:
            area = so_far.area * part.area
        if area is None or area.any():
            yield from _paired(rest[1:], Part(area, so_far.units + part.units))


def wedge_units(work: Work, settings: BenchSettings, grid: Grid) -> Coverage | None:
    """The dose under the wedge, before fall-off; None where no wedge was laid in."""
    laid = [burn for burn in work.burns if burn.wedge and not burn.plate_down]
    if not laid:
        return None
    box = work.job.wedge
    down = box.height >= box.width
    place = (
        (grid.y()[:, None] - work.punch.dy - box.y) / box.height
        if down
        else (grid.x()[None, :] - work.punch.dx - box.x) / box.width
    )
    step = np.clip(np.floor(place * wedge.STEPS), 0, wedge.STEPS - 1).astype(int)
    through = 10.0 ** -np.array(wedge.DENSITIES)[step]
    total = np.zeros((grid.rows, grid.cols))
    for burn in work.burns:
        if burn.plate_down:
            continue
        windows = _windows(work, burn, grid)
        share = 1.0 if windows is None else windows
        if burn.wedge:
            total += burn.units * share * through
        else:
            total += burn.units * share * _mean_through(work, burn, settings, grid)
    return np.asarray(total, dtype=np.float32)


def _mean_through(work: Work, burn: Burn, settings: BenchSettings, grid: Grid) -> Coverage | float:
    if not burn.film:
        return 1.0
    raster = rendered(work.job.film(burn.film), grid, placement(work, burn))
    clear = clear_share(raster, np.float32(0.0))
    light, leak = (
        wedge.transmittance(density) for density in (settings.film.clear_density, settings.film.black_density)
    )
    return np.asarray(clear * light + (1.0 - clear) * leak)
