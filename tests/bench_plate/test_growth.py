"""Edges that move, held against a dilation of a fine raster by SciPy."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest
from numpy.typing import NDArray
from plates import shipped, small, struck
from scipy import ndimage

from trainer.bench import contact, geometry, tone
from trainer.bench.artwork import BLACK, Area, Box, Disc, Rect, Ring, Screen, Shape, Stroke
from trainer.bench.film import rendered
from trainer.bench.film_place import Placement
from trainer.bench.made import made
from trainer.bench.raster import Grid

FINE = 0.002
"""2 um a pixel."""

SHAPES: Mapping[str, Shape] = {
    "disc": Disc(20.0, 20.0, 0.3),
    "ring": Ring(20.0, 20.0, 0.3, 0.08),
    "level line": Stroke(((19.6, 20.0), (20.4, 20.0)), 0.048),
    "slanting line": Stroke(((19.65, 19.7), (20.3, 20.35)), 0.08),
    "rectangle": Rect(Box(19.7, 19.8, 0.6, 0.3)),
    "polygon": Area(((19.6, 19.7), (20.4, 19.75), (20.05, 20.35))),
}


def inside(shape: Shape, edge: float) -> NDArray[np.float32]:
    """A shape over a field of 1 mm, its edges `edge` mm further out, in pixels of 2 um."""
    grid = Grid.around(20.0, 20.0, FINE, 600, 600)
    return rendered(small(shape).film("only"), grid, Placement(60.0, (30.0, 2.0)), edge).cover


def dilated(picture: NDArray[np.float32], by: float) -> float:
    """The area (mm2) of a picture with all that lies within `by` mm of it, by an exact distance map."""
    if by >= 0:
        away = ndimage.distance_transform_edt(picture < 0.5)
        return float((away <= by / FINE + 0.5).sum()) * FINE**2
    within = ndimage.distance_transform_edt(picture >= 0.5)
    return float((within > -by / FINE + 0.5).sum()) * FINE**2


@pytest.mark.parametrize("edge", [0.012, 0.028, 0.06])
@pytest.mark.parametrize("name", SHAPES)
def test_a_grown_shape_is_the_dilation_of_the_shape(name: str, edge: float) -> None:
    """Every kind of shape, drawn with its edges out, has the area of its dilation (scipy.ndimage)."""
    grown = float(inside(SHAPES[name], edge).sum()) * FINE**2
    corners = 4 * (1 - np.pi / 4) * edge**2 if name == "rectangle" else 0.0  # its corners stay square
    assert grown - corners == pytest.approx(dilated(inside(SHAPES[name], 0.0), edge), rel=0.02)


@pytest.mark.parametrize("name", ["disc", "rectangle", "slanting line", "polygon"])
def test_a_shape_that_shrinks_is_its_erosion(name: str) -> None:
    """Drawn with its edges in, a shape has the area of its erosion (scipy.ndimage)."""
    shrunk = float(inside(SHAPES[name], -0.016).sum()) * FINE**2
    assert shrunk == pytest.approx(dilated(inside(SHAPES[name], 0.0), -0.016), rel=0.03)


def test_black_lines_close_as_clear_ones_open() -> None:
    """A black line in a clear field loses at both edges what a clear one gains."""
    field = Rect(Box(19.0, 19.0, 2.0, 2.0))
    line = Stroke(((19.0, 20.0), (21.0, 20.0)), 0.1, BLACK)
    grid = Grid.around(20.0, 20.0, FINE, 100, 100)
    film = small(field, line).film("only")
    for edge in (0.0, 0.02, 0.04):
        black = 1.0 - rendered(film, grid, Placement(60.0, (30.0, 2.0)), edge).cover
        assert float(black[:, 50].sum()) * FINE == pytest.approx(0.1 - 2 * edge, abs=0.0005)
    gone = rendered(film, grid, Placement(60.0, (30.0, 2.0)), 0.06).cover
    assert float(gone.min()) > 0.999


def test_a_fine_line_grows_by_as_much_in_pixels_far_larger_than_it() -> None:
    """A 50 um line, 10 um out at each edge, covers 70 um a mm of length, in pixels of 1 mm too."""
    film = small(Stroke(((5.0, 20.3), (55.0, 20.3)), 0.05)).film("only")
    cover = rendered(film, Grid(10.0, 10.0, 1.0, 40, 20), Placement(60.0, (30.0, 2.0)), 0.01).cover
    assert float(cover.sum()) == pytest.approx(40 * 0.07, rel=0.01)


@pytest.mark.parametrize("ruling", [34.0, 60.0])
def test_a_tint_on_the_plate_is_the_tone_model_with_the_edge_of_that_place(ruling: float) -> None:
    """A 50 % tint away from the lamp's axis comes out as `tone.grown` by gap, angle and scatter says it."""
    job = small(Rect(Box(4.0, 4.0, 8.0, 8.0), Screen(0.5, ruling)))
    work, settings = struck(job, pressing=20.0), shipped()
    kept = float(made(work, Grid(7.0, 7.0, 1.0, 1, 1), settings).kept[0, 0])
    away = np.hypot(7.5 - 30.0, 7.5 - 30.0)
    gap = contact.gap(20.0, settings.contact)
    angle = geometry.tangent(away, settings.lamp.distance)
    edge = contact.undercut(gap, angle, contact.spread(settings.lamp))
    dose = 24.0 * 10**-settings.film.clear_density * geometry.fall_off(away, 1000.0, "point")
    edge += settings.coating.scatter * np.log(dose / settings.coating.mid_dose / 2)
    assert kept == pytest.approx(tone.grown(0.5, float(edge), ruling), abs=0.004)


def test_dots_drawn_one_by_one_cover_what_their_tone_says() -> None:
    """Under a loupe a tint is dots, and their area by count is its tone."""
    for share in (0.05, 0.5, 0.9):
        film = small(Rect(Box(10.0, 10.0, 20.0, 20.0), Screen(share, 48.0))).film("only")
        grid = Grid(12.0, 12.0, 0.0101, 420, 420)
        cover = rendered(film, grid, Placement(60.0, (30.0, 2.0)))
        assert not cover.patches
        assert float(cover.cover.mean()) == pytest.approx(share, abs=0.01)
