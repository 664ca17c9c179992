"""How many mistakes made by a script are told with the right code at the right line.

`python tests/procedure/mutation_score.py [EACH]` prints the table of `guide/checking.md`: at most EACH slips
of a kind in each shipped file (12 where left out, 0 for all of them, which takes a quarter of an hour).
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from mutants import Mutant, mutants, spread

from trainer import places
from trainer.procedure.load import load_bytes


class Score(NamedTuple):
    """By kind of slip, in the order of the kinds: how many there are, how many are told where they are."""

    codes: dict[str, set[str]]
    made: Counter[str]
    told: Counter[str]
    missed: list[tuple[str, Mutant]]


def is_told(mutant: Mutant, file: str) -> bool:
    """Is the slip told with its code, on its line? Raises what only a fault of the program raises."""
    problems = load_bytes(mutant.text.encode(), file).problems
    return (mutant.code, mutant.line) in {(one.code, one.place.line) for one in problems}


def score(files: Iterable[Path], each: int) -> Score:
    """The score of slips in these files, at most `each` of a kind in a file (0: all)."""
    found = Score({}, Counter(), Counter(), [])
    for file in files:
        for mutant in spread(mutants(file), each):
            found.codes.setdefault(mutant.kind, set()).add(mutant.code)
            found.made[mutant.kind] += 1
            if is_told(mutant, file.name):
                found.told[mutant.kind] += 1
            else:
                found.missed.append((file.name, mutant))
    return found


def table(found: Score) -> str:
    """The score as the guide has it."""
    rows = ["| slip | code | made | told at its line |", "|---|---|---|---|"]
    rows += [
        f"| {kind} | {', '.join(sorted(codes))} | {found.made[kind]} | {found.told[kind]} |"
        for kind, codes in found.codes.items()
    ]
    rows.append(f"| all | | {found.made.total()} | {found.told.total()} |")
    return "\n".join(rows)


def main() -> None:
    """Print the table, and every slip that is not told."""
    each = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    found = score(sorted(places.procedures_dir().glob("*.yaml")), each)
    print(table(found))  # noqa: T201
    for file, missed in found.missed:
        print(f"{file}: {missed.kind} at {missed.what}: {missed.code} not told on {missed.line}")  # noqa: T201


if __name__ == "__main__":
    main()
