"""The parts of a procedure file: what each is called in messages, which keys it has, how they are written.

A pattern is a path with `*` for any key or any entry of a list: `stages.*.steps.*.wait`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trainer.procedure import model
from trainer.procedure.building import Node
from trainer.procedure.parts import Part, fields_of
from trainer.procedure.problems import Path

_STEP = "stages.*.steps.*"


@dataclass(frozen=True, slots=True)
class Level:
    """`called`: for messages, with its article. `part`: the record that says which keys it has."""

    called: str
    part: type[Part]


LEVELS: Mapping[str, Level] = {
    "": Level("the procedure", model.Procedure),
    "settings.*": Level("a setting", model.Setting),
    "supplies.*": Level("a supply", model.Supply),
    "ready": Level("`ready`", model.Ready),
    "stages.*": Level("a stage", model.Stage),
    _STEP: Level("a step", model.Step),
    f"{_STEP}.hazard": Level("`hazard`", model.Hazard),
    f"{_STEP}.wait": Level("`wait`", model.Wait),
    f"{_STEP}.reading": Level("`reading`", model.Reading),
    f"{_STEP}.judge": Level("`judge`", model.Judge),
    f"{_STEP}.quiz": Level("`quiz`", model.Quiz),
    f"{_STEP}.quiz.number": Level("`number`", model.NumberAnswer),
    f"{_STEP}.work_out": Level("`work_out`", model.WorkOut),
    f"{_STEP}.offer_setting": Level("`offer_setting`", model.OfferSetting),
    f"{_STEP}.sign_off": Level("`sign_off`", model.SignOff),
    f"{_STEP}.go.*": Level("a `go`", model.Go),
}

TEXTS = (
    *("title", "summary", "cautions.*", "skills.*", "settings.*.label", "supplies.*.item", "stages.*.title"),
    *(f"{_STEP}.{tail}" for tail in ("do", "why", "key_points.*", "hazard.harm", "hazard.avoid.*")),
    *(f"{_STEP}.{tail}" for tail in ("reading.miss", "judge.ask", "judge.answers.*", "work_out.show")),
    *(f"{_STEP}.quiz.{tail}" for tail in ("ask", "because", "choice.*", "choices.*", "order.*")),
)
"""Where the texts are that people read."""

_EXAMPLES = {
    "format": "format: 1",
    "id": "id: draw-down",
    "title": "title: Vacuum",
    "revision": "revision: 1",
    "summary": "summary: One plate from one film, developed by hand.",
    "settings": "settings: {exposure: {value: 24, unit: units, between: [5, 80], label: Exposure}}",
    "supplies": "supplies: [{item: plate, amount: 1, unit: each, per: plate}]",
    "ready": "ready: {solo_runs: 3, within: 60 days}",
    "refresh_after": "refresh_after: 180 days",
    "skills": "skills: {contact: Gets film and plate into contact all over}",
    "cautions": "cautions: [The safety data sheet comes before this file.]",
    "stages": "stages: [{id: vacuum, title: Vacuum, steps: [{id: draw-down, do: Start the pump.}]}]",
    "steps": "steps: [{id: draw-down, do: Start the pump.}]",
    "new_plate_from": "new_plate_from: take-plate",
    "value": "value: 24",
    "unit": "unit: inHg",
    "between": "between: [5, 80]",
    "label": "label: Exposure",
    "item": "item: developer",
    "amount": "amount: 75",
    "per": "per: plate",
    "solo_runs": "solo_runs: 3",
    "within": "within: 1",
    "hazards": "hazards: all",
    "plate": "plate: passes",
    "do": "do: Close the glass and start the pump.",
    "key_points": "key_points: [Frame locked, Watch the rings spread]",
    "why": "why: Any gap lets light creep under the film edge.",
    "skill": "skill: contact",
    "picture": "picture: frame-closed",
    "aside": "aside: true",
    "hazard": "hazard: {signal: warning, harm: The frame can crush fingers., avoid: [Both hands on the rim], "
    "covers: [draw-down]}",
    "signal": "signal: warning",
    "harm": "harm: The frame can crush fingers.",
    "avoid": "avoid: [Both hands on the rim]",
    "covers": "covers: [draw-down]",
    "always": "always: true",
    "wait": "wait: {for: 45 s}",
    "for": "for: 45 s",
    "at_least": "at_least: 30 s",
    "at_most": "at_most: 90 s",
    "dose": "dose: settings.exposure",
    "reading": "reading: {name: vacuum, unit: inHg, plausible: [0, 30], right: 22}",
    "name": "name: vacuum",
    "plausible": "plausible: [0, 30]",
    "ok": "ok: readings.vacuum >= settings.vacuum_floor",
    "right": "right: a",
    "miss": "miss: The frame leaks. Wait, then read again.",
    "keeps": "keeps: run",
    "judge": "judge: {name: side, ask: Which side is up?, answers: {coated: The coloured one, bare: The bare "
    "one}, right: coated}",
    "ask": "ask: Which side is up?",
    "answers": "answers: {clean: Clean metal, tinted: A tint is left}",
    "artwork": "artwork: tide-table-card",
    "seen": "seen: {tinted: plate.background > 2}",
    "quiz": "quiz: {name: why_units, ask: Why units?, choice: {a: The dose counts, b: Custom}, right: a, "
    "because: The lamp gives its dose slower when it is cold.}",
    "choice": "choice: {a: The dose counts, b: It is custom}",
    "choices": "choices: {tape: Tape, film: A film edge, rings: Rings in the glass}",
    "order": "order: {plate: Plate, film: Film, mask: Mask}",
    "number": "number: {unit: units, within: 1}",
    "because": "because: The lamp gives its dose slower when it is cold.",
    "work_out": "work_out: {name: units_next, from: settings.exposure * 2, unit: units, show: Doubled.}",
    "from": "from: worked.units_next",
    "show": "show: Two steps of the wedge double the exposure.",
    "offer_setting": "offer_setting: {setting: exposure, from: worked.units_next}",
    "setting": "setting: exposure",
    "sign_off": "sign_off: {of: last-look}",
    "of": "of: last-look",
    "bench": "bench: {pump: on}",
    "go": "go: [{when: readings.vacuum < 20, to: find-leak}]",
    "when": "when: readings.vacuum < settings.vacuum_floor",
    "to": "to: find-leak",
    "then": "then: draw-down",
}
_EXAMPLES_AT = {
    ("", "title"): "title: Negative-working plate",
    ("", "id"): "id: negative-plate",
    ("stages.*", "id"): "id: vacuum",
    ("ready", "within"): "within: 60 days",
    (f"{_STEP}.reading", "right"): "right: 22",
    (f"{_STEP}.judge", "right"): "right: coated",
    (f"{_STEP}.judge", "name"): "name: side",
    (f"{_STEP}.quiz", "name"): "name: why_units",
    (f"{_STEP}.work_out", "name"): "name: units_next",
    (f"{_STEP}.work_out", "unit"): "unit: units",
    (f"{_STEP}.quiz.number", "unit"): "unit: units",
    (f"{_STEP}.work_out", "from"): "from: settings.exposure * 2",
    ("settings.*", "unit"): "unit: units",
    ("supplies.*", "unit"): "unit: mL",
}

_MEANT = {
    "act": "do",
    "action": "do",
    "instruction": "do",
    "text": "do",
    "points": "key_points",
    "reason": "why",
    "question": "ask",
    "options": "choice",
    "multiple": "choices",
    "sequence": "order",
    "explanation": "because",
    "explain": "because",
    "answer": "right",
    "correct": "right",
    "timer": "wait",
    "duration": "for",
    "time": "for",
    "seconds": "for",
    "min": "at_least",
    "max": "at_most",
    "image": "picture",
    "photo": "picture",
    "drawing": "picture",
    "next": "then",
    "goto": "to",
    "if": "when",
    "condition": "when",
    "warning": "hazard",
    "danger": "hazard",
    "caution": "hazard",
    "range": "between",
    "limits": "between",
    "default": "value",
    "version": "revision",
    "description": "summary",
    "formula": "from",
    "quantity": "amount",
    "optional": "aside",
}
"""Words that people write for a key, and the key."""
_MEANT_IN: Mapping[type[Part], Mapping[str, str]] = {
    model.Quiz: {"answers": "choice"},
    model.Judge: dict.fromkeys(("choice", "choices", "options", "order"), "answers"),
    model.Supply: {"name": "item", "quantity": "amount"},
}
"""The same where a part has a word of its own for it."""


def pattern_of(path: Path) -> str:
    """The pattern of the part of a file that `path` leads to."""
    words: list[str] = []
    for step in path:
        open_keys = ".".join(words) in {"settings", "skills"} or words[-1:] in (
            ["answers"],
            ["choice"],
            ["choices"],
            ["order"],
            ["seen"],
            ["bench"],
        )
        words.append("*" if isinstance(step, int) or open_keys else step)
    return ".".join(words)


def example(path: Path) -> str:
    """How the key at the end of `path` is written."""
    key = str(path[-1])
    return _EXAMPLES_AT.get((pattern_of(path[:-1]), key)) or _EXAMPLES.get(key, f"{key}: ...")


def meant(key: str, part: type[Part]) -> str | None:
    """The key that people mean who write `key` in a part."""
    return _MEANT_IN.get(part, {}).get(key.lower()) or _MEANT.get(key.lower())


def homes(key: str) -> tuple[str, ...]:
    """What the parts are called that do have a key of this name."""
    return tuple(level.called for level in LEVELS.values() if key in fields_of(level.part))


def called(part: type[Part]) -> str:
    """What a part is called in messages."""
    return next(level.called for level in LEVELS.values() if level.part is part)


def matching(root: Node, pattern: str) -> Iterator[tuple[Path, Node]]:
    """Every path of the file that fits `pattern`, and its value."""
    found: list[tuple[Path, Node]] = [((), root)]
    for word in pattern.split(".") if pattern else ():
        if word == "*":
            found = [((*path, step), child) for path, value in found for step, child in children(value)]
        else:
            found = [
                ((*path, word), value[word])
                for path, value in found
                if isinstance(value, dict) and word in value
            ]
    yield from found


def children(value: Node) -> Iterator[tuple[str | int, Node]]:
    """The entries of a list with their numbers, the values of a mapping with their keys; else nothing."""
    if isinstance(value, list):
        yield from enumerate(value)
    elif isinstance(value, dict):
        yield from value.items()
