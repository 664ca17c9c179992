"""Broken files, second part: changes to `small.yaml` that spoil its shape. MARK is put before the place."""

from __future__ import annotations

from typing import NamedTuple

from broken_yaml import MARK


class Change(NamedTuple):
    """`old` of small.yaml, which stands there once, is written as `new`; one problem is expected at MARK."""

    name: str
    old: str
    new: str
    code: str


_ASK_SIDE = "          ask: Which side is up?\n"
_KEYS = "answers: {coated: The coloured side, bare: The bare side}"
_HOW_MANY = (
    "quiz:\n          name: how_many_units\n"
    "          ask: The wedge reads two steps low at 20 units. How many units next?\n"
)
_NUMBER = "number: {unit: units, within: 1}"

KEYS = (
    Change("format-two", "format: 1", f"format: {MARK}2", "S09"),
    Change("format-true", "format: 1", f"format: {MARK}true", "S09"),
    Change("format-decimal", "format: 1", f"format: {MARK}1.0", "S09"),
    Change("format-text", "format: 1", f'format: {MARK}"1"', "S09"),
    Change("key-misspelt", "summary: One", f"{MARK}sumary: One", "S01"),
    Change("key-upper-case", "why: Any gap", f"{MARK}Why: Any gap", "S01"),
    Change("key-of-another-part", "do: Read the gauge.", f"do: Read.\n        {MARK}covers: [expose]", "S01"),
    Change("key-by-another-word", "why: Any gap", f"{MARK}reason: Any gap", "S01"),
    Change("key-with-a-hyphen", "key_points: [Slip", f"{MARK}key-points: [Slip", "S01"),
    Change("key-nobody-knows", "why: Any gap", f"{MARK}colour: red\n        why: Any gap", "S01"),
    Change("task-misspelt", "        sign_off: {of", f"        {MARK}signoff: {{of", "S01"),
    Change("key-of-a-setting", "{value: 24, unit", f"{{{MARK}vaule: 24, unit", "S01"),
    Change(
        "revision-missing",
        "format: 1\nid: small\ntitle: {en: A small plate, es: Una plancha pequeña}\nrevision: 2\n",
        f"{MARK}format: 1\nid: small\ntitle: {{en: A small plate, es: Una plancha pequeña}}\n",
        "S02",
    ),
    Change(
        "between-missing",
        "exposure: {value: 24, unit: units, between: [5, 80],",
        f"{MARK}exposure: {{value: 24, unit: units,",
        "S02",
    ),
    Change(
        "ask-missing",
        f"judge:\n          name: side\n{_ASK_SIDE}",
        f"{MARK}judge:\n          name: side\n",
        "S02",
    ),
    Change(
        "key-without-value",
        "why: Any gap lets light creep under the film edge and thicken the image.",
        f"{MARK}why:",
        "S32",
    ),
    Change("text-behind-a-hash", "why: Room light fogs the coating.", f"{MARK}why: # Room light", "S32"),
    Change("null-written", "why: Room light fogs the coating.", f"{MARK}why: null", "S32"),
    Change("entry-without-value", "- Frame locked", f"-{MARK}", "S32"),
)

