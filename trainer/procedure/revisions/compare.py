"""What changed from one revision of a procedure to another, in the words of the trade."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from trainer.procedure.charts.told import SIGNALS, Teller
from trainer.procedure.graph import stage_of, steps_of
from trainer.procedure.model import Procedure, Setting, Step
from trainer.procedure.revisions.change import Change, Group, Revisions, in_order
from trainer.procedure.revisions.moved import moved
from trainer.procedure.revisions.step import changes_in_step, same_work
from trainer.procedure.revisions.words import At, Both
from trainer.procedure.units import shown


def compare(old: Procedure, new: Procedure, language: str = "en") -> Revisions:
    """Everything that `new` says and `old` did not, or says otherwise."""
    both = Both(Teller(old, language), Teller(new, language))
    names = _renamed(old, new)
    acts = _acts(both, names)
    found = [
        *_about(both),
        *_called(_settings(both), _labels(both)),
        *_lists(both),
        *_stages(both),
        *_steps(both, names),
        *_called(_order(both, names), acts),
    ]
    before, now = steps_of(old), steps_of(new)
    for was, name in names.items():
        found += _called(changes_in_step(before[was], now[name], both, names), acts)
    return Revisions(_named(both.old), _named(both.new), in_order(found))


def _acts(both: Both, names: Mapping[str, str]) -> dict[str, str]:
    """By the step's id, the act that both revisions say alike."""
    before, now = (steps_of(procedure) for procedure in both.procedures)
    pairs = {name: (both.old.act(before[was]), both.new.act(now[name])) for was, name in names.items()}
    return {name: was for name, (was, said) in pairs.items() if was == said}


def _labels(both: Both) -> dict[str, str]:
    """By the setting's name, the label that both revisions give it."""
    old, new = (procedure.settings for procedure in both.procedures)
    pairs = {
        name: (both.old.words(old[name].label), both.new.words(new[name].label))
        for name in old
        if name in new
    }
    return {name: was for name, (was, said) in pairs.items() if was == said}


def _called(changes: Iterable[Change], words: Mapping[str, str]) -> Iterator[Change]:
    """The changes, each with what a class knows it by."""
    return (replace(change, called=words.get(change.where, "")) for change in changes)


def _named(tell: Teller) -> str:
    return f"{tell.words(tell.procedure.title)}, revision {tell.procedure.revision}"


def _renamed(old: Procedure, new: Procedure) -> dict[str, str]:
    """Each step of the old revision that is still there, by its id then and now."""
    before, now = steps_of(old), steps_of(new)
    kept = {name: name for name in before if name in now}
    gone = [name for name in before if name not in now]
    fresh = [name for name in now if name not in before]
    for name in gone:
        other = next((one for one in fresh if same_work(before[name], now[one])), None)
        if other is not None:
            kept[name] = other
            fresh.remove(other)
    return {name: kept[name] for name in before if name in kept}


def _about(both: Both) -> Iterator[Change]:
    old, new = both.procedures
    if old.id != new.id:
        yield Change("about", "", "the id is another", old.id, new.id)
    yield from At("about", "", both).text("title", old.title, new.title)
    yield from At("about", "", both).text("summary", old.summary, new.summary)
    yield from At("hazards", "", both).entries("caution", old.cautions, new.cautions)
    for what, was, now in (
        ("who may work alone", _ready(old), _ready(new)),
        ("when it is done again", _plain(old.refresh_after), _plain(new.refresh_after)),
    ):
        if was != now:
            yield Change("about", "", what, was or "nothing said", now or "nothing said")
    if old.artwork != new.artwork:
        yield Change("unseen", "", "the artwork of a rehearsal", _plain(old.artwork), _plain(new.artwork))


def _plain(value: object) -> str:
    return "" if value is None else str(value)


def _ready(procedure: Procedure) -> str:
    ready = procedure.ready
    if ready is None:
        return ""
    parts = [f"{ready.solo_runs} runs at solo within {ready.within}"]
    parts += ["every safety prompt accepted"] if ready.hazards else []
    parts += ["the plate passes"] if ready.plate else []
    return ", ".join(parts)


def _settings(both: Both) -> Iterator[Change]:
    old, new = (procedure.settings for procedure in both.procedures)
    for name in [one for one in old if one not in new]:
        yield Change("limits", name, "setting taken out", _setting(both.old, old[name]))
    for name, setting in new.items():
        if name not in old:
            yield Change("limits", name, "new setting", new=_setting(both.new, setting))
            continue
        was = old[name]
        yield from At("words", name, both).text("label of the setting", was.label, setting.label)
        if (was.value, was.unit) != (setting.value, setting.unit):
            yield Change("limits", name, "another value", _value(was), _value(setting))
        if (was.between, was.unit) != (setting.between, setting.unit):
            yield Change("limits", name, "other limits", _limits(was), _limits(setting))


