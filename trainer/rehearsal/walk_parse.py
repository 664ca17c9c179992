"""Acts and expectations of a walk file, as frozen data. What is wrong raises `Wrong`, with its place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Literal, get_args

from trainer.procedure.problems import Mistake, nearest
from trainer.procedure.quantity import Quantity, parse
from trainer.procedure.vocabulary import CONTROLS, MEASURES
from trainer.rehearsal import walk_model as model
from trainer.rehearsal.walk_spot import Spot, Wrong
from trainer.run.wire import KINDS

_WORDS = get_args(model.Word)
_NONE = "none"


def act_of(spot: Spot) -> model.Act:
    """The act that stands in one entry of `acts`."""
    if isinstance(spot.value, str):
        return _of_word(spot, spot.value)
    if not isinstance(spot.value, dict) or len(spot.value) != 1:
        raise spot.wrong(
            "W03",
            "An act is one word, or one key with its value.",
            "Write one act after each `- `, for instance `- confirm` or `- read: 21.5 inHg`.",
        )
    (key,) = spot.value
    if key not in _PARSERS:
        raise _unknown_act(spot, key)
    return _PARSERS[key](spot.inside()[key])


def expectations(spot: Spot) -> tuple[model.Expected, ...]:
    """What stands under `expect`."""
    found: list[model.Expected] = []
    for kind, part in spot.keys((*_SINGLE, *_NAMED), "What is expected").items():
        if kind in _SINGLE:
            found.append(model.Expected(kind, "", _SINGLE[kind](part), part.path))
            continue
        for name, inner in part.inside().items():
            found.append(model.Expected(kind, name, _NAMED[kind](inner), inner.path))
    return tuple(found)


def _of_word(spot: Spot, word: str) -> model.Act:
    for known in _WORDS:
        if word == known:
            return model.Press(known)
    raise _unknown_act(spot, word)


def _unknown_act(spot: Spot, word: str) -> Wrong:
    near = nearest(word, ACTS)
    if word in _PARSERS:
        return spot.wrong(
            "W03", f"`{word}` wants a value.", f"Write `- {word}: ...`, see `sinkside guide walks`."
        )
    if word in _WORDS:
        return spot.wrong("W03", f"`{word}` takes no value.", f"Write `- {word}` alone.")
    return spot.wrong(
        "W01",
        f"`{word[:40]}` is no act of a walk.",
        f"Write `{near}`, if that is meant." if near else f"Known acts: {', '.join(ACTS)}.",
        spot.tree.key((*spot.path, word)) if isinstance(spot.value, dict) else None,
    )


def _right(spot: Spot) -> model.Right:
    if isinstance(spot.value, int) and not isinstance(spot.value, bool):
        return model.Right(count=spot.whole(1))
    said = spot.text()
    if said == "to-end":
        return model.Right(to=said)
    if said.startswith("to ") and said[3:].strip():
        return model.Right(to=said[3:].strip())
    raise spot.wrong(
        "W03",
        f"`right` does not know `{said[:40]}`.",
        "Write `right: 3`, `right: to STEP` or `right: to-end`.",
    )


def _read(spot: Spot) -> model.Read:
    if isinstance(spot.value, int | float) and not isinstance(spot.value, bool):
        return model.Read(float(spot.value))
    said = spot.quantity()
    return model.Read(said.value, said.unit)


def _answer(spot: Spot) -> model.Answer:
    if isinstance(spot.value, list):
        return model.Answer(tuple(entry.text() for entry in spot.entries()))
    if isinstance(spot.value, int | float):
        return model.Answer(number=_read(spot))
    said = spot.text()
    if said[0].isdigit() or said[0] in "+-":
        return model.Answer(number=_read(spot))
    return model.Answer((said,))


def _sign(spot: Spot) -> model.Sign:
    parts = spot.keys(("by", "word", "note", "pin"), "A sign-off")
    word = _must(spot, parts, "word", "{by: I-1, word: passed}").one_of(("passed", "not_yet"))
    return model.Sign(
        by=_must(spot, parts, "by", "{by: I-1, word: passed}").text(),
        word="passed" if word == "passed" else "not_yet",
        note=parts["note"].text() if "note" in parts else "",
        pin=_pin(parts),
    )


def _take(spot: Spot) -> model.TakeSetting:
    parts = spot.keys(("by", "pin"), "Taking a setting")
    return model.TakeSetting(_must(spot, parts, "by", "{by: I-1}").text(), _pin(parts))


def _pin(parts: dict[str, Spot]) -> model.Pin:
    wrong = "pin" in parts and parts["pin"].one_of(("right", "wrong")) == "wrong"
    return "wrong" if wrong else "right"


def _must(spot: Spot, parts: dict[str, Spot], key: str, example: str) -> Spot:
    if key not in parts:
        raise spot.wrong("W02", f"`{spot.key}` has no `{key}`.", f"Write `{spot.key}: {example}`.")
    return parts[key]


def _say(act: Literal["spoil", "stop", "note", "hand_over"]) -> Callable[[Spot], model.Act]:
    def parser(spot: Spot) -> model.Act:
        return model.Say(act, spot.text())

    return parser


def _operate(spot: Spot) -> model.Operate:
    return model.Operate(tuple((name, _position(inner)) for name, inner in spot.inside().items()))


def _position(spot: Spot) -> str | float:
    """What a control is set to: one of its words, or a number in its unit or another of the kind."""
    control = CONTROLS.get(spot.key)
    if control is None:
        near = nearest(spot.key, CONTROLS)
        raise spot.wrong(
            "W01",
            f"The bench has no control called `{spot.key[:40]}`.",
            f"Write `{near}`, if that is meant." if near else f"Known: {', '.join(CONTROLS)}.",
            spot.tree.key(spot.path),
        )
    if control.options:
        return spot.one_of(control.options)
    if isinstance(spot.value, int | float) and not isinstance(spot.value, bool):
        return float(spot.value)
    try:
        return spot.quantity().to(control.unit)
    except Mistake as mistake:
        raise spot.wrong("W03", mistake.message, mistake.help) from mistake


def _measure(spot: Spot) -> bool | float | Quantity | model.Bound | None:
    """What a measure is expected to be: `true`, `6`, `6 step`, `over 2 %`, `under 0.1 mm`, `none`."""
    if spot.key not in MEASURES:
        near = nearest(spot.key, MEASURES)
        raise spot.wrong(
            "W01",
            f"The plate has no measure called `{spot.key[:40]}`.",
            f"Write `{near}`, if that is meant." if near else f"Known: {', '.join(MEASURES)}.",
            spot.tree.key(spot.path),
        )
    if isinstance(spot.value, bool):
        return spot.value
    word, _, amount = str(spot.value).partition(" ")
    if word not in ("over", "under"):
        return _measured(spot)
    bound = _measured(replace(spot, value=_number_or_text(amount)))
    if bound is None:
        raise spot.wrong("W03", f"`{word}` wants a number.", f"Write `{spot.key}: {word} 2`.")
    return model.Bound("over" if word == "over" else "under", bound)


def _number_or_text(said: str) -> float | str:
    try:
        return float(said)
    except ValueError:
        return said


_PARSERS: dict[str, Callable[[Spot], model.Act]] = {
    "right": _right,
    "pass": lambda spot: model.PassTime(spot.seconds()),
    "read": _read,
    "judge": lambda spot: model.Judge(spot.text()),
    "answer": _answer,
    "pick": lambda spot: model.Pick(spot.text()),
    "spoil": _say("spoil"),
    "sign": _sign,
    "take_setting": _take,
    "note": _say("note"),
    "restart": lambda spot: model.Restart(spot.seconds()),
    "hand_over": _say("hand_over"),
    "stop": _say("stop"),
    "refused": lambda spot: model.Refused(act_of(spot)),
    "expect": lambda spot: model.Check(expectations(spot)),
    "set": _operate,
}
"""Every act that has a value, and what reads it."""
ACTS = (*_WORDS, *_PARSERS)
"""The name of every act."""


def _measured(spot: Spot) -> Quantity | float | None:
    """A value with its unit, a bare number in the value's own, or `none`."""
    if spot.value == _NONE:
        return None
    if isinstance(spot.value, int | float) and not isinstance(spot.value, bool):
        return float(spot.value)
    try:
        return parse(spot.text())
    except Mistake as mistake:
        raise spot.wrong("W03", mistake.message, mistake.help) from mistake