TYPES = (
    Change("number-for-a-text", "why: Room light fogs the coating.", f"why: {MARK}42", "S03"),
    Change("truth-for-a-text", "why: Room light fogs the coating.", f"why: {MARK}true", "S03"),
    Change("list-for-a-text", "why: Room light fogs the coating.", f"why: {MARK}[a, b]", "S03"),
    Change("number-in-a-language", "{en: A small plate,", f"{{en: {MARK}3,", "S03"),
    Change("formula-as-truth", "ok: readings.vacuum >= settings.vacuum_floor", f"ok: {MARK}true", "S03"),
    Change("list-as-a-control", "bench: {pump: on}", f"bench: {{pump: {MARK}[on]}}", "S03"),
    Change("text-for-a-number", "value: 24,", f"value: {MARK}no,", "S04"),
    Change("clock-for-a-number", "value: 24,", f"value: {MARK}1:30,", "S04"),
    Change("zero-in-front", "value: 24,", f"value: {MARK}010,", "S04"),
    Change("number-with-a-unit", "value: 24,", f"value: {MARK}24 units,", "S04"),
    Change("number-in-quotes", "value: 24,", f'value: {MARK}"24",', "S04"),
    Change("underscore", "value: 24,", f"value: {MARK}2_4,", "S04"),
    Change("exponent", "value: 24,", f"value: {MARK}2e1,", "S04"),
    Change("no-number", "value: 24,", f"value: {MARK}.nan,", "S04"),
    Change("endless", "value: 24,", f"value: {MARK}.inf,", "S04"),
    Change("hexadecimal", "value: 24,", f"value: {MARK}0x18,", "S04"),
    Change("too-many-digits", "value: 24,", f"value: {MARK}{'9' * 400},", "S04"),
    Change("truth-for-a-number", "value: 24,", f"value: {MARK}true,", "S04"),
    Change("text-in-limits", "between: [5, 80]", f"between: [{MARK}five, 80]", "S04"),
    Change("decimal-revision", "revision: 2", f"revision: {MARK}2.0", "S05"),
    Change("revision-in-quotes", "revision: 2", f'revision: {MARK}"2"', "S05"),
    Change("revision-as-truth", "revision: 2", f"revision: {MARK}true", "S05"),
    Change("yes-for-true", "always: true", f"always: {MARK}yes", "S06"),
    Change("no-for-false", "always: true", f"always: {MARK}no", "S06"),
    Change("capital-true", "always: true", f"always: {MARK}True", "S06"),
    Change("one-for-true", "always: true", f"always: {MARK}1", "S06"),
    Change(
        "text-for-a-list",
        "key_points: [Slip sheet off only now, Coated side up]",
        f"key_points: {MARK}Coated side up",
        "S07",
    ),
    Change("keys-for-a-list", "covers: [draw-down]", f"covers: {MARK}{{draw-down: yes}}", "S07"),
    Change("word-for-limits", "between: [5, 80]", f"between: {MARK}5 to 80", "S07"),
    Change("wait-as-text", "wait: {for: 1 min 30 s}", f"wait: {MARK}45 s", "S08"),
    Change(
        "sign-off-as-text", "sign_off: {of: read-wedge, name: word}", f"sign_off: {MARK}read-wedge", "S08"
    ),
    Change(
        "setting-as-number",
        "exposure: {value: 24, unit: units, between: [5, 80], label: Exposure}",
        f"exposure: {MARK}24",
        "S08",
    ),
    Change(
        "step-as-text",
        "      - id: let-it-draw\n        wait: {for: 1 min 30 s}",
        f"      - {MARK}wait a little",
        "S08",
    ),
    Change("answers-as-list", _KEYS, f"answers: {MARK}[coated, bare]", "S08"),
    Change("signal-upper-case", "signal: danger", f"signal: {MARK}DANGER", "S09"),
    Change("signal-unknown", "signal: danger", f"signal: {MARK}notice", "S09"),
    Change(
        "keeps-plate",
        "          keeps: run\n      - id: correct",
        f"          keeps: {MARK}plate\n      - id: correct",
        "S09",
    ),
    Change("per-job", "per: plate", f"per: {MARK}job", "S09"),
    Change("one-limit", "between: [5, 80]", f"between: {MARK}[5]", "S10"),
    Change("three-limits", "between: [5, 80]", f"between: {MARK}[5, 6, 80]", "S10"),
    Change("one-answer", _KEYS, f"answers: {MARK}{{coated: The coloured side}}", "S10"),
    Change("nothing-covered", "covers: [draw-down]", f"covers: {MARK}[]", "S10"),
    Change("no-solo-run", "solo_runs: 3", f"solo_runs: {MARK}0", "S11"),
    Change("revision-zero", "revision: 2", f"revision: {MARK}0", "S11"),
    Change("within-negative", "within: 1}", f"within: {MARK}-1}}", "S11"),
)

