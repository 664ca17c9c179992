"""How often the review names what is planted in invented classes, and how often what is not.

`python tests/bench/planted.py --out FILE [--seeds 100] [--processes 2]` makes a class of 400 wet runs for
each seed, once with something planted and once with nothing, and reviews it in memory: no record is written.
Each result is a line of JSON in FILE, which must lie outside the clone. What is there already is not made
again, so it can be stopped and gone on with. `--table` makes nothing and prints what there is. With
`--classes FOLDER` the tables of each class are kept there (5 MB each), and taken from there by another run
with another FILE: after a change of a method, and none of how a class is made.

What may be mistaken is counted: trainees weak at a skill, steps, questions and lamps. Plain facts (a prompt
passed by, plates lost, who is ready) are left out. Classes and rules are the project's own; nothing here is
checked against the world outside.
"""

from __future__ import annotations

import argparse
import gc
import json
import math
import signal
import sys
import time
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict

if TYPE_CHECKING:
    from trainer.insight.frames import Frames
    from trainer.rehearsal.invented.making import Begun

HERE = Path(__file__).resolve().parent
RUNS = 400
KINDS = {
    "T-": "a trainee weak at a skill",
    "step": "a step that trips everybody",
    "question": "a bad question",
    "lamp": "a lamp that loses light",
}
"""What is planted, by how it is called in `planted_kit`."""
LIMIT = 0.05
"""At most this share of what is said may be false."""
_Z95 = 1.959963984540054


class Result(TypedDict):
    """Of one class. sure: findings that may be mistaken, false ones too. seconds: of one processor."""

    seed: int
    plant: bool
    planted: list[str]
    found: list[str]
    false: list[str]
    sure: int
    seconds: float


def one(seed: int, plant: bool, classes: Path | None) -> Result:
    """Make a class, review it, and hold what is said against what is planted."""
    sys.path.insert(0, str(HERE.parent / "insight"))
    from planted_kit import facts_of_sources, told_of

    from trainer.rehearsal.invented.making import begin

    gc.collect()
    gc.disable()
    since = time.process_time()
    begun = begin(seed, RUNS, rehearsals=False, plant=plant)
    frames = frames_of(begun, None if classes is None else classes / f"{seed}{'' if plant else '-plain'}")
    said = told_of(frames, facts_of_sources(begun.sources), begun.planted)
    return Result(
        seed=seed,
        plant=plant,
        planted=sorted(said.planted),
        found=sorted(said.found),
        false=list(said.false),
        sure=said.sure,
        seconds=round(time.process_time() - since, 2),
    )


def frames_of(begun: Begun, folder: Path | None) -> Frames:
    """The tables of the class, from the folder where they are kept."""
    import polars as pl
    from planted_kit import frames_of_runs

    from trainer.insight.frames import SCHEMAS, Frames
    from trainer.rehearsal.invented.making import runs_of

    if folder is not None and folder.exists():
        return Frames(**{name: pl.read_ipc(folder / name) for name in SCHEMAS})
    frames = frames_of_runs(runs_of(begun))
    if folder is not None:
        part = folder.with_suffix(".part")
        part.mkdir(parents=True, exist_ok=True)
        for name in SCHEMAS:
            getattr(frames, name).write_ipc(part / name, compression="zstd")
        part.rename(folder)
    return frames


def kept(file: Path) -> list[Result]:
    """The results in the file; a line that was not written to its end is left out."""
    found = []
    for line in file.read_text(encoding="utf-8").splitlines() if file.exists() else ():
        try:
            found.append(json.loads(line))
        except ValueError:
            print("A line that was cut off is left out.", file=sys.stderr)  # noqa: T201
    return found