def _keyed(spot: Spot) -> str | float | tuple[str, ...] | None:
    """The key of an answer, several, a number, or `none`."""
    if spot.value == _NONE:
        return None
    if isinstance(spot.value, list):
        return tuple(entry.text() for entry in spot.entries())
    if isinstance(spot.value, int | float) and not isinstance(spot.value, bool):
        return float(spot.value)
    return spot.text()


def _count(spot: Spot) -> float:
    if spot.key not in KINDS:
        near = nearest(spot.key, KINDS)
        raise spot.wrong(
            "W01",
            f"`{spot.key[:40]}` is no kind of event.",
            f"Write `{near}`, if that is meant." if near else f"Known: {', '.join(sorted(KINDS))}.",
            spot.tree.key(spot.path),
        )
    return float(spot.whole(0))


def _marks(spot: Spot) -> model.Marks:
    parts = spot.keys(("hits", "of"), "Marks")
    example = "{hits: 5, of: 6}"
    return model.Marks(
        _must(spot, parts, "hits", example).whole(0), _must(spot, parts, "of", example).whole(0)
    )


_SINGLE: dict[str, Callable[[Spot], str | float]] = {
    "at": Spot.text,
    "closed": lambda spot: spot.one_of(("done", "stopped")),
    "trainee": Spot.text,
    "plates": lambda spot: float(spot.whole(1)),
}
_Value = bool | float | str | tuple[str, ...] | Quantity | model.Marks | model.Bound | None
_NAMED: dict[str, Callable[[Spot], _Value]] = {
    "readings": _measured,
    "worked": _measured,
    "answers": _keyed,
    "settings": Spot.number,
    "events": _count,
    "marks": _marks,
    "plate": _measure,
}
EXPECTATIONS = (*_SINGLE, *_NAMED)
"""The name of every expectation."""
