"""The plate that acts make: doses that add, the wedge, sides, masks, edges, the sink; at every resolution."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from math import log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plates import DEVELOPED, job, right, shipped, small, struck

from trainer.bench import looks, register, wedge
from trainer.bench.artwork import Box, Rect, Screen, Spot, Stroke
from trainer.bench.coating import Coating
from trainer.bench.limits import OutOfRange
from trainer.bench.made import banded, made
from trainer.bench.plate import Burn, Finishing, Speck, Treatment, Work, opaquing
from trainer.bench.raster import Grid
from trainer.bench.register import Fit

QUICK = settings(max_examples=30, deadline=None)
COARSE = Grid.fitted(250.0, 400.0, 50, 80)


def look_at(work: Work) -> looks.Look:
    """The plate of a work over any grid."""
    return lambda grid: made(work, grid, shipped())


def wedge_step(kept: Sequence[float], coating: Coating) -> float:
    """The last solid step, with the part of a step beyond it: where the coating would be just solid.

    Between two steps it is in proportion on the logit of what is kept, which a logistic coating makes
    straight.
    """

    def logit(share: float) -> float:
        held = min(max(share, 1e-6), 1 - 1e-6)
        return log(held / (1 - held))

    wanted = logit(coating.solid_from)
    for place, (solid, after) in enumerate(pairwise(kept), start=1):
        if after < coating.solid_from <= solid:
            return place + (logit(solid) - wanted) / (logit(solid) - logit(after))
    return 0.0 if kept[0] < coating.solid_from else float(len(kept))


def test_two_half_burns_equal_one_whole() -> None:
    """A burn done in two halves gives the plate of one whole burn (Bunsen and Roscoe, row L02)."""
    whole = right()
    first, marks = whole.burns
    half = replace(first, units=first.units / 2)
    twice = replace(whole, burns=(half, half, marks))
    one, two = made(whole, COARSE, shipped()), made(twice, COARSE, shipped())
    assert np.allclose(one.kept, two.kept, atol=1e-5)
    assert np.allclose(one.struck, two.struck, atol=1e-5)


@pytest.mark.parametrize("steps", [-3, -2, -1, 1, 2, 3])
def test_the_wedge_moves_by_the_factor_of_a_step(steps: int) -> None:
    """Units times 10^(0.15 n) move the wedge by n steps: the correction's arithmetic (rows E11 and E12)."""
    work = right()
    first = work.burns[0]
    other = replace(work, burns=(replace(first, units=first.units * wedge.exposure_factor(steps)),))
    before = looks.wedge_kept(look_at(work), work.job)
    after = looks.wedge_kept(look_at(other), work.job)
    assert before is not None
    assert after is not None
    coating = shipped().coating
    assert wedge.reading(after, coating).solid_step - wedge.reading(before, coating).solid_step == steps
    moved = wedge_step(after, coating) - wedge_step(before, coating)
    assert moved == pytest.approx(steps, abs=0.15)  # fall-off along the wedge


def test_the_middle_of_a_step_keeps_what_the_models_say() -> None:
    """Each step on the plate is `coating.kept` at its density and fall-off, worked out beside it."""
    work, conditions = right(), shipped()
    kept = looks.wedge_kept(look_at(work), work.job)
    assert kept is not None
    box = work.job.wedge
    for step in (1, 6, 7, 8, 12):
        y = box.y + box.height * (step - 0.5) / wedge.STEPS
        away = np.hypot(box.x + box.width / 2 - 125.0, y - 200.0)
        dose = 24.0 * 10 ** -wedge.density(step) / (1 + (away / 1000.0) ** 2) ** 1.5
        hard = 1 / (1 + np.exp(-12.0 * (np.log10(dose) - np.log10(2.1))))
        assert conditions.coating.mid_dose == 2.1
        assert kept[step - 1] == pytest.approx(hard + (1 - hard) * np.exp(-6.2), abs=0.02)


def test_made_wrong_and_laid_wrong_it_reads_right_again_but_not_sharp() -> None:
    """A wrong-reading film laid emulsion up reads right; light through its base makes every edge grow."""
    work = right()
    marks = work.burns[1]
    laid = replace(work.burns[0], wrong_reading=True, side="emulsion-up")
    wrong = replace(work, burns=(laid, marks))
    mirrored = replace(work, burns=(replace(work.burns[0], wrong_reading=True), marks))
    flat = made(work, COARSE, shipped()).kept
    assert np.corrcoef(flat.ravel(), made(wrong, COARSE, shipped()).kept.ravel())[0, 1] > 0.98
    assert np.corrcoef(flat.ravel(), made(mirrored, COARSE, shipped()).kept.ravel())[0, 1] < 0.9
    corner = (43.0, 73.0)
    good, poor = looks.cross_at(look_at(work), corner), looks.cross_at(look_at(wrong), corner)
    assert good is not None
    assert poor is not None
    assert poor.growth > good.growth + 8


