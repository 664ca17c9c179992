"""Plates with hidden faults: drawn from a seed, made by the same models as every plate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import Final

from trainer.bench import causes, faults_made, measures, seen, signs
from trainer.bench.artwork import Job
from trainer.bench.faults import CATALOGUE
from trainer.bench.measures import Sheet, Wanted
from trainer.bench.plate import Work
from trainer.bench.settings import BenchSettings
from trainer.rehearsal import artworks
from trainer.rehearsal.practice_choice import Tally, drawn
from trainer.run.events import PracticePlate

_JOBS: Final = ("tide-table-card", "tide-table-card", "test-film")
_TRIES: Final = 6


@dataclass(frozen=True, slots=True)
class HiddenPlate:
    """A plate with faults in it. `work` is what was done; nobody is shown that."""

    told: PracticePlate
    job: Job
    work: Work
    right: Work
    wanted: Wanted

    def sheet(self, settings: BenchSettings) -> Sheet:
        """All its measures."""
        return measures.sheet(self.work, settings, self.wanted)


def hide(
    number: int, seed: int, found: Tally, settings: BenchSettings, just_had: Sequence[str] = ()
) -> HiddenPlate:
    """Another plate, with what this trainee has been weakest at. The same again for the same seed and tally.

    A second fault is only left in where a look at the plate shows both. Raises Trouble without artwork.
    """
    dice = _dice(seed, number)
    job = artworks.read_job(dice.choice(_JOBS))
    film = dice.choice([one.id for one in job.image_films()])
    right = _right(job, film, settings)
    possible = [fault for fault in CATALOGUE if faults_made.possible(right, fault)]
    for turn in range(_TRIES):
        told = PracticePlate(number, seed, job.id, film, drawn(found, dice, possible, just_had))
        if turn == _TRIES - 1:
            told = PracticePlate(number, seed, job.id, film, told.faults[:1])
        plate = made(told, settings)
        if len(told.faults) == 1 or _both_show(plate, settings):
            return plate
    raise AssertionError("the last try has one fault")


def made(told: PracticePlate, settings: BenchSettings) -> HiddenPlate:
    """The plate that the record tells of."""
    job = artworks.read_job(told.artwork)
    right = _right(job, told.film, settings)
    work = right
    for fault in told.faults:
        work = faults_made.injected(work, fault, _dice(told.seed, told.plate, fault), settings)
    return HiddenPlate(told, job, work, right, Wanted(films=_films(job, told.film)))


def _both_show(plate: HiddenPlate, settings: BenchSettings) -> bool:
    looked = seen.seen(plate.work, plate.right, settings, plate.wanted)
    named = {likely.alike for likely in causes.likeliest(signs.signs(looked))}
    return {CATALOGUE[fault].alike for fault in plate.told.faults} <= named


def _right(job: Job, film: str, settings: BenchSettings) -> Work:
    return faults_made.right_work(job, settings, _films(job, film))


def _films(job: Job, film: str) -> tuple[str, ...]:
    marks = [one.id for one in job.films.values() if one.kind == "marks"]
    return (film, *marks[:1])


def _dice(*parts: object) -> Random:
    return Random(" ".join(str(part) for part in parts))  # noqa: S311 - a plate to practise on, no secret
