"""Tone: Murray-Davies and dot gain against published examples, growth against a raster dilated by SciPy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import ndimage

from trainer.bench import tone as model
from trainer.bench.limits import OutOfRange

LPI = 1 / 2.54
"""Lines per cm in a line per inch."""
CELL = 480
"""Pixels across a cell of the raster."""


@pytest.mark.parametrize(("solid", "density"), [(3.0, 0.3006), (1.33, 0.2812)])
def test_murray_davies_as_worked_by_hand(solid: float, density: float) -> None:
    """The published densities of 50 % under a solid of 3.0 and of 1.33 are read as 50 %."""
    # Sources: trade-facts H01 (Murray 1936), H02, H03 (worked examples, tolerance 5e-5).
    assert model.area(density, solid) == pytest.approx(0.5, abs=1e-4)


def test_apparent_area_of_a_tint() -> None:
    """A tint of 0.54 under a solid of 1.47 reads 73.66 %."""
    # Sources: trade-facts H05 (Lindbloom), H06 (tolerance 0.01).
    assert 100 * model.area(0.54, 1.47) == pytest.approx(73.66, abs=0.01)


@pytest.mark.parametrize(("n", "percent"), [(1.7, 60.08), (2.0, 56.74)])
def test_yule_nielsen(n: float, percent: float) -> None:
    """With n of 1.7 and 2.0 the same tint reads 60.08 and 56.74 %."""
    # Sources: trade-facts H07 (n from 1 to 2), H08 (1.7), H09 (formula from memory; conflict C1).
    assert 100 * model.area(0.54, 1.47, n=n) == pytest.approx(percent, abs=0.01)


def test_paper_is_taken_off_both_densities() -> None:
    """A tint and a solid read over paper of 0.08 give the tone of the densities above it."""
    # Source: trade-facts H05, whose densities are over the paper.
    assert model.area(0.62, 1.55, paper=0.08) == pytest.approx(model.area(0.54, 1.47), rel=1e-12)


def test_tint_darker_than_its_solid_is_refused() -> None:
    """A tint denser than the solid is refused: one of the two was misread."""
    with pytest.raises(OutOfRange, match="The tint over the paper"):
        model.area(1.5, 1.4)


@pytest.mark.parametrize(
    ("lpi", "per_cm", "um"),
    [(85, 33.46, 298.8), (133, 52.36, 191.0), (150, 59.06, 169.3), (175, 68.9, 145.1)],
)
def test_cell_of_a_ruling(lpi: float, per_cm: float, um: float) -> None:
    """The cell of 85, 133, 150 and 175 lines an inch is as wide as worked."""
    # Sources: trade-facts H12 (tolerance 0.1 um), H11 (2.54).
    assert lpi * LPI == pytest.approx(per_cm, abs=0.01)
    assert model.pitch(lpi * LPI) == pytest.approx(um, abs=0.1)


@pytest.mark.parametrize(("percent", "um"), [(1, 19.1), (2, 27.0), (3, 33.1), (5, 42.7)])
def test_dots_of_small_tones(percent: float, um: float) -> None:
    """At 150 lines an inch dots of 1, 2, 3 and 5 % have the worked diameters."""
    # Source: trade-facts H13 (geometry, from memory; tolerance 0.1 um).
    assert 2 * model.radius(percent / 100, 150 * LPI) == pytest.approx(um, abs=0.1)


@pytest.mark.parametrize(
    ("edge", "lpi", "gain"),
    [
        (1, 150, 1.49),
        (2, 150, 3.00),
        (5, 150, 7.68),
        (10, 150, 15.90),
        (5, 85, 4.28),
        (5, 133, 6.78),
        (5, 175, 9.01),
    ],
)
def test_gain_of_a_half_tone_whose_edges_grow(edge: float, lpi: float, gain: float) -> None:
    """A round 50 % dot whose every edge grows gains the worked points, more on a finer screen."""
    # Sources: trade-facts H14, H15 (geometry, from memory; tolerance 0.01), H16 (sign), D03 (sign).
    assert 100 * (model.grown(0.5, edge, lpi * LPI) - 0.5) == pytest.approx(gain, abs=0.01)


def dots(radius: float) -> NDArray[np.bool_]:
    """Three by three cells with round dots; `radius` in cells."""
    along = (np.arange(3 * CELL) + 0.5) / CELL
    away = np.abs(along % 1 - 0.5)
    return np.hypot.outer(away, away) < radius


def middle(raster: NDArray[np.bool_]) -> float:
    """The tone of the middle cell."""
    return float(raster[CELL : 2 * CELL, CELL : 2 * CELL].mean())


@pytest.mark.parametrize("tone", [0.03, 0.3, 0.5, 0.7, 0.85, 0.95])
@pytest.mark.parametrize("edge", [2.0, 8.0, 25.0])
@pytest.mark.sweep(quick=5)
def test_growth_is_the_dilation_of_the_dots(tone: float, edge: float) -> None:
    """Dots that grow at every edge cover what a raster of them covers once dilated by that much."""
    # Oracle: scipy.ndimage.distance_transform_edt; dilation by a disc is all within its radius. 480 pixels
    # across a cell of 169 um, so a pixel is 0.35 um, and half of one at an edge is about 0.3 points.
    ruling = 150 * LPI
    cell = model.pitch(ruling)
    raster = dots(model.radius(tone, ruling) / cell)
    assert middle(raster) == pytest.approx(tone, abs=0.002)
    dilated = ndimage.distance_transform_edt(~raster) <= edge / cell * CELL
    assert model.grown(tone, edge, ruling) == pytest.approx(middle(dilated), abs=0.005)


@pytest.mark.parametrize("tone", [0.05, 0.3, 0.6])
def test_loss_is_the_erosion_of_the_dots(tone: float) -> None:
    """Dots that stand alone and lose at every edge cover what a raster of them covers once eroded."""
    # Oracle: as above, the distance taken inside.
    ruling = 150 * LPI
    cell = model.pitch(ruling)
    raster = dots(model.radius(tone, ruling) / cell)
    eroded = ndimage.distance_transform_edt(raster) > 5 / cell * CELL
    assert model.grown(tone, -5, ruling) == pytest.approx(middle(eroded), abs=0.005)


@given(tone=st.floats(0, 1), edge=st.floats(0, 60), more=st.floats(0, 30))
def test_more_growth_never_makes_a_lighter_tone(tone: float, edge: float, more: float) -> None:
    """Growth never lightens, no dot stays none, full stays full, and nothing passes 100 %."""
    grown = model.grown(tone, edge, 60)
    assert tone - 1e-9 <= grown <= model.grown(tone, edge + more, 60) + 1e-12 <= 1 + 2e-12
    assert (model.grown(0.0, edge, 60), model.grown(1.0, -edge, 60)) == (0, 1)


@given(tone=st.floats(0, 1))
def test_radius_and_tone_undo_each_other(tone: float) -> None:
    """The dots of a tone's radius cover that tone, also where they have joined."""
    assert model.tone_of(model.radius(tone, 60), 60) == pytest.approx(tone, abs=1e-9)
