"""What an act did to the plate: it is made again with the act put right, and what is gone was its doing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from trainer.bench import faults_made, seen, signs
from trainer.bench.causes import likeliest
from trainer.bench.limits import OutOfRange
from trainer.bench.made import made
from trainer.bench.measures import Inspection, Sheet, Wanted, sheet_of
from trainer.bench.plate import Work
from trainer.bench.settings import BenchSettings
from trainer.bench.signs import Sign
from trainer.rehearsal.after_acts import Act
from trainer.rehearsal.after_again import Again

_PLAIN: Final = 0.3
"""A weaker sign is not told."""
_GONE: Final = 0.5
"""A sign is gone where less than this share of it is left."""
_MOST_LOOKS: Final = 12


@dataclass(frozen=True, slots=True)
class Look:
    """A plate looked at: its signs by id, its measures, the likeliest classes of causes."""

    work: Work
    signs: dict[str, Sign]
    sheet: Sheet
    likely: tuple[str, ...]

    @property
    def bad(self) -> frozenset[str]:
        """Measures that are not as wanted."""
        return frozenset(line.name for line in self.sheet.lines if line.ok is False)

    @property
    def good(self) -> bool:
        """Nothing to be seen, nothing measured that is not as wanted."""
        return not self.signs and not self.bad


@dataclass(frozen=True, slots=True)
class Proof:
    """Acts put right together, the signs that go with them, and measures that are as wanted then."""

    acts: tuple[Act, ...]
    gone: tuple[Sign, ...]
    measures: tuple[str, ...]

    @property
    def weight(self) -> float:
        """How much of the plate it explains."""
        return sum(sign.strength for sign in self.gone) + 0.1 * len(self.measures)


class Prover:
    """Looks at plates of one rehearsal. A look costs tenths of a second, so no plate is looked at twice."""

    def __init__(self, again: Again, units: float) -> None:
        self._again = again
        self._settings: BenchSettings = again.kit.settings
        self._wanted: Wanted = again.measuring.wanted
        self._right = faults_made.right_work(again.kit.job, self._settings, again.kit.wanted, units)
        self._looks: dict[Work, Look] = {}

    def look(self, acts: Sequence[Act] = ()) -> Look | None:
        """The plate with these acts put right; None where the bench cannot, or too many were looked at."""
        try:
            work = self._again.work(acts)
        except (OutOfRange, LookupError):
            return None
        if work not in self._looks:
            if len(self._looks) >= _MOST_LOOKS:
                return None
            self._looks[work] = self._looked(work)
        return self._looks[work]

    def proofs(self, candidates: Sequence[tuple[Act, ...]]) -> tuple[Proof, ...]:
        """Those of the candidates that did something to the plate; what did most first."""
        here = self.look()
        if here is None or here.good:
            return ()
        matters = [acts for acts in candidates if self._differs(acts, here)]
        found = [proof for acts in matters if (proof := self._proof(acts, here, self.look(acts)))]
        seen_gone = {name for proof in found if proof.gone for name in proof.measures}
        found = [proof for proof in found if proof.gone or set(proof.measures) - seen_gone]
        explained = {sign.id for proof in found for sign in proof.gone}
        met = {name for proof in found for name in proof.measures}
        if set(here.signs) - explained or (not here.signs and here.bad - met):
            pool = [acts for acts in candidates if acts in matters or acts[0].kind != "extra"]
            found += self._together(pool, explained, met)
        return tuple(sorted(found, key=lambda proof: -proof.weight))

    def _differs(self, acts: tuple[Act, ...], here: Look) -> bool:
        try:
            return self._again.work(acts) != here.work
        except (OutOfRange, LookupError):
            return False

    def _proof(self, acts: tuple[Act, ...], before: Look, after: Look | None) -> Proof | None:
        if after is None:
            return None
        gone = tuple(sign for name, sign in before.signs.items() if _gone(sign, after.signs.get(name)))
        come = [name for name in after.signs if name not in before.signs]
        measures = tuple(sorted(before.bad - after.bad))
        worse = len(come) > len(gone) or (bool(come) and not gone)
        if worse or not (gone or measures):
            return None
        return Proof(acts, gone, measures)

    def _together(self, pool: Sequence[tuple[Act, ...]], explained: set[str], met: set[str]) -> list[Proof]:
        """Where several acts did the same: with all the others right, what does each one do by itself?"""
        every = tuple(act for acts in pool for act in acts)
        best = self.look(every)
        if best is None:
            return []
        found = []
        for acts in pool:
            alone = self.look(tuple(act for act in every if act not in acts))
            proof = None if alone is None or alone is best else self._proof(acts, alone, best)
            if proof is None:
                continue
            if {sign.id for sign in proof.gone} - explained or (not proof.gone and set(proof.measures) - met):
                found.append(proof)
        return found

    def _looked(self, work: Work) -> Look:
        inspection = Inspection(
            partial(made, work, settings=self._settings), work.job, self._settings, self._wanted
        )
        there = signs.signs(seen.of_inspection(inspection, work, self._right))
        plain = {sign.id: sign for sign in there if sign.strength >= _PLAIN}
        return Look(work, plain, sheet_of(inspection, work), likeliest(there))


def _gone(before: Sign, after: Sign | None) -> bool:
    return after is None or after.strength < _GONE * before.strength
