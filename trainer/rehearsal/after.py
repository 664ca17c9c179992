"""After a rehearsal: what the plate shows, which act made it so, what to do next time.

The proof is the plate made again with that one act put right: what is not seen any more was its doing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING, Final

from trainer.bench.apparatus import Plate
from trainer.bench.faults import CATALOGUE, CLASSES, members
from trainer.procedure.plan import Plan
from trainer.procedure.text import in_language, one_line
from trainer.rehearsal import retold
from trainer.rehearsal.after_acts import Act, acts_not_right
from trainer.rehearsal.after_again import Again
from trainer.rehearsal.after_faults import act_words, fault_of
from trainer.rehearsal.after_proof import Look, Proof, Prover
from trainer.rehearsal.bench_measures import Measuring
from trainer.run.events import BenchReady, BenchSet, Event, PlateSpoiled, RunClosed, RunOpened
from trainer.run.fault_events import FaultFound
from trainer.tongue import spoken

if TYPE_CHECKING:
    from trainer.rehearsal.rehearsal import Rehearsal

MOST_LINES: Final = 8
_MOST_CAUSES: Final = 3
_MOST_PLATES: Final = 3
"""So many plates of a rehearsal are looked into, the last ones."""
_UNITS: Final = 24.0
_LAMP: Final = ("lamp_warm", "lamp_hours")
_TIMED: Final = ("counter", "timer")
_IN_HAND: Final[Mapping[str, str]] = {
    "film_wrong": "film",
    "film_damper": "film",
    "film_warmer": "film",
    "plate_warmer": "film",
    "plate_scratches": "plate_side",
    "developer_used": "developer",
}
"""The control of the step at which a person first has that in hand which was wrong with the day."""


@dataclass(frozen=True, slots=True)
class After:
    """What came of a plate, in plain lines, the most important first; all empty for a good plate.

    causes: what was done. signs: what is seen, and the act that made it so (empty: the act before).
    next_time: what to do. At most eight lines in all.
    """

    causes: tuple[str, ...] = ()
    signs: tuple[tuple[str, str], ...] = ()
    next_time: tuple[str, ...] = ()

    @property
    def found(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """The lines under their headings."""
        shows = tuple(f"{sign} ({act})" if act else sign for sign, act in self.signs)
        parts = (
            (spoken("What made it so"), self.causes),
            (spoken("What shows it"), shows),
            (spoken("Next time"), self.next_time),
        )
        return tuple((heading, lines) for heading, lines in parts if lines)

    @property
    def lines(self) -> tuple[str, ...]:
        """The same as lines of text."""
        return tuple(
            line for heading, lines in self.found for line in (f"{heading}:", *(f"  {one}" for one in lines))
        )


@dataclass(frozen=True, slots=True)
class Found:
    """What was found out about one plate: the look at it, and its proven faults."""

    look: Look
    faults: tuple[FaultFound, ...]


def after(rehearsal: Rehearsal, events: Sequence[Event]) -> After:
    """What came of the last plate of a rehearsal. `events`: all of it. Nothing is recorded."""
    found = found_out(rehearsal, events)
    plan = rehearsal.run.plan
    return After() if found is None else in_words(found, plan, _language(events))


def told(
    rehearsal: Rehearsal, events: Sequence[Event], first: Callable[[After], None] | None = None
) -> After:
    """The same; the faults, of plates given up too, go into the record, once. Raises Trouble.

    It takes a second or two for each plate. first: told of the last plate as soon as that is known.
    """
    found: list[Found] = []
    for one in islice(_each(rehearsal, events), _MOST_PLATES):
        found.append(one)
        if first is not None and len(found) == 1:
            first(in_words(one, rehearsal.run.plan, _language(events)))
    kept = {one.body.plate for one in events if isinstance(one.body, FaultFound)}
    fresh = [fault for one in reversed(found) for fault in one.faults if fault.plate not in kept]
    if fresh:
        rehearsal.run.add_found(fresh)
    return in_words(found[0], rehearsal.run.plan, _language(events)) if found else After()


def found_out(rehearsal: Rehearsal, events: Sequence[Event]) -> Found | None:
    """The last plate that was worked at, and which acts made it so; None where there is none."""
    return next(_each(rehearsal, events), None)


def _each(rehearsal: Rehearsal, events: Sequence[Event]) -> Iterator[Found]:
    """What is found out about each plate that was worked at, the last first."""
    for until in _plates(events):
        again = Again(rehearsal.kit, _ready(events), Measuring(rehearsal.kit, rehearsal.wanted), until)
        if again.kit.image and _worked_at(again.at_the_end().plate):
            found = _found_out(rehearsal, again)
            if found is not None:
                yield found


def _worked_at(plate: Plate) -> bool:
    return bool(plate.burns or plate.treatments or plate.pool)


def _found_out(rehearsal: Rehearsal, again: Again) -> Found | None:
    prover = Prover(again, rehearsal.run.state.settings.get("exposure", _UNITS))
    look, plan = prover.look(), rehearsal.run.plan
    if look is None or look.good:
        return None if look is None else Found(look, ())
    acts = acts_not_right(plan, again.events, again.standing())
    proofs = prover.proofs(tuple(_candidates(acts)))
    return Found(look, tuple(_faults(proofs, look, plan, again)))


def in_words(found: Found, plan: Plan, language: str = "en") -> After:
    """What was found out, in at most eight short lines."""
    if found.look.good:
        return After()
    faults = found.faults[:_MOST_CAUSES]
    if not faults:
        return _from_the_plate(found.look)
    causes = tuple(_cause(fault, plan, language) for fault in faults)
    named = [CATALOGUE[one.fault] for one in faults if one.fault]
    remedies = tuple(dict.fromkeys(spoken(one.remedy) for one in named))
    cautions = tuple(dict.fromkeys(spoken(one.caution) for one in named))
    next_time = (*remedies[:2], *[caution for caution in cautions if caution][:1])
    signs = [
        (retold.sign(sign), "" if nth else _where(fault, plan, language))
        for fault in faults
        for nth, sign in enumerate(fault.signs)
    ]
    return After(causes, tuple(signs[: MOST_LINES - len(causes) - len(next_time)]), next_time)


def _from_the_plate(look: Look) -> After:
    """Where no act could be proven: what the plate says, and nothing more."""
    classes = [CLASSES[alike] for alike in look.likely[:2]]
    causes = tuple(f"{spoken(one.title)}. {spoken(one.sentence)}" for one in classes)
    signs = tuple((retold.sign(sign.seen), "") for sign in list(look.signs.values())[:3])
    return After(causes, signs, tuple(spoken(members(one.id)[0].remedy) for one in classes))


def _cause(fault: FaultFound, plan: Plan, language: str) -> str:
    if fault.fault:
        known = CATALOGUE[fault.fault]
        return f"{spoken(known.title)}. {spoken(known.acts)}"
    return f"{_where(fault, plan, language)}."


def _where(fault: FaultFound, plan: Plan, language: str) -> str:
    """The act, as short as it is told apart: the first sentence of the step, and what was done."""
    step = plan.steps.get(fault.of)
    said = ""
    if step is not None:
        said = in_language(step.do, language) or (in_language(step.judge.ask, language) if step.judge else "")
    first = one_line(said or fault.of).split(". ")[0].rstrip(".")
    act = retold.act(fault.words)
    return f"{first}: {act}" if first else act


def _candidates(acts: Sequence[Act]) -> Iterator[tuple[Act, ...]]:
    """What to put right, each by itself. With a plain timer, what the lamp was like that day comes first."""
    timed = [act for act in acts if act.kind == "extra" and act.control in _TIMED]
    lamp = [act for act in acts if act.control in _LAMP]
    if timed:
        yield from ((act,) for act in lamp)
        units = [act for act in acts if act.control == "units"]
        yield (*timed, *units)
        rest = [act for act in acts if act not in (*timed, *lamp, *units)]
    else:
        rest = [act for act in acts if act not in lamp]
    yield from ((act,) for act in rest)


def _faults(proofs: Sequence[Proof], look: Look, plan: Plan, again: Again) -> Iterator[FaultFound]:
    """Each fault once, those of the likeliest classes first; what has no name only where nothing else has."""
    likely = look.likely
    plate = again.at_the_end().plate.number
    named = _named(proofs, again.events)
    explained = {sign.id for fault, proof in named if fault for sign in proof.gone}

    def place(one: tuple[str, Proof]) -> tuple[int, float]:
        alike = CATALOGUE[one[0]].alike if one[0] else ""
        return (likely.index(alike) if alike in likely else len(likely)), -one[1].weight

    told: set[str] = set()
    for fault, proof in sorted(named, key=place):
        if fault in told or (not fault and {sign.id for sign in proof.gone} <= explained and explained):
            continue
        told.add(fault)
        yield _fault(fault, proof, plan, plate, again.events)


def _named(proofs: Sequence[Proof], events: Sequence[Event]) -> list[tuple[str, Proof]]:
    """Each proof with its fault. A timer is one by itself only where the lamp of the day explains nothing."""
    named = [(fault_of(proof.acts[0], events), proof) for proof in proofs]
    if any(proof.acts[0].control in _LAMP for proof in proofs):
        return named
    return [(fault or _of_timer(proof), proof) for fault, proof in named]


def _of_timer(proof: Proof) -> str:
    if proof.acts[0].control not in _TIMED:
        return ""
    gone = {sign.id for sign in proof.gone}
    return "underexposed" if "wedge-low" in gone else "overexposed" if "wedge-high" in gone else ""


def _fault(fault: str, proof: Proof, plan: Plan, plate: int, events: Sequence[Event]) -> FaultFound:
    act = proof.acts[0]
    of = act.visit.step if act.visit is not None else _step_of(act, plan, events)
    step = plan.steps.get(of)
    skill = step.skill if step is not None else None
    if act.visit is None and fault and CATALOGUE[fault].skill in plan.procedure.skills:
        skill = CATALOGUE[fault].skill
    return FaultFound(
        plate=plate,
        fault=fault,
        alike=CATALOGUE[fault].alike if fault else "",
        of=of,
        skill=skill,
        words=act_words(act),
        signs=tuple(dict.fromkeys(sign.seen for sign in proof.gone)),
    )


def _step_of(act: Act, plan: Plan, events: Sequence[Event]) -> str:
    """The step of a fault of the day: where the timer was chosen, where the thing is first in hand."""
    if act.control in _LAMP:
        at = (one.step for one in events if isinstance(one.body, BenchSet) and one.body.control == "counter")
        return next(at, None) or ""
    control = _IN_HAND.get(act.control, "")
    return next((name for name, step in plan.steps.items() if control in step.bench), "")


def _plates(events: Sequence[Event]) -> Iterator[tuple[Event, ...]]:
    """The events up to the end of the last plate, up to the end of the one before it, and so on."""
    kept = [event for event in events if not isinstance(event.body, FaultFound)]
    closed = next((n for n, event in enumerate(kept) if isinstance(event.body, RunClosed)), len(kept) - 1)
    yield tuple(kept[: closed + 1])
    for place in range(closed, 0, -1):
        if isinstance(kept[place].body, PlateSpoiled):
            yield tuple(kept[:place])


def _ready(events: Sequence[Event]) -> BenchReady:
    return next(event.body for event in events if isinstance(event.body, BenchReady))


def _language(events: Sequence[Event]) -> str:
    opened = events[0].body
    return opened.language if isinstance(opened, RunOpened) else "en"


__all__ = ["After", "Found", "after", "found_out", "in_words", "told"]
