"""The artwork of a rehearsal: jobs from `assets/jobs`, and which of their films is meant."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from trainer import places
from trainer.bench.apparatus import Kit
from trainer.bench.artwork import Job
from trainer.bench.artwork_file import job_from
from trainer.bench.conditions import Conditions, with_flaws
from trainer.bench.letters import Letters, letters_from
from trainer.bench.settings import BenchSettings
from trainer.procedure.files import FileTrouble, read_bytes
from trainer.procedure.reader import read_tree
from trainer.run.ports import Trouble
from trainer.tongue import marked, spoken

USUAL = "tide-table-card"
"""The job of a procedure that names none."""
_LETTERS = "letters"
TITLES = (marked("Tide-table card"), marked("Test film"), marked("Test strip"), marked("Harbour drawing"))
"""What the shipped jobs are called, for translators; a shop's own is shown as it is."""


def known() -> tuple[str, ...]:
    """Ids of the jobs that there are."""
    return tuple(sorted(path.stem for path in _folder().glob("*.yaml") if path.stem != _LETTERS))


def read_job(named: str) -> Job:
    """The job of that id. Raises Trouble with a sentence."""
    if named not in known():
        raise Trouble(
            spoken(
                "There is no artwork `{named}`. There is: {known}.",
                named=named[:60],
                known=", ".join(known()) or spoken("none"),
            )
        )
    return _read_job(_folder(), named)


@lru_cache(maxsize=8)
def _read_job(folder: Path, named: str) -> Job:
    """Read once: a film is drawn once as long as it is the same film."""
    letters: Letters = letters_from(_value(folder / f"{_LETTERS}.yaml"))
    try:
        return job_from(_value(folder / f"{named}.yaml"), letters)
    except ValueError as told:
        raise Trouble(
            spoken("The artwork {named} cannot be used: {reason}", named=named, reason=told)
        ) from told


def kit_for(job: Job, film: str, conditions: Conditions, settings: BenchSettings) -> Kit:
    """What lies ready for one rehearsal. `film`: the one to be burned, by id. Raises Trouble."""
    flawed = _with_flaws(job, conditions.pinholes, conditions.film_scratches)
    marks = next((one.id for one in flawed.films.values() if one.kind == "marks"), "")
    others = [one.id for one in flawed.image_films() if one.id != film]
    if film and film not in flawed.films:
        raise Trouble(spoken("The artwork {named} has no film `{film}`.", named=job.id, film=film[:60]))
    wanted = tuple(one for one in (film, marks) if one)
    return Kit(flawed, film, marks, others[0] if others else "", wanted, conditions, settings)


_with_flaws = lru_cache(maxsize=32)(with_flaws)


def film_for(job: Job, colour: str) -> str:
    """Id of the image film that a colour names, else of the first; empty where there is none."""
    films = job.image_films()
    word = colour.strip().lower()
    for film in films:
        if word and (word == film.id.lower() or word in film.label.lower()):
            return film.id
    return films[0].id if films else ""


def _value(path: Path) -> object:
    try:
        tree = read_tree(read_bytes(path), str(path))
    except FileTrouble as trouble:
        raise Trouble(trouble.problem.message) from trouble
    for problem in tree.problems:
        if problem.severity == "error":
            raise Trouble(f"{path.name}:{problem.place.line}: {problem.message}")
    return tree.value


def _folder() -> Path:
    return places.assets_dir() / "jobs"
