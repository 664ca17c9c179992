"""Pictures of plates: cells, colours, shades, the light table, PNG. Read back by Rich and by Pillow."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image
from plates import FINISHED as DONE
from plates import job, right, shipped
from rich.style import Style

from trainer.bench import colours, picture, png
from trainer.bench.colours import Colours
from trainer.bench.made import banded, made
from trainer.bench.plate import Work
from trainer.bench.raster import Grid

MANY: tuple[Colours, ...] = ("full", "256", "16", "none")
FINISHED = right("line")
STAGES = {
    "raw": Work(FINISHED.job),
    "exposed": replace(FINISHED, treatments=(), finishing=None),
    "developed": replace(FINISHED, finishing=None),
    "gummed": FINISHED,
}


@pytest.mark.parametrize("how", MANY)
@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("cells", [(80, 24), (120, 40), (31, 9), (1, 1)])
def test_a_picture_fills_its_cells_and_no_more(how: Colours, stage: str, cells: tuple[int, int]) -> None:
    """Every row is as wide as the others, none wider or more than asked for; neighbours in a row differ."""
    grid = picture.whole(FINISHED.job, *cells)
    rows = picture.rows(made(STAGES[stage], grid, shipped()), how)
    widths = {sum(len(run.text) for run in row) for row in rows}
    assert widths == {grid.cols}
    assert grid.cols <= cells[0]
    assert len(rows) == (grid.rows + 1) // 2 <= cells[1]
    assert all(before[1:] != after[1:] or how == "none" for row in rows for before, after in pairwise(row))


@pytest.mark.parametrize("how", MANY)
def test_colours_are_words_that_a_style_takes(how: Colours) -> None:
    """Rich reads each foreground and background; without colour there is none."""
    rows = picture.rows(made(FINISHED, picture.whole(FINISHED.job, 60, 30), shipped()), how)
    words = {word for row in rows for run in row for word in (run.fg, run.bg) if word}
    assert bool(words) is (how != "none")
    for word in words:
        Style.parse(f"{word} on {word}")


def test_without_colour_there_are_at_most_eight_signs_and_oxide_has_its_own() -> None:
    """Shades and halves, no more than eight levels; oxidised metal is a sign, not a shade."""
    late = replace(FINISHED, finishing=replace(DONE, wait_wet=2400.0))
    for work in (*STAGES.values(), late):
        rows = picture.rows(made(work, picture.whole(FINISHED.job, 60, 30), shipped()), "none")
        signs = set("".join(run.text for row in rows for run in row))
        assert signs <= set(" ░▒▓█▀▄x")
        assert ("x" in signs) is (work is late)


@pytest.mark.parametrize("how", ["full", "256", "16"])
def test_raw_struck_and_bare_differ_in_every_number_of_colours(how: Colours) -> None:
    """Raw coating, struck coating and bare metal are three colours, whatever the terminal has."""
    solid = Grid.around(186.0, 190.0, 0.5, 2, 2)  # inside the lighthouse
    margin = Grid.around(49.0, 200.0, 0.5, 2, 2)
    seen = {
        picture.rows(made(STAGES[stage], grid, shipped()), how)[0][0].bg
        for stage, grid in (("exposed", margin), ("exposed", solid), ("developed", margin))
    }
    assert len(seen) == 3


def test_a_solid_darkens_and_the_metal_lightens_as_the_plate_is_made() -> None:
    """In full colour lightness runs struck, raw, metal, from dark to light."""
    table = colours.palette("developed")
    light = table @ np.array([0.3, 0.59, 0.11])
    struck, kept, _, _ = colours.shares()
    whole_struck, raw = light[(kept == 1) & (struck == 1)][0], light[(kept == 1) & (struck == 0)][0]
    assert whole_struck < raw < light[kept == 0].max()


def test_the_nearest_of_256_gives_back_colours_that_are_in_it() -> None:
    """Each colour of the cube and each grey (xterm's table, from memory) is its own nearest."""
    steps = (0, 95, 135, 175, 215, 255)
    cube = [(red, green, blue) for red in steps for green in steps for blue in steps]
    greys = [(8 + 10 * step,) * 3 for step in range(24)]
    table = np.array(cube + greys, dtype=np.float32)
    assert colours.nearest_of_256(table).tolist() == list(range(16, 256))


@pytest.mark.parametrize("how", MANY)
def test_pinholes_shine_on_the_light_table_and_paint_puts_them_out(how: Colours) -> None:
    """Under a loupe a pinhole is seen against the black; once painted out it is not."""
    burn = FINISHED.burns[0]
    hole = FINISHED.job.film("line").pinholes[0]
    grid = Grid.around(hole.x, hole.y, 0.1, 20, 20)
    bare = picture.on_table(FINISHED.job, replace(burn, opaque=()), grid)
    painted = picture.on_table(FINISHED.job, burn, grid)
    centre = (grid.rows // 2, grid.cols // 2)
    assert bare.light[centre] > 0.05
    assert painted.painted[centre] > 0.5
    assert picture.table_rows(bare, how) != picture.table_rows(painted, how)


def test_a_png_has_the_plate_s_pixels_and_its_resolution() -> None:
    """Pillow reads back the size, the dots an inch and the colour of metal and of solid, bands or not."""
    work = FINISHED
    grid = Grid.at_dpi(250.0, 400.0, 50.0)
    in_bands = png.written(banded(work, grid, shipped(), rows=100), grid)
    picture_back = Image.open(BytesIO(in_bands))
    assert picture_back.size == (grid.cols, grid.rows)
    assert picture_back.info["dpi"] == pytest.approx((50.0, 50.0), abs=0.1)
    lighthouse = picture_back.getpixel((int(186 / grid.pixel), int(190 / grid.pixel)))
    margin = picture_back.getpixel((int(100 / grid.pixel), int(380 / grid.pixel)))
    assert isinstance(lighthouse, tuple)
    assert isinstance(margin, tuple)
    assert lighthouse[2] > lighthouse[0] + 50
    assert min(margin) > 190
    whole = np.asarray(Image.open(BytesIO(png.written([made(work, grid, shipped())], grid))), dtype=int)
    assert np.abs(whole - np.asarray(picture_back, dtype=int)).max() <= 2


def test_every_job_has_a_picture() -> None:
    """Jobs of any shape, a narrow strip too, come out with the shape of their plate."""
    for name in ("tide-table-card", "test-strip"):
        of = job(name)
        grid = picture.whole(of, 80, 24)
        assert grid.cols / grid.rows == pytest.approx(of.width / of.height, rel=0.15)
