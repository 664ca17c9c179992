"""Plates with hidden faults, drawn from seeds, and how often their causes are found.

`python tests/bench_faults/blind.py` prints the table of the guide. A pair of faults counts only if both show:
each of the two, put right alone, must change the plate somewhere by more than a fiftieth of its coating.
"""

from __future__ import annotations

import warnings
from collections import Counter
from dataclasses import dataclass
from functools import cache
from random import Random

import numpy as np

from trainer.bench import causes, looks_over, seen, signs
from trainer.bench.artwork import Job
from trainer.bench.artwork_file import job_from, letters_from
from trainer.bench.faults import CATALOGUE
from trainer.bench.faults_made import MAKERS, injected, possible, right_work
from trainer.bench.made import PlateRaster, made
from trainer.bench.measures import Wanted
from trainer.bench.plate import Work
from trainer.bench.settings import BenchSettings
from trainer.places import assets_dir
from trainer.procedure.reader import read_tree
from trainer.rehearsal.bench_settings import read_bench

FILMS = ("black", "marks")
ROUNDS = 200
_SHOWS = 0.02


@dataclass(frozen=True)
class Try:
    """One plate: the faults in it, their classes, and the classes that were named, the likeliest first."""

    faults: tuple[str, ...]
    wanted: tuple[str, ...]
    named: tuple[str, ...]

    @property
    def found(self) -> bool:
        """Was one fault named first, or were two among the first three?"""
        if len(self.wanted) == 1:
            return self.named[:1] == self.wanted
        return set(self.wanted) <= set(self.named[:3])


@cache
def settings() -> BenchSettings:
    """The shipped bench."""
    return read_bench()


@cache
def job(name: str = "tide-table-card") -> Job:
    """A shipped job."""
    folder = assets_dir() / "jobs"
    values = [
        read_tree((folder / f"{one}.yaml").read_bytes(), f"{one}.yaml").value for one in (name, "letters")
    ]
    return job_from(values[0], letters_from(values[1]))


@cache
def right() -> Work:
    """The plate as it should be."""
    return right_work(job(), settings(), FILMS)


def named(work: Work) -> tuple[str, ...]:
    """The classes that a plate's sheet names."""
    plate = seen.seen(work, right(), settings(), Wanted(FILMS))
    return causes.likeliest(signs.signs(plate))


def one(seed: int) -> Try:
    """A plate with one fault."""
    dice = Random(f"one {seed}")  # noqa: S311 - plates of a test, no secret
    fault = dice.choice(list(MAKERS))
    return Try((fault,), (CATALOGUE[fault].alike,), named(injected(right(), fault, dice, settings())))


def two(seed: int) -> Try:
    """A plate with two faults of different classes that both show."""
    dice = Random(f"two {seed}")  # noqa: S311 - plates of a test, no secret
    while True:
        first, second = dice.sample(list(MAKERS), 2)
        wanted = (CATALOGUE[first].alike, CATALOGUE[second].alike)
        bad = (dice.random(), dice.random())
        if wanted[0] == wanted[1]:
            continue
        only_first = injected(right(), first, Random(bad[0]), settings())  # noqa: S311 - plates of a test, no secret
        if not only_first.burns or not possible(only_first, second):
            continue
        both = injected(only_first, second, Random(bad[1]), settings())  # noqa: S311 - plates of a test, no secret
        only_second = injected(right(), second, Random(bad[1]), settings())  # noqa: S311 - plates of a test, no secret
        plate = _plate(both)
        if all(_differ(plate, _plate(without)) for without in (only_first, only_second)):
            return Try((first, second), wanted, named(both))


def _plate(work: Work) -> PlateRaster:
    return made(work, looks_over.whole_grid(job()), settings())


def _differ(one: PlateRaster, other: PlateRaster) -> bool:
    return any(
        float(np.abs(getattr(one, what) - getattr(other, what)).max()) > _SHOWS
        for what in ("kept", "oxidised", "blind")
    )


def table(tries: list[Try]) -> str:
    """What was hidden, how often, and what was named first instead."""
    lines = ["| fault hidden | plates | found | named first instead |", "| --- | --- | --- | --- |"]
    for fault in CATALOGUE:
        of = [each for each in tries if each.faults == (fault,)]
        if of:
            wrong = Counter((each.named or ("nothing",))[0] for each in of if not each.found)
            instead = ", ".join(f"{name} ({count})" for name, count in wrong.most_common())
            lines.append(f"| {fault} | {len(of)} | {sum(each.found for each in of)} | {instead} |")
    return "\n".join(lines)


def main() -> None:
    """Print the table and the rates."""
    warnings.simplefilter("error")
    singles = [one(seed) for seed in range(ROUNDS)]
    pairs = [two(seed) for seed in range(ROUNDS)]
    print(table(singles))  # noqa: T201
    for name, tries in (
        ("one fault, named first", singles),
        ("two faults, both among the first three", pairs),
    ):
        print(f"{name}: {sum(each.found for each in tries)} of {len(tries)}")  # noqa: T201
    for each in pairs:
        if not each.found:
            print(f"  {' + '.join(each.faults)}: {', '.join(each.named) or 'nothing'}")  # noqa: T201


if __name__ == "__main__":
    main()