WORDS = (
    Change("id-with-capitals", "- id: take-plate\n        do", f"- id: {MARK}Take Plate\n        do", "S12"),
    Change(
        "id-with-underscores", "- id: take-plate\n        do", f"- id: {MARK}take_plate\n        do", "S12"
    ),
    Change("id-too-long", "- id: take-plate\n        do", f"- id: {MARK}{'a' * 64}\n        do", "S12"),
    Change("id-of-the-end", "- id: take-plate\n        do", f"- id: {MARK}done\n        do", "S12"),
    Change("picture-as-path", "picture: frame-closed", f"picture: {MARK}../frame", "S12"),
    Change("name-with-hyphen", "name: units_next", f"name: {MARK}units-next", "S13"),
    Change("name-reserved", "name: units_next", f"name: {MARK}loop", "S13"),
    Change("answer-key-with-space", "coated: The coloured", f"{MARK}coated side: The coloured", "S13"),
    Change("setting-with-capitals", "exposure: {value", f"{MARK}Exposure: {{value", "S13"),
    Change("wait-bare-number", "for: 1 min 30 s", f"for: {MARK}90", "S14"),
    Change("wait-clock", "for: 1 min 30 s", f"for: {MARK}1:30", "S14"),
    Change("wait-no", "for: 1 min 30 s", f"for: {MARK}no", "S14"),
    Change("wait-octal", "for: 1 min 30 s", f"for: {MARK}010", "S14"),
    Change("wait-glued", "for: 1 min 30 s", f"for: {MARK}90s", "S14"),
    Change("wait-comma", "for: 1 min 30 s", f'for: {MARK}"1,5 min"', "S14"),
    Change("wait-words", "for: 1 min 30 s", f"for: {MARK}90 seconds", "S14"),
    Change("wait-backwards", "for: 1 min 30 s", f"for: {MARK}30 s 1 min", "S14"),
    Change("wait-span", "for: 1 min 30 s", f"for: {MARK}30-90 s", "S14"),
    Change("wait-fraction", "for: 1 min 30 s", f"for: {MARK}1/2 min", "S14"),
    Change("wait-soon", "for: 1 min 30 s", f"for: {MARK}a moment", "S14"),
    Change("wait-of-a-reading", "dose: settings.exposure", f"dose: {MARK}readings.vacuum", "S14"),
    Change("days-bare", "refresh_after: 180 days", f"refresh_after: {MARK}180", "S14"),
    Change("unit-unknown", "unit: inHg\n", f"unit: {MARK}pounds of air\n", "S15"),
    Change("unit-upper-case", "unit: inHg\n", f"unit: {MARK}INHG\n", "S15"),
    Change("unit-by-another-word", "amount: 5, unit: mL", f"amount: 5, unit: {MARK}millilitres", "S15"),
    Change("days-in-millilitres", "refresh_after: 180 days", f"refresh_after: {MARK}180 mL", "S16"),
    Change("countdown-in-units", "for: 1 min 30 s", f"for: {MARK}24 units", "S16"),
    Change("dose-in-seconds", "dose: settings.exposure", f"dose: {MARK}24 s", "S16"),
    Change("language-unknown", "{en: A small plate,", f"{{{MARK}english: A small plate,", "S27"),
    Change(
        "colon-in-an-entry",
        "[Lamp side closed before the start]",
        f"\n            - {MARK}Lamp: closed",
        "S27",
    ),
    Change("language-in-two-words", "{en: A small plate,", f"{{{MARK}eng lish: A small plate,", "S27"),
    Change("name-in-braces", "do: Take one plate by its edges.", f"do: {{{MARK}name: x}}", "S27"),
    Change("empty-text", "do: Take one plate by its edges.", f'do: {MARK}""', "S28"),
    Change("blank-text", "do: Take one plate by its edges.", f'do: {MARK}"  "', "S28"),
    Change("no-language", "do: Take one plate by its edges.", f"do: {MARK}{{}}", "S28"),
)

