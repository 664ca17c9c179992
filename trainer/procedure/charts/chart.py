"""A procedure as it is drawn: stages, steps, the ways between them. Every drawing is made from this."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.procedure.charts.told import Teller, kind_of
from trainer.procedure.graph import DONE, ENDS, next_of
from trainer.procedure.model import Procedure, Stage, Step

END_WORDS = {"done": "the end", "stop": "the run is stopped"}
"""Targets that are no steps, in words."""


@dataclass(frozen=True, slots=True)
class Way:
    """A way on. when: its condition in words, empty where it needs none. back: to itself or a step before."""

    to: str
    when: str
    back: bool


@dataclass(frozen=True, slots=True)
class Spot:
    """A step. kind: the key of its task, or `act`. says: the act. task: what is asked, in a few words.

    branches: its conditional ways, in the order they are tried; on: where it leads else. straight: whether
    that is the step drawn under it.
    """

    id: str
    kind: str
    signal: str
    says: str
    task: str
    aside: bool
    branches: tuple[Way, ...]
    on: Way
    straight: bool


@dataclass(frozen=True, slots=True)
class Part:
    """A stage. again_from: where a spoiled plate begins anew, if one can be spoiled here."""

    id: str
    title: str
    spots: tuple[Spot, ...]
    again_from: str | None


@dataclass(frozen=True, slots=True)
class Chart:
    """A whole procedure."""

    id: str
    title: str
    revision: int
    parts: tuple[Part, ...]

    @property
    def spots(self) -> tuple[Spot, ...]:
        """Every step, in file order."""
        return tuple(spot for part in self.parts for spot in part.spots)

    @property
    def ends(self) -> tuple[str, ...]:
        """The ends that a way leads to, `done` first."""
        reached = {way.to for spot in self.spots for way in (*spot.branches, spot.on)}
        return tuple(end for end in (DONE, "stop") if end in reached)


def chart_of(procedure: Procedure, language: str = "en") -> Chart:
    """The chart of a procedure; texts in `language`, else in the first there is."""
    maker = _Maker(procedure, language)
    return Chart(
        id=procedure.id,
        title=maker.tell.words(procedure.title),
        revision=procedure.revision,
        parts=tuple(map(maker.part, procedure.stages)),
    )


class _Maker:
    def __init__(self, procedure: Procedure, language: str) -> None:
        self.tell = Teller(procedure, language)
        self._next = next_of(procedure)
        self._rank = {name: number for number, name in enumerate(self._next)}

    def part(self, stage: Stage) -> Part:
        spots = tuple(map(self._spot, stage.steps))
        return Part(stage.id, self.tell.words(stage.title), spots, stage.new_plate_from)

    def _spot(self, step: Step) -> Spot:
        on = self._way(step.id, self._next[step.id], "")
        return Spot(
            id=step.id,
            kind=kind_of(step),
            signal=step.hazard.signal if step.hazard is not None else "",
            says=self.tell.act(step),
            task=self.tell.task(step),
            aside=step.aside,
            branches=tuple(self._way(step.id, go.to, self.tell.when(go.when)) for go in step.go),
            on=on,
            straight=step.then is None and not step.aside,
        )

    def _way(self, source: str, target: str, when: str) -> Way:
        back = target not in ENDS and self._rank[target] <= self._rank[source]
        return Way(target, when, back)