def _setting(tell: Teller, setting: Setting) -> str:
    return f"{tell.words(setting.label)}: {_value(setting)}, {_limits(setting)}"


def _value(setting: Setting) -> str:
    return shown(float(setting.value), setting.unit)


def _limits(setting: Setting) -> str:
    least, most = (shown(float(limit), setting.unit) for limit in setting.between)
    return f"from {least} to {most}"


def _lists(both: Both) -> Iterator[Change]:
    old, new = both.procedures
    was, now = (_supplies(tell) for tell in (both.old, both.new))
    yield from _named_things("about", "supply", was, now)
    was = {name: both.old.words(words) for name, words in old.skills.items()}
    now = {name: both.new.words(words) for name, words in new.skills.items()}
    yield from _named_things("about", "skill", was, now)


def _supplies(tell: Teller) -> dict[str, str]:
    return {
        tell.words(one.item): f"{shown(float(one.amount), one.unit)} for every {one.per}"
        for one in tell.procedure.supplies
    }


def _named_things(
    group: Group, what: str, old: Mapping[str, str], new: Mapping[str, str]
) -> Iterator[Change]:
    for name in old:
        if name not in new:
            yield Change(group, name, f"{what} taken out", old[name])
    for name, said in new.items():
        if name not in old:
            yield Change(group, name, f"new {what}", new=said)
        elif old[name] != said:
            yield Change(group, name, f"another {what}", old[name], said)


def _stages(both: Both) -> Iterator[Change]:
    old, new = ({stage.id: stage for stage in procedure.stages} for procedure in both.procedures)
    for name in old:
        if name not in new:
            yield Change("steps", name, "stage taken out", both.old.words(old[name].title))
    for name, stage in new.items():
        if name not in old:
            yield Change("steps", name, "new stage", new=both.new.words(stage.title))
            continue
        yield from At("words", name, both).text("title of the stage", old[name].title, stage.title)
        was, now = old[name].new_plate_from, stage.new_plate_from
        if was != now:
            none = "none can be spoiled here"
            yield Change("ways", name, "a spoiled plate begins anew elsewhere", was or none, now or none)
    for name in moved(list(old), list(new)):
        yield Change("moved", name, "this stage comes at another time")


def _steps(both: Both, names: Mapping[str, str]) -> Iterator[Change]:
    old, new = (steps_of(procedure) for procedure in both.procedures)
    kept = set(names.values())
    for name, step in old.items():
        if name not in names:
            yield Change(_group(step), name, _what(step, "taken out"), _act(step, both.old))
    for name, step in new.items():
        if name not in kept:
            place = _after(name, list(new), both.new)
            yield Change(_group(step), name, f"{_what(step, 'new')}, {place}", new=_act(step, both.new))
    for was, name in names.items():
        if was != name:
            yield Change("unseen", name, "the step has another id", was, name)


def _group(step: Step) -> Group:
    return "hazards" if step.hazard else "questions" if step.quiz else "steps"


def _what(step: Step, verb: str) -> str:
    what = "safety prompt" if step.hazard else "question" if step.quiz else "step"
    what = f"{what} beside the way" if step.aside else what
    return f"new {what}" if verb == "new" else f"{what} {verb}"


def _act(step: Step, tell: Teller) -> str:
    if step.hazard is None:
        return tell.act(step)
    avoid = " ".join(f"- {tell.words(one)}" for one in step.hazard.avoid)
    return f"{SIGNALS[step.hazard.signal]}: {tell.words(step.hazard.harm)} {avoid}"


def _order(both: Both, names: Mapping[str, str]) -> Iterator[Change]:
    """Steps that stand elsewhere. One that only goes along with its stage has not moved."""
    old, new = both.procedures
    was, now = stage_of(old), stage_of(new)
    for name in moved([names[one] for one in names], list(steps_of(new))):
        before = next(one for one, other in names.items() if other == name)
        alike = was[before].id == now[name].id and _place(before, was, names) == _place(name, now, {})
        if not alike:
            yield Change("moved", name, _after(name, list(now), both.new))
    lifted = set(moved([names[one] for one in names], list(steps_of(new))))
    for before, name in names.items():
        if was[before].id != now[name].id and name not in lifted:
            title = both.new.words(now[name].title)
            yield Change("moved", name, f"belongs to the stage {title} now")


def _place(name: str, stages: Mapping[str, object], names: Mapping[str, str]) -> list[str]:
    """The steps of a step's stage, by their new ids."""
    return [names.get(one, one) for one, stage in stages.items() if stage == stages[name]]


def _after(name: str, order: Sequence[str], tell: Teller) -> str:
    place = order.index(name)
    title = tell.words(stage_of(tell.procedure)[name].title)
    return f"after {order[place - 1]} (stage {title})" if place else f"the first of all (stage {title})"
