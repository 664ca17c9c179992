"""What changed within a step that both revisions have."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trainer.procedure.charts.told import KINDS, SIGNALS, Teller, flat, kind_of
from trainer.procedure.graph import next_of
from trainer.procedure.model import Hazard, Judge, Quiz, Reading, Step
from trainer.procedure.parts import fields_of
from trainer.procedure.revisions.change import Change, Group
from trainer.procedure.revisions.words import At, Both
from trainer.procedure.units import shown


def same_work(old: Step, new: Step) -> bool:
    """Whether two steps differ in nothing but their id (and where they lead)."""
    kept = [name for name in fields_of(Step) if name not in ("id", "go", "then")]
    return all(getattr(old, name) == getattr(new, name) for name in kept)


def changes_in_step(old: Step, new: Step, both: Both, names: Mapping[str, str]) -> Iterator[Change]:
    """Everything that is different within the step, whatever its place. names: old ids and new."""
    name = new.id
    yield from At("words", name, both).text("the act", old.do, new.do)
    yield from At("words", name, both).entries("key point", old.key_points, new.key_points)
    yield from At("words", name, both).text("the reason", old.why, new.why)
    was, now = kind_of(old), kind_of(new)
    if was != now:
        yield Change(
            "hazards" if "hazard" in (was, now) else "steps",
            name,
            "the task is another",
            KINDS.get(was, "only to be done"),
            KINDS.get(now, "only to be done"),
        )
    else:
        yield from _task(old, new, both)
    yield from _ways(old, new, both, names)
    yield from _unseen(old, new)


def _task(old: Step, new: Step, both: Both) -> Iterator[Change]:
    if old.hazard and new.hazard:
        yield from _hazard(old, new, both)
    elif old.wait and new.wait and old.wait != new.wait:
        yield Change("limits", new.id, "the wait", both.old.wait(old.wait), both.new.wait(new.wait))
    elif old.reading and new.reading:
        yield from _reading(new.id, old.reading, new.reading, both)
    elif old.judge and new.judge:
        yield from _judge(new.id, old.judge, new.judge, both)
    elif old.quiz and new.quiz:
        yield from _quiz(new.id, old.quiz, new.quiz, both)
    elif old.work_out and new.work_out:
        yield from At("words", new.id, both).text("the rule", old.work_out.show, new.work_out.show)
        was, now = (f"{flat(one.from_)}, in {one.unit}" for one in (old.work_out, new.work_out))
        yield from _other("limits", new.id, "the formula", was, now)
    elif old.offer_setting and new.offer_setting:
        was, now = (f"{one.setting} from {flat(one.from_)}" for one in (old.offer_setting, new.offer_setting))
        yield from _other("limits", new.id, "the offered setting", was, now)
    elif old.sign_off and new.sign_off:
        yield from _other("ways", new.id, "what is signed for", old.sign_off.of, new.sign_off.of)


def _other(group: Group, where: str, what: str, was: str, now: str) -> Iterator[Change]:
    if was != now:
        yield Change(group, where, what, was, now)


def _hazard(old: Step, new: Step, both: Both) -> Iterator[Change]:
    if old.hazard is None or new.hazard is None:
        return
    was, now, name = old.hazard, new.hazard, new.id
    yield from _other("hazards", name, "the signal word", SIGNALS[was.signal], SIGNALS[now.signal])
    yield from At("hazards", name, both).text("the harm", was.harm, now.harm)
    yield from At("hazards", name, both).entries("rule", was.avoid, now.avoid)
    yield from _other("hazards", name, "where it stands", _covers(was), _covers(now))


def _covers(hazard: Hazard) -> str:
    end = ", and before the end" if hazard.always else ""
    return f"before {', '.join(hazard.covers)}{end}"


def _reading(name: str, old: Reading, new: Reading, both: Both) -> Iterator[Change]:
    yield from _other("limits", name, "the unit", old.unit, new.unit)
    was, now = (flat(one.ok) if one.ok else "any plausible number" for one in (old, new))
    yield from _other("limits", name, "when the reading is good", was, now)
    yield from _other("limits", name, "what counts as a slip of the keys", _span(old), _span(new))
    yield from At("words", name, both).text("what is said when it is not good", old.miss, new.miss)


def _span(reading: Reading) -> str:
    least, most = (shown(float(one), reading.unit) for one in reading.plausible)
    return f"outside {least} to {most}"


def _judge(name: str, old: Judge, new: Judge, both: Both) -> Iterator[Change]:
    yield from At("words", name, both).text("what is asked", old.ask, new.ask)
    was, now = list(old.answers.values()), list(new.answers.values())
    yield from At("words", name, both).entries("answer", was, now)


def _quiz(name: str, old: Quiz, new: Quiz, both: Both) -> Iterator[Change]:
    yield from At("questions", name, both).text("the question", old.ask, new.ask)
    was, now = _options(old, both.old), _options(new, both.new)
    if old.number is None and new.number is None:
        yield from At("questions", name, both).entries("answer", list(was.values()), list(now.values()))
    yield from _other("questions", name, "the right answer", _right(old, was), _right(new, now))
    yield from At("questions", name, both).text("why it is right", old.because, new.because)


def _options(quiz: Quiz, tell: Teller) -> dict[str, str]:
    options = quiz.choice or quiz.choices or quiz.order or {}
    return {key: tell.words(words) for key, words in options.items()}


def _right(quiz: Quiz, options: Mapping[str, str]) -> str:
    if quiz.number is not None and isinstance(quiz.right, int | float):
        within = f", within {shown(float(quiz.number.within), quiz.number.unit)}"
        return shown(float(quiz.right), quiz.number.unit) + within
    keys = quiz.right if isinstance(quiz.right, tuple) else (str(quiz.right),)
    return (", then " if quiz.order else "; ").join(options.get(key, key) for key in keys)


def _ways(old: Step, new: Step, both: Both, names: Mapping[str, str]) -> Iterator[Change]:
    if old.aside != new.aside:
        said = ("on the straight way", "beside the way, reached only from another step")
        yield Change("ways", new.id, "where it stands", said[old.aside], said[new.aside])
    was = [(both.old.when(go.when), names.get(go.to, go.to)) for go in old.go]
    now = [(both.new.when(go.when), go.to) for go in new.go]
    if was != now:
        said_was, said_now = (
            "; ".join(f"if {when}: to {to}" for when, to in ways) or "straight on" for ways in (was, now)
        )
        yield Change("ways", new.id, "its ways on", said_was, said_now)
    if old.then is not None or new.then is not None:
        leads = next_of(both.old.procedure)[old.id], next_of(both.new.procedure)[new.id]
        yield from _other("ways", new.id, "where it leads", names.get(leads[0], leads[0]), leads[1])


def _unseen(old: Step, new: Step) -> Iterator[Change]:
    name = new.id
    yield from _other("words", name, "the drawing", old.picture or "none", new.picture or "none")
    yield from _other("unseen", name, "the skill", old.skill or "none", new.skill or "none")
    yield from _other("unseen", name, "what a rehearsal operates", _bench(old), _bench(new))
    yield from _other("unseen", name, "what a right run reads or answers", _expected(old), _expected(new))
    yield from _other("unseen", name, "names in formulas", _names(old), _names(new))
    yield from _other("unseen", name, "what is kept for the next plate", _keeps(old), _keeps(new))


def _bench(step: Step) -> str:
    return ", ".join(f"{control}: {flat(str(value))}" for control, value in step.bench.items()) or "nothing"


def _expected(step: Step) -> str:
    if step.reading is not None:
        return flat(str(step.reading.right))
    if step.judge is None:
        return ""
    seen = "; ".join(f"{key} where {flat(formula)}" for key, formula in step.judge.seen.items())
    return f"{step.judge.right}{f', in a rehearsal {seen}' if seen else ''}"


def _names(step: Step) -> str:
    task = step.reading or step.judge or step.quiz or step.work_out or step.sign_off
    named = [(task.name or "")] if task is not None else []
    keys = list(step.judge.answers) if step.judge else []
    return ", ".join(one for one in [*named, *keys] if one)


def _keeps(step: Step) -> str:
    task = step.reading or step.judge or step.work_out
    return "kept" if task is not None and task.keeps else "not kept"
