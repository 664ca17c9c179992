"""What can be seen of a plate: all of it, or what a loupe shows. Plain data for any front end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from trainer.bench import picture
from trainer.bench.artwork import Job
from trainer.bench.colours import Colours
from trainer.bench.made import made
from trainer.bench.measures import Line, Sheet
from trainer.bench.picture import Row, Run
from trainer.bench.plate import Burn, Work, opaquing
from trainer.bench.raster import Grid
from trainer.bench.settings import BenchSettings

if TYPE_CHECKING:
    from trainer.rehearsal.bench_view import BenchView
    from trainer.rehearsal.rehearsal import Rehearsal

__all__ = ["Before", "Line", "Run", "Seen", "Sheet", "Sight", "magnified", "whole"]
# Line, Run and Sheet are the bench's: the screens, which may not see the bench, take them from here

FINEST = 0.002
"""A loupe's smallest pixel, mm: finer than anything on a plate."""


class Seen(Protocol):
    """Whatever has a plate: a rehearsal, a plate with hidden faults."""

    @property
    def job(self) -> Job:
        """The artwork, and the size of the plate."""
        ...

    @property
    def settings(self) -> BenchSettings:
        """The bench's constants."""
        ...

    def work(self) -> Work:
        """What was done to the plate."""
        ...

    def film(self) -> Burn | None:
        """What lies on the light table, where that is looked at and not the plate."""
        ...


class Before:
    """What lies before the trainee of a rehearsal: the film under its mask, then the plate."""

    def __init__(self, rehearsal: Rehearsal) -> None:
        self._rehearsal = rehearsal
        self._bench = rehearsal.bench()
        self.job = rehearsal.job
        self.settings = rehearsal.settings

    def work(self) -> Work:
        """What was done to the plate."""
        return self._rehearsal.work()

    def stands(self, bench: BenchView) -> None:
        """The bench stands so now."""
        self._bench = bench

    def film(self) -> Burn | None:
        """The film of the job on the light table, its mask over it, painted as far as it was."""
        bench, kit = self._bench, self._rehearsal.kit
        if bench.shown != "film":
            return None
        film = self.job.film(kit.image)
        stands = {control.name: control.value for control in (*bench.controls, *bench.others)}
        painted = stands.get("opaquing")
        return Burn(
            film=kit.image,
            mask=film.mask,
            units=0.0,
            pressing=0.0,
            wrong_reading=kit.conditions.film_wrong,
            opaque=opaquing(film, "all" if painted == "all" else "some" if painted == "some" else "none"),
        )


@dataclass(frozen=True, slots=True)
class Sight:
    """Rows of cells, each two pixels high. left, top: of the first cell, mm on the plate. pixel: mm."""

    rows: tuple[tuple[Run, ...], ...]
    left: float
    top: float
    pixel: float
    cols: int

    @property
    def across(self) -> float:
        """How much of the plate it shows from left to right, mm."""
        return self.cols * self.pixel

    @property
    def down(self) -> float:
        """How much of the plate it shows from top to bottom, mm."""
        return 2 * len(self.rows) * self.pixel


def whole(seen: Seen, cols: int, rows: int, colours: Colours) -> Sight:
    """The whole plate in at most `cols` by `rows` cells; without colours in a frame that shows its edges."""
    if colours != "none":
        grid = picture.whole(seen.job, cols, rows)
        return _sight(grid, _rows(seen, grid, colours))
    grid = picture.whole(seen.job, max(1, cols - 2), max(1, rows - 2))
    framed = _framed(_rows(seen, grid, colours), grid.cols)
    return Sight(framed, -grid.pixel, -2 * grid.pixel, grid.pixel, grid.cols + 2)


def magnified(
    seen: Seen, at: tuple[float, float], *, pixel: float, cells: tuple[int, int], colours: Colours
) -> Sight:
    """What a loupe over the place `at`, mm, shows in columns and rows of `cells`. pixel: of its picture."""
    cols, rows = cells
    grid = Grid.around(*at, max(pixel, FINEST), cols, 2 * rows)
    return _sight(grid, _on_it(_rows(seen, grid, colours), grid, seen.job))


def _framed(rows: tuple[Row, ...], cols: int) -> tuple[Row, ...]:
    top, bottom = (Run(f"{first}{'─' * cols}{last}", "", "") for first, last in ("┌┐", "└┘"))
    side = Run("│", "", "")
    return ((top,), *((side, *row, side) for row in rows), (bottom,))


def _sight(grid: Grid, rows: tuple[Row, ...]) -> Sight:
    return Sight(rows, grid.left, grid.top, grid.pixel, grid.cols)


def _rows(seen: Seen, grid: Grid, colours: Colours) -> tuple[Row, ...]:
    film = seen.film()
    if film is not None:
        return picture.table_rows(picture.on_table(seen.job, film, grid), colours)
    return picture.rows(made(seen.work(), grid, seen.settings), colours)


def _on_it(rows: tuple[Row, ...], grid: Grid, job: Job) -> tuple[Row, ...]:
    """The rows without what lies beyond the edges, where a loupe looks over them."""
    left, right = (round((edge - grid.left) / grid.pixel) for edge in (0.0, job.width))
    top, bottom = (round((edge - grid.top) / grid.pixel / 2) for edge in (0.0, job.height))
    if left <= 0 and top <= 0 and right >= grid.cols and bottom >= len(rows):
        return rows
    nothing: Row = (Run(" " * grid.cols, "", ""),)
    left, right = max(0, left), max(0, min(grid.cols, right))
    return tuple(
        _between(row, left, right, grid.cols) if top <= number < bottom else nothing
        for number, row in enumerate(rows)
    )


def _between(row: Row, left: int, right: int, cols: int) -> Row:
    """The cells of a row from `left` to `right`; blanks before and after them."""
    kept = [Run(" " * left, "", "")] if left else []
    start = 0
    for run in row:
        end = start + len(run.text)
        if (text := run.text[max(0, left - start) : max(0, right - start)]) and end > left:
            kept.append(Run(text, run.fg, run.bg))
        start = end
    return (*kept, Run(" " * (cols - right), "", "")) if right < cols else tuple(kept)