def make(file: Path, seeds: int, processes: int, classes: Path | None) -> None:
    """Make what is not in the file yet, and add it there."""
    there = {(result["seed"], result["plant"]) for result in kept(file)}
    wanted = [(seed, plant) for seed in range(1, seeds + 1) for plant in (True, False)]
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    pool = ProcessPoolExecutor(processes, get_context("spawn"))
    try:
        made = [pool.submit(one, *each, classes) for each in wanted if each not in there]
        with file.open("a", encoding="utf-8") as out:
            for each in as_completed(made):
                out.write(json.dumps(each.result(), ensure_ascii=False) + "\n")
                out.flush()
    finally:  # also when it is stopped: only what is being made is waited for
        pool.shutdown(cancel_futures=True)


def wilson(k: int, n: int) -> tuple[float, float]:
    """Wilson's interval at 95 % (Wilson 1927), worked out here so that nothing is held against itself."""
    p, z = k / n, _Z95
    middle, half = p + z * z / (2 * n), z * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return max(0.0, (middle - half) / (1 + z * z / n)), min(1.0, (middle + half) / (1 + z * z / n))


def _of(k: int, n: int) -> str:
    if not n:
        return "nothing was said |"
    low, high = wilson(k, n)
    return f"{k} of {n} | {100 * low:.1f} to {100 * high:.1f} in 100"


def table(results: Iterable[Result]) -> list[str]:
    """The table of the guide."""
    every = list(results)
    planted, plain = ([one for one in every if one["plant"] is plant] for plant in (True, False))
    lines = ["| What | Count | Interval |", "|---|---|---|"]
    for prefix, words in KINDS.items():
        there = [name for result in planted for name in result["planted"] if name.startswith(prefix)]
        named = [name for result in planted for name in result["found"] if name.startswith(prefix)]
        lines.append(f"| named, {words} | {_of(len(named), len(there))} |")
    whole = sum(set(result["found"]) == set(result["planted"]) for result in planted)
    lines.append(f"| classes in which all six were named | {_of(whole, len(planted))} |")
    for words, some in (("with six planted", planted), ("with nothing planted", plain)):
        false = sum(len(result["false"]) for result in some)
        classes = sum(bool(result["false"]) for result in some)
        lines.append(f"| false among all findings, classes {words} | {_of(false, _sure(some))} |")
        lines.append(f"| classes {words} in which anything false was said | {_of(classes, len(some))} |")
    false, limit = sum(len(result["false"]) for result in every), f"limit {100 * LIMIT:.0f} in 100"
    lines.append(f"| false among all findings, both ({limit}) | {_of(false, _sure(every))} |")
    return lines


def singly(results: Iterable[Result]) -> list[str]:
    """What was missed, and what was said that is not so."""
    lines = []
    for result in results:
        of = f"seed {result['seed']}{'' if result['plant'] else ', nothing planted'}"
        lines += [f"{of}: missed: {name}" for name in result["planted"] if name not in result["found"]]
        lines += [f"{of}: false: {words}" for words in result["false"]]
    return lines


def _sure(results: Iterable[Result]) -> int:
    return sum(result["sure"] for result in results)


def main() -> None:
    """Make and print."""
    wants = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    wants.add_argument("--out", type=Path, required=True)
    wants.add_argument("--seeds", type=int, default=100)
    wants.add_argument("--processes", type=int, default=2)
    wants.add_argument("--classes", type=Path)
    wants.add_argument("--table", action="store_true")
    said = wants.parse_args()
    file = said.out.expanduser().resolve()
    classes = said.classes and said.classes.expanduser().resolve()
    for place in filter(None, (file, classes)):
        if place.is_relative_to(HERE.parent.parent):
            wants.error(f"{place} lies in the clone. Name a place outside it.")
    if not said.table:
        make(file, said.seeds, said.processes, classes)
    results = kept(file)
    cost = sum(result["seconds"] for result in results) / max(1, len(results))
    print("\n".join((*table(results), *singly(results), f"{cost:.1f} s of a processor a class")))  # noqa: T201


if __name__ == "__main__":
    main()
