"""Which faults a trainee practises next: new ones, and at each third plate one that is not known yet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from random import Random
from typing import Final

from trainer.bench.faults import CATALOGUE, CLASSES, members
from trainer.run.events import Event, PlateSpoiled, QuizAnswered
from trainer.run.fault_events import FaultFound, PracticePlate

MOST_OFFERED: Final = 5
_AGAIN: Final = 3
"""Each so many plates something comes back that was named wrong, however much is new still."""
_KNOWN: Final = 4
"""So many right answers in a row end that: cause and remedy on two plates."""
_PAIRED: Final = 0.3
"""So often a plate has two faults."""
_SMALL: Final = ("pinholes", "scratches", "oxidised", "blind", "tinted-corner", "soft-spots", "displaced")
"""Classes that show beside another fault."""
_BURIES: Final = (
    "nothing-burned",
    "no-image",
    "other-image",
    "islands",
    "uneven-pool",
    "veil",
    "underdeveloped",
)
"""Classes that leave nothing else to be seen."""
_OF_GUM: Final = ("oxidised", "blind")


@dataclass(slots=True)
class Tally:
    """What the record says of one trainee, by class of faults.

    made: found on plates of rehearsals. spoiled: plates given up in a stage where such a fault is made.
    named: asked in practice; right: so many of them right; running: right since the last wrong one.
    plates: shown in practice.
    """

    made: Counter[str] = field(default_factory=Counter)
    spoiled: Counter[str] = field(default_factory=Counter)
    named: Counter[str] = field(default_factory=Counter)
    right: Counter[str] = field(default_factory=Counter)
    running: Counter[str] = field(default_factory=Counter)
    plates: int = 0

    def add(self, event: Event) -> None:
        """One more event of the trainee's."""
        match event.body:
            case FaultFound(alike=alike) if alike in CLASSES:
                self.made[alike] += 1
            case PlateSpoiled(stage=stage):
                self.spoiled.update({one.alike for one in CATALOGUE.values() if one.stage == stage})
            case QuizAnswered(right=right) if event.step is not None and event.step in CLASSES:
                self.named[event.step] += 1
                self.right[event.step] += right
                self.running[event.step] = self.running[event.step] + 1 if right else 0
            case PracticePlate():
                self.plates += 1
            case _:
                pass

    def missed(self, alike: str) -> bool:
        """Was it named wrong, and not yet right often enough since?"""
        return self.right[alike] < self.named[alike] and self.running[alike] < _KNOWN

    def rank(self, alike: str) -> tuple[int, float]:
        """What comes first is least: new ones (those made at the bench first of all), then by share right."""
        if not self.named[alike]:
            return 0, float(-2 * bool(self.made[alike]) - bool(self.spoiled[alike]))
        return 1, self.right[alike] / self.named[alike]


def tally(events: Iterable[Event]) -> Tally:
    """The tally of a trainee's events."""
    found = Tally()
    for event in events:
        found.add(event)
    return found


def weakest(found: Tally, dice: Random, among: Iterable[str]) -> str:
    """The class to practise next, drawn from those that rank first. `among` must not be empty."""
    first = min(found.rank(alike) for alike in among)
    return dice.choice([alike for alike in among if found.rank(alike) == first])


def drawn(
    found: Tally, dice: Random, possible: Sequence[str], just_had: Sequence[str] = ()
) -> tuple[str, ...]:
    """One or two faults by id, out of those that are possible on a plate."""
    there = list(dict.fromkeys(CATALOGUE[fault].alike for fault in possible))
    others = [alike for alike in there if alike not in just_had] or there
    missed = [alike for alike in others if found.missed(alike)]
    again = missed and found.plates % _AGAIN == _AGAIN - 1
    first = weakest(found, dice, missed if again else others)
    classes = [first]
    seconds = [alike for alike in there if _shows_beside(alike, first)]
    if seconds and dice.random() < _PAIRED:
        classes.append(weakest(found, dice, seconds))
    return tuple(dice.choice([one.id for one in members(alike) if one.id in possible]) for alike in classes)


def offered(alike: str, dice: Random, hidden: Sequence[str]) -> tuple[str, ...]:
    """Classes to choose the cause from: the right one, and others like it that are not there."""
    others = _like(alike, dice, [one for one in CLASSES if one not in hidden])
    return _shuffled((alike, *others[: MOST_OFFERED - 1]), dice)


def remedies(fault: str, dice: Random) -> tuple[str, ...]:
    """Faults whose remedies to choose from: the right one, and others of faults that share signs with it."""
    right = CATALOGUE[fault]
    same = {one.remedy for one in members(right.alike)}
    others = []
    for alike in _like(right.alike, dice, [one for one in CLASSES if not _one_remedy(one, right.alike)]):
        other = dice.choice(members(alike))
        if other.remedy not in same:
            same.add(other.remedy)
            others.append(other.id)
    return _shuffled((fault, *others[: MOST_OFFERED - 1]), dice)


def _one_remedy(alike: str, other: str) -> bool:
    """Does the same help against both?"""
    return alike == other or {alike, other} == {"moved-image", "moved-marks"}


def _shows_beside(alike: str, first: str) -> bool:
    gum = alike in _OF_GUM and first in _OF_GUM
    return alike in _SMALL and alike != first and first not in _BURIES and not gum


def _like(alike: str, dice: Random, among: Sequence[str]) -> list[str]:
    """Classes, those first that share most measures and the stage with one."""
    measures = {measure for one in members(alike) for measure in one.measures}
    stages = {one.stage for one in members(alike)}

    def nearness(other: str) -> float:
        shared = {measure for one in members(other) for measure in one.measures} & measures
        return 2 * len(shared) + len({one.stage for one in members(other)} & stages) + dice.random()

    return sorted(among, key=nearness, reverse=True)


def _shuffled(keys: tuple[str, ...], dice: Random) -> tuple[str, ...]:
    mixed = list(keys)
    dice.shuffle(mixed)
    return tuple(mixed)
