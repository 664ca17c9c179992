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
from trainer.bench.plate import Burn, Work, opaquing
from trainer.bench.settings import BenchSettings
from trainer.rehearsal import artworks
from trainer.rehearsal.practice_choice import Tally, drawn
from trainer.run.fault_events import PracticePlate

_JOBS: Final = ("tide-table-card", "tide-table-card", "test-film")
_TRIES: Final = 6
_TURN: Final = 2**32
"""Another try has another seed, so that the same fault comes to lie elsewhere."""


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

    Only a plate that shows its faults is taken: a scratch where there is no image is seen by nobody. Raises
    Trouble without artwork.
    """
    dice = _dice(seed, number)
    job = artworks.read_job(dice.choice(_JOBS))
    film = dice.choice([one.id for one in job.image_films()])
    right = _right(job, film, settings)
    possible = [fault for fault in CATALOGUE if faults_made.possible(right, fault)]
    for turn in range(_TRIES):
        faults = drawn(found, dice, possible, just_had)
        plate = made(PracticePlate(number, seed + turn * _TURN, job.id, film, faults), settings)
        if _all_show(plate, settings):
            break
    return plate


def made(told: PracticePlate, settings: BenchSettings) -> HiddenPlate:
    """The plate that the record tells of."""
    job = artworks.read_job(told.artwork)
    right = _right(job, told.film, settings)
    work = right
    for fault in told.faults:
        work = faults_made.injected(work, fault, _dice(told.seed, told.plate, fault), settings)
    return HiddenPlate(told, job, work, right, Wanted(films=_films(job, told.film)))


def film(plate: HiddenPlate) -> Burn:
    """The job's film as it lies on the light table under its mask, without a flaw."""
    right = plate.job.film(plate.told.film)
    return Burn(right.id, right.mask, units=0.0, pressing=0.0, opaque=opaquing(right, "all"))


def _all_show(plate: HiddenPlate, settings: BenchSettings) -> bool:
    looked = seen.seen(plate.work, plate.right, settings, plate.wanted)
    named = set(causes.likeliest(signs.signs(looked)))
    return {CATALOGUE[fault].alike for fault in plate.told.faults} <= named


def _right(job: Job, film: str, settings: BenchSettings) -> Work:
    return faults_made.right_work(job, settings, _films(job, film))


def _films(job: Job, film: str) -> tuple[str, ...]:
    marks = [one.id for one in job.films.values() if one.kind == "marks"]
    return (film, *marks[:1])


def _dice(*parts: object) -> Random:
    return Random(" ".join(str(part) for part in parts))  # noqa: S311 - a plate to practise on, no secret