@pytest.mark.parametrize(
    "fit", [Fit(0.8, -0.5, 0.0, 0.0), Fit(0.0, 0.0, 0.004, 0.0), Fit(0.2, 0.1, -0.002, 0.0008)]
)
def test_crosses_lie_where_the_fit_puts_them(fit: Fit) -> None:
    """A film off its pins prints its crosses off by `register.displacement`, found again to 0.02 mm."""
    work = right()
    moved = replace(work, burns=(replace(work.burns[0], fit=fit), work.burns[1]))
    film = work.job.film("black")
    lies = looks.lies(look_at(moved), work.job, film)
    assert lies is not None
    for (x, y), mark in zip(film.targets, lies.marks, strict=True):
        assert mark is not None
        right_by, down_by = register.displacement(x - 125.0, y - 8.0, fit)
        assert mark.dx == pytest.approx(right_by, abs=0.02)
        assert mark.dy == pytest.approx(down_by, abs=0.02)
    assert lies.fit.dx == pytest.approx(fit.dx, abs=0.03)
    assert lies.fit.dy == pytest.approx(fit.dy, abs=0.03)
    assert lies.fit.angle == pytest.approx(fit.angle, abs=1e-4)
    assert lies.fit.stretch == pytest.approx(fit.stretch, abs=1e-4)


def test_a_plate_in_bands_is_the_plate_at_once() -> None:
    """Bands of a large grid hold the same pixels as the grid made in one piece."""
    work = replace(
        right(),
        fog=0.6,
        scratches=(Stroke(((60.0, 100.0), (180.0, 260.0)), 0.4),),
        treatments=(Treatment(60.0, 40.0, 20.0, rubbing="part"),),
    )
    work = replace(
        work, burns=(replace(work.burns[0], dust=(Speck(100.0, 150.0, 0.5, 120.0),)), work.burns[1])
    )
    grid = Grid.at_dpi(250.0, 400.0, 25.0)
    at_once = made(work, grid, shipped())
    for band in banded(work, grid, shipped(), rows=70):
        rows = slice(band.grid.first, band.grid.first + band.grid.rows)
        for name in ("struck", "kept", "oxidised", "blind"):
            assert np.allclose(getattr(band, name), getattr(at_once, name)[rows], atol=2e-4), name


def test_a_finer_grid_holds_the_same_coating() -> None:
    """What a coarse pixel holds is the mean of the fine pixels in it, at edges and in tints too."""
    work = right("line")
    work = replace(work, burns=(replace(work.burns[0], pressing=15.0), work.burns[1]))
    coarse = made(work, Grid(60.0, 100.0, 4.0, 30, 40), shipped()).kept
    fine = made(work, Grid(60.0, 100.0, 0.25, 480, 640), shipped()).kept
    mean = fine.reshape(40, 16, 30, 16).mean(axis=(1, 3))
    assert float(np.abs(mean - coarse).mean()) < 0.01
    assert float(mean.mean()) == pytest.approx(float(coarse.mean()), rel=0.04)


def test_specks_under_the_film_thicken_what_lies_round_them() -> None:
    """Dust under a cross grows its lines, and leaves a cross farther off alone."""
    work = right()
    dusty = replace(
        work, burns=(replace(work.burns[0], dust=(Speck(43.0, 73.0, 0.5, 200.0),)), work.burns[1])
    )
    near, far = (looks.cross_at(look_at(dusty), place) for place in ((43.0, 73.0), (207.0, 328.0)))
    before = looks.cross_at(look_at(work), (43.0, 73.0))
    assert near is not None
    assert far is not None
    assert before is not None
    assert near.growth > before.growth + 5
    assert far.growth == pytest.approx(before.growth, abs=1.5)


def test_opaque_holds_back_what_it_covers() -> None:
    """A pinhole prints where it is not painted out; paint over image takes the image away."""
    work = right()
    film = work.job.film("black")
    hole = film.pinholes[0]
    bare = replace(work, burns=(replace(work.burns[0], opaque=()), work.burns[1]))
    assert looks.speck_prints(look_at(bare), (hole.x, hole.y), hole.across)
    assert not looks.speck_prints(look_at(work), (hole.x, hole.y), hole.across)
    over = replace(work, burns=(replace(work.burns[0], opaque=(Spot(43.0, 73.0, 12.0),)), work.burns[1]))
    assert looks.cross_at(look_at(over), (43.0, 73.0)) is None
    assert len(opaquing(film, "some")) < len(opaquing(film, "all"))
    assert opaquing(film, "none") == ()


def test_without_its_mask_a_film_prints_beyond_its_edge() -> None:
    """The mask left off, light passes beside the film; with it, the margin is bare."""
    work = right()
    unmasked = replace(work, burns=(replace(work.burns[0], mask=""), work.burns[1]))
    edge = Grid(1.0, 100.0, 1.0, 2, 100)
    assert float(made(unmasked, edge, shipped()).kept.min()) > 0.95
    assert float(made(work, edge, shipped()).kept.max()) < 0.01


def test_a_plate_face_down_gets_no_light() -> None:
    """Light does not go through aluminium: the coating is as it was."""
    work = right()
    down = replace(work, burns=tuple(replace(burn, plate_down=True) for burn in work.burns))
    assert float(made(down, COARSE, shipped()).struck.max()) < 1e-6


