"""The plate sheet: a right plate passes, and each thing done wrong fails on the line that shows it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from plates import CARRIES, DEVELOPED, FINISHED, job, right, shipped, wanted

from trainer.bench import looks, looks_over, register
from trainer.bench.artwork import Spot, Stroke
from trainer.bench.made import made
from trainer.bench.measures import Inspection, Wanted, sheet
from trainer.bench.plate import Burn, Finishing, Speck, Treatment, Work
from trainer.bench.raster import Grid
from trainer.bench.register import Fit

Spoil = Callable[[Work], Work]


def first(change: Callable[[Burn], Burn]) -> Spoil:
    """The work with its first burn changed."""
    return lambda work: replace(work, burns=(change(work.burns[0]), *work.burns[1:]))


def second(change: Callable[[Burn], Burn]) -> Spoil:
    """The work with its second burn changed."""
    return lambda work: replace(work, burns=(work.burns[0], change(work.burns[1])))


def sink(change: Callable[[Treatment], Treatment]) -> Spoil:
    """The work with its development changed."""
    return lambda work: replace(work, treatments=(change(DEVELOPED[0]),))


def finish(change: Callable[[Finishing], Finishing]) -> Spoil:
    """The work with its finishing changed."""
    return lambda work: replace(work, finishing=change(FINISHED))


SPOILED: dict[str, tuple[Spoil, set[str]]] = {
    "too few units": (first(lambda one: replace(one, units=12.0)), {"solid_step"}),
    "too many units": (first(lambda one: replace(one, units=48.0)), {"solid_step"}),
    "no wedge laid in": (first(lambda one: replace(one, wedge=False)), {"solid_step"}),
    "pump not on": (first(lambda one: replace(one, pressing=0.0)), {"growth", "tone_50"}),
    "film emulsion up": (first(lambda one: replace(one, side="emulsion-up")), {"right_reading"}),
    "film made wrong": (first(lambda one: replace(one, wrong_reading=True)), {"right_reading"}),
    "mask left off": (first(lambda one: replace(one, mask="")), {"unwanted"}),
    "the other colour's film": (first(lambda one: replace(one, film="blue")), {"image_missing"}),
    "first burn forgotten": (lambda work: replace(work, burns=work.burns[1:]), {"image_missing"}),
    "second burn forgotten": (lambda work: replace(work, burns=work.burns[:1]), {"marks"}),
    "pinholes not painted out": (first(lambda one: replace(one, opaque=())), {"pinholes"}),
    "paint over image": (
        first(lambda one: replace(one, opaque=(Spot(90.0, 150.0, 14.0),))),
        {"image_missing_worst"},
    ),
    "dust under the image": (
        first(lambda one: replace(one, dust=(Speck(62.0, 150.0, 0.4, 400.0),))),
        {"growth"},
    ),
    "second film off its pins": (
        second(lambda one: replace(one, fit=Fit(0.6, 0.4, 0.001, 0.0))),
        {"register_error"},
    ),
    "film swollen": (first(lambda one: replace(one, fit=Fit(0.0, 0.0, 0.0, 0.0006))), {"register_error"}),
    "punched off centre": (lambda work: replace(work, punch=Fit(2.5, 0.0, 0.0, 0.0)), {"position"}),
    "fogged": (lambda work: replace(work, fog=1.5), {"background"}),
    "scratched": (
        lambda work: replace(work, scratches=(Stroke(((60.0, 120.0), (190.0, 260.0)), 0.3),)),
        {"scratches"},
    ),
    "developed too short": (sink(lambda one: replace(one, seconds=15.0)), {"background"}),
    "developed cold": (sink(lambda one: replace(one, temperature=5.0)), {"background"}),
    "developer used up": (sink(lambda one: replace(one, used=150.0)), {"background"}),
    "too little developer": (sink(lambda one: replace(one, volume=15.0)), {"background", "uneven"}),
    "left in one place": (sink(lambda one: replace(one, spread="one-place")), {"uneven"}),
    "a corner missed": (sink(lambda one: replace(one, rubbing="part")), {"uneven"}),
    "not rubbed": (sink(lambda one: replace(one, rubbing="none")), {"background"}),
    "loaded pad": (sink(lambda one: replace(one, pad="loaded")), {"background"}),
    "developed far too long": (
        sink(lambda one: replace(one, seconds=400.0, volume=300.0)),
        {"solid_step", "smallest_dot"},
    ),
    "dried on the plate": (sink(lambda one: replace(one, seconds=600.0)), {"background"}),
    "not rinsed": (finish(lambda one: replace(one, rinse="none", water=0.0)), {"background"}),
    "gummed late": (finish(lambda one: replace(one, wait_wet=900.0)), {"oxidised"}),
    "gummed thick": (finish(lambda one: replace(one, gum="thick", buffed=False)), {"blind"}),
    "not buffed": (finish(lambda one: replace(one, buffed=False)), {"blind"}),
    "not gummed": (finish(lambda one: replace(one, gum="none")), {"gum"}),
    "face down": (first(lambda one: replace(one, plate_down=True)), {"image_missing"}),
}
"""What was done wrong, and the lines of the sheet that must fail for it."""


@pytest.mark.parametrize("film", CARRIES)
def test_a_right_plate_passes_everything(film: str) -> None:
    """Every shipped job, in each of its colours, passes every line when all was done right."""
    made_sheet = sheet(right(film), shipped(), wanted(film))
    assert [line.name for line in made_sheet.lines if line.ok is not True] == []
    assert made_sheet.passes
    assert made_sheet.values()["solid_step"] == 6.0
    assert made_sheet.values()["passes"] is True


@pytest.mark.parametrize("slack", [-1.0, -0.4, 1.0])
def test_films_seated_anyhow_in_their_slots_pass(slack: float) -> None:
    """Wherever in the slot's clearance the films come to lie on both pins, a right plate passes."""
    work = right()
    fits = [register.seated(shipped().register, one) for one in (slack, -slack)]
    burns = tuple(replace(burn, fit=fit) for burn, fit in zip(work.burns, fits, strict=True))
    made_sheet = sheet(replace(work, burns=burns), shipped(), wanted())
    assert [line.name for line in made_sheet.lines if line.ok is not True] == []