PARTS = (
    Change("answers-alike", "bare: The bare side}", f"bare: {MARK}the  coloured side.}}", "S35"),
    Change(
        "two-tasks",
        "wait: {for: 1 min 30 s}",
        f"wait: {{for: 45 s}}\n        {MARK}sign_off: {{of: take-plate}}",
        "S17",
    ),
    Change(
        "nothing-to-do",
        "- id: turn-over\n        aside: true\n        do: Turn the plate over.",
        f"- {MARK}id: turn-over\n        aside: true",
        "S18",
    ),
    Change("quiz-of-two-kinds", _NUMBER, f"{_NUMBER}\n          {MARK}choice: {{a: One, b: Two}}", "S19"),
    Change(
        "quiz-of-no-kind",
        f"{_HOW_MANY}          {_NUMBER}\n",
        _HOW_MANY.replace("quiz", f"{MARK}quiz"),
        "S19",
    ),
    Change("choice-of-no-answer", "right: a\n", f"right: {MARK}d\n", "S20"),
    Change("choice-of-a-list", "right: a\n", f"right: {MARK}[a]\n", "S20"),
    Change("choice-of-a-number", "right: a\n", f"right: {MARK}1\n", "S20"),
    Change("choices-of-one", "right: [tape, film]", f"right: {MARK}tape", "S20"),
    Change("choices-of-none", "right: [tape, film]", f"right: {MARK}[]", "S20"),
    Change("choices-twice", "right: [tape, film]", f"right: {MARK}[tape, tape]", "S20"),
    Change("choices-unknown", "right: [tape, film]", f"right: {MARK}[tape, glass]", "S20"),
    Change("order-too-short", "right: [plate, film, mask]", f"right: {MARK}[plate, film]", "S20"),
    Change("order-of-a-key", "right: [plate, film, mask]", f"right: {MARK}plate", "S20"),
    Change("number-of-a-key", "right: 40", f"right: {MARK}a", "S20"),
    Change("right-of-keys", "right: 40", f"right: {MARK}{{a: 40}}", "S20"),
    Change("right-of-truth", "right: 40", f"right: {MARK}true", "S20"),
    Change("judge-of-no-answer", "right: coated", f"right: {MARK}clean", "S21"),
    Change(
        "wait-of-two-forms", "wait: {for: 1 min 30 s}", f"wait: {{for: 45 s, {MARK}dose: 24 units}}", "S22"
    ),
    Change("wait-of-no-form", "wait: {for: 1 min 30 s}", f"{MARK}wait: {{}}", "S22"),
    Change("limits-turned", "between: [15, 28]", f"between: {MARK}[28, 15]", "S23"),
    Change("limits-the-same", "plausible: [0, 30]", f"plausible: {MARK}[30, 30]", "S23"),
    Change("value-outside", "value: 24,", f"value: {MARK}100,", "S24"),
    Change("right-implausible", "right: 22", f"right: {MARK}31", "S24"),
    Change("id-not-the-file", "id: small\n", f"id: {MARK}large\n", "S25"),
    Change("step-twice", "- id: offer\n", f"- id: {MARK}expose\n", "S26"),
    Change("stage-twice", "- id: look\n", f"- id: {MARK}vacuum\n", "S26"),
    Change("supply-of-nothing", "amount: 5", f"amount: {MARK}0", "S29"),
    Change("wait-for-nothing", "for: 1 min 30 s", f"for: {MARK}0 s", "S29"),
    Change("days-below-zero", "refresh_after: 180 days", f"refresh_after: {MARK}-180 days", "S29"),
)

WARNINGS = (
    Change("hash-in-a-text", "do: Read the gauge.", f"do: Read gauge {MARK}#2.", "Y19"),
    Change("clock-as-a-text", "do: Read the gauge.", f"do: {MARK}1:30", "Y20"),
    Change("tilde-as-a-text", "do: Read the gauge.", f"do: {MARK}~", "Y20"),
    Change("list-run-together", "do: Read the gauge.", f"do: {MARK}Read\n          - the gauge", "Y23"),
    Change("still-to-write", "do: Read the gauge.", f"do: {MARK}Say here  the last act.", "S36"),
    Change("picture-missing", "picture: frame-closed", f"picture: {MARK}no-such-drawing", "F11"),
)
