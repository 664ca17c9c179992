"""A safety prompt must lie on every way to what it covers, for the first plate and for every new one."""

from __future__ import annotations

from typing import NamedTuple

from trainer.procedure.checks_subject import Subject
from trainer.procedure.graph import (
    DONE,
    Placed,
    dominators,
    on_every_way,
    reachable,
    said,
    shortest_way,
    with_new_plates,
)


class _Start(NamedTuple):
    """Where a way begins: the first step or a new plate; and the nearest dominator of all it leads to."""

    step: str
    nearest: dict[str, str]
    new_plate: bool

    def goes_round(self, hazard: str, covered: str) -> bool:
        """Can `covered` be reached past `hazard`?"""
        return covered in self.nearest and hazard not in on_every_way(self.nearest, covered)


def check_hazards(subject: Subject) -> None:
    """Every way from the first step, and from where each new plate begins, to each covered step."""
    reached = reachable(with_new_plates(subject.graph, subject.procedure), subject.first)
    starts = _starts(subject, reached)
    for one in subject.placed:
        hazard = one.step.hazard
        if hazard is None or one.step.id not in reached:
            continue
        for at, covered in enumerate(hazard.covers):
            if covered in subject.graph and covered != one.step.id:
                _check_covered(one, at, starts, subject)
        if hazard.always:
            _check_end(one, starts, subject)


def _starts(subject: Subject, reached: set[str]) -> list[_Start]:
    first = _Start(subject.first, dominators(subject.graph, subject.first), new_plate=False)
    plates = dict.fromkeys(
        stage.new_plate_from
        for stage in subject.procedure.stages
        if stage.new_plate_from in subject.graph and any(step.id in reached for step in stage.steps)
    )
    return [
        first,
        *(_Start(plate, dominators(subject.graph, plate), new_plate=True) for plate in plates if plate),
    ]


def _check_covered(one: Placed, at: int, starts: list[_Start], subject: Subject) -> None:
    """Told once: for the first plate where that has a way round, else for a new one."""
    hazard = one.step.id
    covered = one.step.hazard.covers[at] if one.step.hazard is not None else ""
    path = (*one.path, "hazard", "covers", at)
    for start in starts:
        if not start.goes_round(hazard, covered):
            continue
        way = said(shortest_way(subject.graph, start.step, covered, frozenset({hazard})) or ())
        past = f"way leads to `{covered}` past the safety prompt `{hazard}`: {way}."
        if start.new_plate:
            help_ = _before_new_plates(hazard, covered, start.step)
            subject.report.error("G13", path, f"After a spoiled plate a {past}", help_)
        else:
            order = [placed.step.id for placed in subject.placed]
            help_ = (
                f"Put `{hazard}` before `{covered}` in the file."
                if order.index(covered) < order.index(hazard)
                else f"Let that way lead over `{hazard}`, or put a safety prompt of its own on it."
            )
            subject.report.error("G11", path, f"A {past}", help_)
        return


def _before_new_plates(hazard: str, covered: str, begin: str) -> str:
    """What to write where a new plate begins behind the prompt."""
    earlier = f"et new plates begin at `{hazard}` or before it: `new_plate_from: {hazard}`."
    return f"L{earlier}" if begin == covered else f"Put `{hazard}` after `{begin}`, or l{earlier}"


def _check_end(one: Placed, starts: list[_Start], subject: Subject) -> None:
    hazard = one.step.id
    for start in starts:
        if start.goes_round(hazard, DONE):
            way = said(shortest_way(subject.graph, start.step, DONE, frozenset({hazard})) or ())
            after = "After a spoiled plate a" if start.new_plate else "A"
            subject.report.error(
                "G12",
                (*one.path, "hazard", "always"),
                f"{after} way leads to the end past the safety prompt `{hazard}`: {way}.",
                f"Let every way to `done` lead over `{hazard}`, or take `always` out.",
            )
            return
