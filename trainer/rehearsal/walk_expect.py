"""Is it so, as the walk expects?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import TYPE_CHECKING

from trainer.procedure import units
from trainer.procedure.problems import Mistake, nearest
from trainer.procedure.quantity import Quantity
from trainer.procedure.vocabulary import MEASURES
from trainer.rehearsal.walk_model import Bound, Expected, Marks
from trainer.rehearsal.walk_trouble import Stumble
from trainer.run.scoring import score
from trainer.run.state import Kept

if TYPE_CHECKING:
    from trainer.rehearsal.walker import Walker

_NEAR = 1e-6


def look(walker: Walker, expected: tuple[Expected, ...]) -> None:
    """Raises Stumble at the first expectation that is not met."""
    for one in expected:
        check(walker, one)


def check(walker: Walker, one: Expected) -> None:
    """Raises Stumble where this is not so."""
    match one.kind:
        case "readings" | "worked" | "answers":
            _value(walker, one)
        case "settings":
            _setting(walker, one)
        case "events":
            found = Counter(event.body.kind for event in walker.events)[one.name]
            _same(one, found == one.value, f"{found} events `{one.name}`", _plain(one.value))
        case "marks":
            _marks(walker, one)
        case "plate":
            _measure(walker, one)
        case _:
            _single(walker, one)


def _single(walker: Walker, one: Expected) -> None:
    state = walker.run.state
    match one.kind:
        case "at":
            at = {"done": "done", "stopped": "stop", "": state.step}[state.closed]
            if str(one.value) not in walker.plan.steps and one.value not in ("done", "stop"):
                raise _unknown(one, str(one.value), "step", walker.plan.steps)
            _same(one, at == one.value, f"the run is at `{at}`", _plain(one.value))
        case "closed":
            said = f"the run is closed, {state.closed}" if state.closed else "the run is open"
            _same(one, state.closed == one.value, said, _plain(one.value))
        case "trainee":
            _same(one, state.trainee == one.value, f"{state.trainee} has the run", _plain(one.value))
        case "plates":
            _same(one, state.plate == one.value, f"{state.plate} plates were begun", _plain(one.value))


def _value(walker: Walker, one: Expected) -> None:
    dotted = f"{one.kind}.{one.name}"
    known = _declared(walker, one.kind)
    if one.name not in known:
        raise _unknown(one, one.name, one.kind.removesuffix("s"), known)
    taken = walker.run.state.taken(dotted)
    if taken is None or one.value is None:
        said = (
            "it was not taken, or no longer counts"
            if taken is None
            else f"it is {_shown(taken.value, taken.unit)}"
        )
        _same(one, taken is None and one.value is None, said, _plain(one.value))
        return
    _same(
        one,
        _equal(one, taken.value, taken.unit),
        f"it is {_shown(taken.value, taken.unit)}",
        _plain(one.value),
    )


def _equal(one: Expected, value: Kept, unit: str) -> bool:
    match (one.value, value):
        case (Quantity() as said, float() | int()) if not isinstance(value, bool):
            return abs(_in_unit(one, said, unit) - value) < _room(value)
        case (float() as said, float() | int()) if not isinstance(value, bool):
            return abs(said - value) < _room(value)
        case (str() as key, tuple() as keys):
            return keys == (key,)
    return one.value == value


def _room(value: float) -> float:
    """Two numbers that show the same four figures are the same number."""
    return max(_NEAR, abs(value) * 5e-4)


def _setting(walker: Walker, one: Expected) -> None:
    settings = walker.run.state.settings
    if one.name not in settings:
        raise _unknown(one, one.name, "setting", settings)
    value = settings[one.name]
    same = isinstance(one.value, float) and abs(value - one.value) < _room(value)
    _same(one, same, f"it is {units.plain(value)}", _plain(one.value))


def _measure(walker: Walker, one: Expected) -> None:
    """A measure of the plate as it stands."""
    rehearsal = walker.rehearsal
    found = None if rehearsal is None else rehearsal.measures().get(one.name)
    measure = MEASURES[one.name]
    if one.name == "number":
        found = float(walker.run.state.plate)
    if found is None or one.value is None:
        said = "there is no such measure now" if found is None else f"it is {_shown(found, measure.unit)}"
        _same(one, found is None and one.value is None, said, _plain(one.value))
        return
    said = f"it is {_shown(found, measure.unit)}"
    if isinstance(one.value, Bound):
        limit = one.value.amount
        amount = limit if isinstance(limit, float) else _in_unit(one, limit, measure.unit)
        beyond = not isinstance(found, bool | str) and (
            found > amount if one.value.word == "over" else found < amount
        )
        _same(one, beyond, said, f"{one.value.word} {units.shown(amount, measure.unit)}")
        return
    _same(one, _equal(one, found, measure.unit), said, _plain(one.value))


def _in_unit(one: Expected, said: Quantity, unit: str) -> float:
    try:
        return said.to(unit)
    except Mistake as mistake:
        raise Stumble("W03", mistake.message, mistake.help, one.path) from mistake


def _marks(walker: Walker, one: Expected) -> None:
    skills = walker.plan.procedure.skills
    if one.name not in skills:
        raise _unknown(one, one.name, "skill", skills)
    found = score(walker.events).skills.get(one.name)
    hits, attempts = (found.hits, found.attempts) if found else (0, 0)
    _same(one, one.value == Marks(hits, attempts), f"{hits} hits of {attempts}", _plain(one.value))


def _declared(walker: Walker, kind: str) -> dict[str, str]:
    """Names of readings, worked values or answers in the procedure, with their units."""
    found: dict[str, str] = {}
    for step in walker.plan.steps.values():
        if kind == "readings" and step.reading:
            found[step.reading.name] = step.reading.unit
        if kind == "worked" and step.work_out:
            found[step.work_out.name] = step.work_out.unit
        if kind == "answers":
            named = step.quiz or step.judge or step.sign_off
            if named is not None and named.name:
                found[named.name] = ""
    return found


def _same(one: Expected, so: bool, found: str, wanted: str) -> None:
    if not so:
        what = f"`{one.kind}: {one.name}`" if one.name else f"`{one.kind}`"
        raise Stumble(
            "W14",
            f"Expected {what} to be {wanted}, but {found}.",
            "Change the walk if this is right, the procedure if it is not.",
            one.path,
        )


def _unknown(one: Expected, name: str, what: str, known: Iterable[str]) -> Stumble:
    names = list(known)
    near = nearest(name, names)
    return Stumble(
        "W06",
        f"The procedure has no {what} `{name[:60]}`.",
        f"Write `{near}`, if that is meant." if near else f"Known: {', '.join(names) or 'none'}.",
        one.path,
    )


def _shown(value: Kept, unit: str) -> str:
    if isinstance(value, tuple):
        return ", ".join(value)
    if isinstance(value, float | int) and not isinstance(value, bool):
        return units.shown(value, unit)
    return str(value)


def _plain(value: object) -> str:
    match value:
        case None:
            return "none"
        case bool():
            return "true" if value else "false"
        case tuple():
            return ", ".join(str(word) for word in value)
        case Marks(hits, of):
            return f"{hits} hits of {of}"
        case float():
            return units.plain(value)
        case _:
            return str(value)
