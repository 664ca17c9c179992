"""What is seen of a plate: it fits its room and ends at the plate's edges; or it is the film."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from test_real_rehearsal import short

from trainer import places
from trainer.procedure.load import load
from trainer.rehearsal import sight
from trainer.rehearsal.rehearsal import Rehearsal
from trainer.rehearsal.sight import Before, Sight
from trainer.rehearsal.walk_model import Walk
from trainer.rehearsal.walk_right import do_right
from trainer.rehearsal.walker import Walker
from trainer.screens import bench_words, handles, sheets
from trainer.screens.page import lay_out
from trainer.screens.widgets.gauges import MOST
from trainer.screens.widgets.picture import Area

ROWS, COLS = 24, 80
Walked = tuple[Rehearsal, list[tuple[str, str, int, int]]]
TOP_AND_KEYS, COUNTDOWN, NUMBER = 3, 10, 8


@pytest.fixture(scope="module")
def walked() -> Walked:
    """A right rehearsal of the two-burn procedure; of each of its moments the rows it needs and has."""
    plan = load(places.procedures_dir() / "negative-plate-two-burns.yaml").require()
    settings = {name: float(setting.value) for name, setting in plan.procedure.settings.items()}
    walker = Walker.start(Walk("sight", plan.procedure.id, rehearsal=True), plan, settings)
    rehearsal = walker.rehearsal
    assert rehearsal is not None
    found: list[tuple[str, str, int, int]] = []
    while not walker.run.state.closed:
        found += moments(rehearsal)
        do_right(walker)
    return rehearsal, found


def moments(rehearsal: Rehearsal) -> Iterator[tuple[str, str, int, int]]:
    """Step, marked control, rows of the sheet that are needed, rows that there are: at 80x24."""
    view, bench = rehearsal.run.view(), rehearsal.bench()
    if view.hazard:
        return
    names = handles.ring(bench, view)
    for at in names or ("",):
        control = handles.find(bench, at)
        number = control.kind == "number" if control else view.number is not None
        taken = NUMBER if number else COUNTDOWN if view.wait else 0
        gauges = min(MOST, sum(gauge.lit for gauge in bench.gauges))
        room = ROWS - TOP_AND_KEYS - taken - gauges
        controls = [*bench_words.news(bench), *handles.blocks(bench, names, at)]
        blocks = sheets.sheet(view, controls=controls, digits=control is None)
        page = lay_out([block for block in blocks if not block.spare], COLS - 2, room)
        yield view.step, at, len(page.lines), room


def test_controls_and_task_of_every_step_fit(walked: Walked) -> None:
    """At 80x24 act, controls and what is asked stand above gauges, figures and keys, at every step."""
    moments_seen = walked[1]
    assert len({step for step, _, _, _ in moments_seen}) > 90
    assert [moment for moment in moments_seen if moment[2] > moment[3]] == []


@pytest.mark.parametrize("colours", ["full", "256", "16", "none"])
@pytest.mark.parametrize(("cols", "rows"), [(44, 34), (32, 19), (7, 3)])
def test_the_whole_plate_fits_its_room(walked: Walked, colours: str, cols: int, rows: int) -> None:
    """In every number of colours the plate has its shape, at most the cells that there are, and full rows."""
    rehearsal = walked[0]
    seen = sight.whole(Before(rehearsal), cols, rows, colours)  # type: ignore[arg-type] # one of its words
    assert len(seen.rows) <= rows
    assert {sum(len(run.text) for run in row) for row in seen.rows} == {seen.cols}
    assert seen.cols <= cols
    margin = 2 * seen.pixel if colours == "none" else 0.0
    assert seen.across - margin == pytest.approx(rehearsal.job.width, abs=1.01 * seen.pixel)
    assert seen.down - 2 * margin == pytest.approx(rehearsal.job.height, abs=2.01 * seen.pixel)
    assert all(not (run.fg or run.bg) for row in seen.rows for run in row) == (colours == "none")


def test_beyond_the_edge_there_is_nothing(walked: Walked) -> None:
    """A loupe over the upper left corner shows the plate in its lower right quarter alone."""
    rehearsal = walked[0]
    seen = sight.magnified(Before(rehearsal), (0.0, 0.0), pixel=1.0, cells=(40, 20), colours="full")
    painted = [[run.bg or run.fg for run in row for _ in run.text] for row in seen.rows]
    assert {len(row) for row in painted} == {40}
    assert not any(any(row) for row in painted[:10])
    assert not any(any(row[:20]) for row in painted)
    assert all(all(row[20:]) for row in painted[10:])


def test_the_film_lies_on_the_light_table_until_there_is_a_plate(tmp_path: Path) -> None:
    """Before a plate is taken the film is seen, painted as far as it was; then the plate."""
    with short(tmp_path) as here:
        rehearsal = here.open_rehearsal("short", "T-01", seed=1)
        before = Before(rehearsal)
        film = before.film()
        assert film is not None
        assert film.opaque == ()
        rehearsal.set("opaquing", "all")
        before.stands(rehearsal.bench())
        painted = before.film()
        assert painted is not None
        assert len(painted.opaque) >= len(rehearsal.job.film(painted.film).pinholes)
        on_table = sight.whole(before, 30, 20, "full")
        rehearsal.set("take", "on")
        before.stands(rehearsal.bench())
        assert before.film() is None
        assert sight.whole(before, 30, 20, "full") != on_table


def test_the_loupe_lies_on_the_plate_where_it_looks() -> None:
    """The frame on the whole plate covers what the loupe shows, to a cell."""
    whole = Sight(((),) * 20, 0.0, 0.0, 10.0, 25)
    part = replace(whole, left=100.0, top=200.0, pixel=2.0)
    assert bench_words.area_of(part, whole) == Area(10, 10, 5, 4)
