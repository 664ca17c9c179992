"""What a run shows, as lines of text. Pure functions of frozen values."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from trainer.procedure.units import System, in_system
from trainer.run.frozen import replace
from trainer.run.measured import unit_words
from trainer.run.view import ActName, ChoiceView, RunView
from trainer.screens import actions, words
from trainer.screens.outcome import Outcome
from trainer.tongue import counted, spoken

BELL = "\a"
_ON_SCREENS = frozenset(
    (
        "down",
        "up",
        "light",
        "unit",
        "operate",
        "control",
        "controls",
        "speed",
        "to_end",
        "plate",
        "loupe",
        "magnify",
    )
)
"""Keys that lines of text do without, or have words for."""
_NUMBER = re.compile(r"\s*([-+]?[0-9.,]+)\s*(.*?)\s*")


def say(view: RunView, *, by_hand: bool = False) -> tuple[str, ...]:
    """Everything about the moment: where, what, and the keys. Nothing in it changes as time goes by.

    by_hand: the clock of a wait starts with the hands at the bench.
    """
    return (*step_lines(view, by_hand=by_hand), keys(view))


def step_lines(view: RunView, *, by_hand: bool = False) -> tuple[str, ...]:
    """Where in the work, the act, the points, the task."""
    if view.hazard:
        return ("", _place(view), *_hazard(view))
    lines = ["", _place(view)]
    if view.notice:
        lines.append(f"! {view.notice}")
    asked = view.choice.ask if view.choice else view.quiz_question
    if view.act and not view.picking_next and view.act != asked:
        lines.append(view.act)
    if not view.points_hidden:
        lines += [f"  - {point}" for point in view.key_points]
        if view.why:
            lines.append("  " + spoken("Why: {reason}", reason=view.why))
    return (*lines, *_task(view, by_hand=by_hand))


def _place(view: RunView) -> str:
    step, plate, who, _ = words.place_words(view)
    paused = ", " + spoken("PAUSED") if view.paused else ""
    rehearsal = ", " + spoken("REHEARSAL") if view.rehearsal else ""
    return f"--- {words.stage_words(view)}, {step}, {plate}, {who}{rehearsal}{paused}"


def _hazard(view: RunView) -> tuple[str, ...]:
    hazard = view.hazard
    if hazard is None:
        return ()
    signal = words.signal_word(hazard.signal)
    return (
        f"*** {signal} *** {signal} *** {signal} ***",
        hazard.harm,
        *(f"  # {act}" for act in hazard.avoid),
    )


def _task(view: RunView, *, by_hand: bool) -> tuple[str, ...]:
    lines: list[str] = []
    if view.wait:
        lines += words.wait_sentences(
            view.wait, number_asked=view.number is not None, by_hand=by_hand, key=spoken("Enter")
        )
    if view.quiz_question and not (view.choice and view.choice.ask == view.quiz_question):
        lines.append(view.quiz_question)
    if view.number:
        lines += _number(view)
    if view.choice:
        lines += _choice(view.choice)
    lines += [*_answer(view), *_computed(view)]
    if view.sign and view.sign.bench:
        lines.append(
            spoken(
                "A rehearsal: no instructor is near. The bench judges the plate, for: {act}.",
                act=view.sign.of,
            )
        )
    elif view.sign:
        said = spoken("An instructor signs here, for: {act}.", act=view.sign.of)
        lines.append(f"{said} {view.sign.last}".rstrip())
    return tuple(line for line in lines if line)


def _number(view: RunView) -> list[str]:
    number = view.number
    if number is None:
        return []
    last = f" {number.last}." if number.last else ""
    slip = [f"! {words.verdict_word(view)}{last} {number.say}"] if number.verdict else []
    unit, *others = map(unit_words, number.units)
    return [
        *slip,
        spoken("Type the number, in {unit}.", unit=unit),
        *([spoken("Or with its unit: {units}.", units=", ".join(others))] if others else []),
    ]


def _answer(view: RunView) -> list[str]:
    answer = view.answer
    if answer is None:
        return []
    wanted = [] if answer.right else [spoken("Wanted: {answer}", answer=answer.wanted)]
    return [
        words.answer_word(answer.right),
        spoken("You said: {answer}", answer=answer.given),
        *wanted,
        answer.because,
    ]


def _computed(view: RunView) -> list[str]:
    """A value worked out, or one offered to the shop."""
    lines = []
    if view.worked:
        lines += [view.worked.rule, view.worked.working, f"= {view.worked.result}"]
    if view.offer:
        offer = view.offer
        lines.append(
            spoken(
                "A new value for the shop. {label}: now {old}, offered {new}.",
                label=offer.label,
                old=offer.old,
                new=offer.new,
            )
        )
        outside = "" if offer.fits else " " + spoken("It is outside them.")
        lines.append(spoken("Limits: {limits}.", limits=offer.limits) + outside)
    return lines


def _choice(choice: ChoiceView) -> list[str]:
    lines = [choice.ask or spoken("What comes next?")]
    if choice.several:
        lines.append(
            spoken("More than one may be right; a digit picks, the same digit takes it back, Enter answers.")
        )
    elif choice.ordered:
        lines.append(spoken("In order: one digit a line, first to last; Enter is your answer."))
    for number, option in enumerate(choice.options, 1):
        mark = (
            (f" [{option.place}]" if option.place else " [" + spoken("picked") + "]") if option.picked else ""
        )
        lines.append(f"  {number}  {option.words}{mark}")
    return lines


def acts(view: RunView) -> tuple[ActName, ...]:
    """The acts that are taken now."""
    return view.acts


def keys(view: RunView) -> str:
    """What can be typed now, in one line."""
    named = []
    for act in view.acts:
        action = next((action for action in actions.ACTIONS if action.act == act), None)
        if action is None or act == "unit":
            continue
        if act == "next":
            enter = spoken("Enter: {act}", act=words.primary_words(view))
            named.append(spoken("number: enter it") if view.number else enter)
        else:
            many = len(view.choice.options) if view.choice else 0
            shown = actions.digit_keys(many) if act == "pick" else action.shown
            named.append(f"{shown}: {spoken(action.words)}")
    return "[" + ", ".join([*named, spoken("h: help"), spoken("q: leave")]) + "]"


def ring(view: RunView, ring_name: str) -> str:
    """What is said when a wait rings."""
    if view.wait is None:
        return f"{BELL}{ring_name}"
    return f"{BELL}*** {words.wait_flag(view.wait)} *** {words.wait_sentences(view.wait)[0]}"


def as_read_off(view: RunView, system: System | None) -> RunView:
    """The run as it stands, a number asked for in the unit that instruments of that system show."""
    if view.number is None:
        return view
    return replace(view, number=replace(view.number, units=in_system(view.number.units, system)))


def number_and_unit(typed: str, units: Sequence[str]) -> tuple[str, str]:
    """`72 kPa` as its number and its unit; the first of `units` where none was typed."""
    found = _NUMBER.fullmatch(typed)
    number, unit = (found[1], found[2]) if found else (typed, "")
    return number, unit or next(iter(units), "")


def _typed(action: actions.Action) -> str:
    return spoken("Enter") if action.id == "next" else action.shown


def asks_for_help(typed: str) -> bool:
    """Is this a line that asks what can be typed?"""
    return typed.lower() in ("h", "help", spoken("help"))


def help_lines() -> list[str]:
    """What can be typed, from the registry."""
    shown = [action for action in actions.ACTIONS if action.in_run and action.id not in _ON_SCREENS]
    lines = [f"  {_typed(action):<6} {spoken(action.more)}" for action in shown]
    return [spoken("Type one of these, then Enter:"), *lines]


def outcome_lines(found: Outcome, title: str, skills: Mapping[str, str] | None = None) -> list[str]:
    """The summary of a run. skills: what each is called."""
    how = {"done": spoken("Done"), "stopped": spoken("Stopped")}.get(found.how, spoken("Still open"))
    plates = counted("{number} plate", "{number} plates", found.plates)
    if found.spoiled:
        plates += ", " + counted("{number} spoiled", "{number} spoiled", found.spoiled)
    lines = ["", f"--- {how}: {title}", f"{found.trainee}, {plates}, {found.took}"]
    if found.reason:
        lines.append(spoken("Reason: {reason}", reason=spoken(found.reason)))
    for line in found.skills:
        skill = (skills or {}).get(line.skill, line.skill) or spoken("other work")
        lines.append(
            "  " + spoken("{skill}: {hits} of {all}", skill=skill, hits=line.hits, all=line.attempts)
        )
        lines += [f"    ! {missed}" for missed in line.missed]
    lines += [spoken("Signed: {who}", who=signed) for signed in found.signed]
    trouble = [f"! {found.trouble}"] if found.trouble else []
    kept = counted(
        "Kept: {number} event, head {head}",
        "Kept: {number} events, head {head}",
        found.events,
        head=found.head,
    )
    return [*lines, kept, *trouble]