@pytest.mark.parametrize("what", SPOILED)
@pytest.mark.sweep(quick=12)
def test_what_was_done_wrong_fails_on_the_line_that_shows_it(what: str) -> None:
    """Each single act spoiled fails on the lines that a person would look at for it."""
    spoil, lines = SPOILED[what]
    made_sheet = sheet(spoil(right()), shipped(), wanted())
    failed = {line.name for line in made_sheet.lines if line.ok is False}
    assert lines <= failed
    assert not made_sheet.passes


def test_every_line_says_what_it_is_held_against() -> None:
    """A line without a limit would be no measure; each name stands once."""
    lines = sheet(right(), shipped(), wanted()).lines
    assert all(line.held_against for line in lines)
    assert len({line.name for line in lines}) == len(lines)


def test_plates_that_never_came_far_can_be_measured_too() -> None:
    """A raw plate and one only burned do not pass; a strip without a film passes by its wedge."""
    work = right()
    for stage in (
        Work(work.job),
        replace(work, treatments=(), finishing=None),
        replace(work, finishing=None),
    ):
        assert not sheet(stage, shipped(), wanted()).passes
    strip = job("test-strip")
    burned = Work(strip, (Burn("", "wedge", 24.0, 70.0, wedge=True),), 0.0, (), Fit(), DEVELOPED, FINISHED)
    read = sheet(burned, shipped(), Wanted(()))
    assert read.passes
    assert [line.value for line in read.lines if line.name == "solid_step"] == [6.0]
    without = sheet(work, shipped(), Wanted((), wedge=False)).lines
    assert [line.ok for line in without if line.name == "oxidised"] == [True]


def test_the_wedge_reading_does_not_depend_on_the_grid() -> None:
    """The steps read from fine and from coarse pixels are alike."""
    work = right()
    box = work.job.wedge
    look = partial(made, work, settings=shipped())
    read = looks.wedge_kept(look, work.job)
    assert read is not None
    pixel = box.height / 21 / 12
    fine = look(Grid(box.x + 2.0, box.y, pixel, 4, 21 * 12)).kept.mean(axis=1)
    steps = fine.reshape(21, 12)[:, 3:9].mean(axis=1)
    assert np.allclose(read, steps, atol=0.01)


def test_growth_is_found_where_it_is() -> None:
    """The map of edges shows dust where it lies and the true growth elsewhere, to a few um."""
    work = first(lambda one: replace(one, dust=(Speck(62.0, 150.0, 0.5, 250.0),)))(right())
    seen = Inspection(partial(made, work, settings=shipped()), work.job, shipped(), wanted())
    grown = looks_over.growth(seen.plate, seen.meant, seen.background)
    x, y = looks_over.tile_middles(work.job)
    row, col = np.unravel_index(int(np.nanargmax(grown)), grown.shape)
    assert abs(float(x[col]) - 62.0) < 6
    assert abs(float(y[row]) - 150.0) < 6
    assert float(np.nanmedian(grown)) == pytest.approx(3.8, abs=1.0)


def test_the_background_is_found_where_it_is() -> None:
    """A corner missed by the pad stands out on the background's map, at that corner."""
    work = replace(right(), treatments=(Treatment(60.0, 75.0, 22.0, rubbing="part"),), corner=2)
    seen = Inspection(partial(made, work, settings=shipped()), work.job, shipped(), wanted())
    assert float(seen.background[-1, -1]) > 0.2
    assert float(seen.background[0, 0]) < 0.01


def test_a_finishing_word_that_nobody_knows_is_refused() -> None:
    """A word outside the control's options raises with the words that there are."""
    with pytest.raises(ValueError, match="none, thin, thick"):
        Finishing(gum="sticky")  # type: ignore[arg-type]