def test_the_sink_leaves_its_own_signs() -> None:
    """A missed corner keeps its coating, one pool leaves the rest raw, thick gum blinds, waiting oxidises."""
    work = right()
    corners = {0: (3.0, 3.0), 1: (247.0, 3.0), 2: (247.0, 397.0), 3: (3.0, 397.0)}
    for corner, (x, y) in corners.items():
        missed = replace(work, treatments=(replace(DEVELOPED[0], rubbing="part"),), corner=corner)
        kept = [
            float(made(missed, Grid.around(*place, 1.0, 2, 2), shipped()).kept.mean())
            for place in corners.values()
        ]
        assert kept.index(max(kept)) == corner
        assert sorted(kept)[-1] > 0.2
        assert sorted(kept)[-2] < 0.01
        assert (x, y) == corners[corner]
    pool = replace(work, treatments=(replace(DEVELOPED[0], spread="one-place"),))
    assert float(made(pool, Grid.around(5.0, 5.0, 1.0, 2, 2), shipped()).kept.min()) == pytest.approx(1.0)
    gummed = replace(work, finishing=Finishing("both-sides", 30.0, 10.0, 20.0, "thick"))
    assert float(made(gummed, COARSE, shipped()).blind.max()) > 0.9
    late = replace(work, finishing=Finishing("both-sides", 30.0, 1800.0, 0.0, "thin", buffed=True))
    assert float(made(late, COARSE, shipped()).oxidised.mean()) == pytest.approx(0.55, abs=0.08)
    assert made(late, COARSE, shipped()).stage == "gummed"


def test_too_little_developer_leaves_dry_islands_of_about_the_share_that_it_lacks() -> None:
    """Half the developer that the plate wants leaves about half of it undeveloped."""
    enough = shipped().developer.enough * 10.0
    work = Work(job("tide-table-card"), treatments=(Treatment(60.0, enough / 2, 22.0),))
    kept = made(work, COARSE, shipped()).kept
    assert float((kept > 0.5).mean()) == pytest.approx(0.5, abs=0.12)


@QUICK
@given(st.floats(0.5, 400.0), st.floats(1.0, 3.0), st.floats(0.0, 2.0), st.floats(0.1, 3.0))
def test_more_dose_never_leaves_less(units: float, factor: float, fog: float, developed: float) -> None:
    """More units, or fog on top, never leave less coating anywhere, and all stays from 0 to 1."""
    of = small(Rect(Box(10.0, 10.0, 14.0, 20.0)), Rect(Box(30.0, 10.0, 14.0, 20.0), Screen(0.3, 48.0)))
    treated = (Treatment(60.0 * developed, 30.0, 22.0),)
    work = replace(struck(of, units), treatments=treated)
    more = replace(struck(of, units * factor), treatments=treated, fog=fog)
    grid = Grid(8.0, 8.0, 0.9, 44, 30)
    less_kept, more_kept = made(work, grid, shipped()).kept, made(more, grid, shipped()).kept
    assert float((less_kept - more_kept).max()) < 1e-4
    assert 0.0 <= float(less_kept.min()) <= float(more_kept.max()) <= 1.0


@QUICK
@given(st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_more_pressing_never_thickens(loose: float, firm: float) -> None:
    """A better vacuum never grows an edge more."""
    loose, firm = sorted((loose, firm))
    of = small(Rect(Box(4.0, 4.0, 0.2, 50.0)))
    grid = Grid(3.0, 20.0, 0.5, 6, 4)
    kept = [float(made(struck(of, 24.0, at), grid, shipped()).kept.sum()) for at in (loose, firm)]
    assert kept[1] <= kept[0] + 1e-4


@pytest.mark.parametrize(
    "act",
    [
        lambda: Burn("black", "image", float("nan"), 70.0),
        lambda: Burn("black", "image", -1.0, 70.0),
        lambda: Burn("black", "image", 24.0, 5000.0),
        lambda: Treatment(-5.0, 75.0, 22.0),
        lambda: Treatment(60.0, 75.0, 900.0),
        lambda: Treatment(60.0, 75.0, 22.0, reached=1.5),
        lambda: Finishing(water=float("inf")),
        lambda: Speck(10.0, 10.0, -1.0, 10.0),
        lambda: Work(job("test-film"), fog=-1.0),
        lambda: Grid.at_dpi(250.0, 400.0, 0.0),
    ],
)
def test_absurd_amounts_are_refused_with_a_sentence(act: Callable[[], object]) -> None:
    """A NaN, a negative amount or one beyond all reason raises OutOfRange with a sentence."""
    with pytest.raises(OutOfRange, match=r".+\.$"):
        act()


def test_a_work_names_only_films_and_masks_of_its_job() -> None:
    """A film or mask that the job does not have is refused, with the names of those it has."""
    of = job("test-film")
    with pytest.raises(ValueError, match="no film 'black'; it has test, marks"):
        Work(of, (Burn("black", "", 24.0, 70.0),))
    with pytest.raises(ValueError, match="no mask 'red'; it has image, marks"):
        Work(of, (Burn("test", "red", 24.0, 70.0),))
