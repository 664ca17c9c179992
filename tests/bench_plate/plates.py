"""Plates for the tests: the shipped jobs and settings, and a plate on which everything was done right."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from trainer.bench import settings as bench_settings
from trainer.bench.artwork import BLACK, Box, Disc, Film, Job, Mask, Rect, Screen, Shape, Stroke
from trainer.bench.artwork_file import job_from, letters_from
from trainer.bench.letters import Letters
from trainer.bench.measures import Wanted
from trainer.bench.plate import Burn, Finishing, Treatment, Work, opaquing
from trainer.bench.settings import BenchSettings
from trainer.procedure.reader import read_tree

ASSETS = Path(__file__).resolve().parents[2] / "assets"
JOBS = ("tide-table-card", "test-film", "harbour-drawing")
CARRIES = {
    "black": ("tide-table-card", ("black", "marks")),
    "blue": ("tide-table-card", ("blue", "marks")),
    "test": ("test-film", ("test", "marks")),
    "line": ("harbour-drawing", ("line", "marks")),
}
"""Each image film, with its job and the films that its plate carries."""


def value_of(path: Path) -> object:
    """The plain tree of a file without problems."""
    tree = read_tree(path.read_bytes(), path.name)
    assert not tree.problems
    return tree.value


@cache
def letters() -> Letters:
    """The shipped letters."""
    return letters_from(value_of(ASSETS / "jobs" / "letters.yaml"))


@cache
def job(name: str) -> Job:
    """A shipped job."""
    return job_from(value_of(ASSETS / "jobs" / f"{name}.yaml"), letters())


@cache
def shipped() -> BenchSettings:
    """The shipped settings of the bench."""
    return bench_settings.settings(bench_settings.constants(value_of(ASSETS / "bench.yaml")))


DEVELOPED = (Treatment(60.0, 75.0, 22.0),)
FINISHED = Finishing("both-sides", 30.0, 10.0, 20.0, "thin", buffed=True)


def right(film: str = "black") -> Work:
    """A plate of the job of an image film, everything done right: 24 units, 70 kPa, a minute at 22 degC."""
    name, films = CARRIES[film]
    of = job(name)
    burns = tuple(
        Burn(one, of.film(one).mask, 24.0, 70.0, wedge=place == 0, opaque=opaquing(of.film(one), "all"))
        for place, one in enumerate(films)
    )
    return Work(of, burns, treatments=DEVELOPED, finishing=FINISHED)


def wanted(film: str = "black") -> Wanted:
    """What the plate of an image film is held against."""
    return Wanted(CARRIES[film][1])


def small(*art: Shape) -> Job:
    """A small job of one film and an open mask, without a wedge in the way: for looking at one thing."""
    film = Film("only", "image", "Only", Box(0.0, 0.0, 60.0, 60.0), "open", art)
    mask = Mask("open", (Box(0.0, 0.0, 60.0, 60.0),))
    return Job(
        "small",
        "Small",
        "invented",
        60.0,
        60.0,
        (30.0, 2.0),
        Box(50.0, 50.0, 9.0, 9.0),
        {"only": film},
        {"open": mask},
    )


def struck(of: Job, units: float = 24.0, pressing: float = 70.0) -> Work:
    """A small job's plate after one burn and a right development."""
    return Work(of, (Burn("only", "open", units, pressing),), treatments=DEVELOPED)


__all__ = [
    "BLACK",
    "CARRIES",
    "DEVELOPED",
    "FINISHED",
    "JOBS",
    "Disc",
    "Rect",
    "Screen",
    "Stroke",
    "job",
    "letters",
    "replace",
    "right",
    "shipped",
    "small",
    "struck",
    "value_of",
    "wanted",
]
