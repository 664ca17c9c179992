"""What authors write in their first hour, and what they are told to write instead.

No source: the slips are those of people who wrote their first file by the guide; the words are our own.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer.procedure.load import load_bytes
from trainer.procedure.problems import Problem

SMALL = (Path(__file__).parent / "small.yaml").read_text(encoding="utf-8")
POINTS = "        key_points: [Slip sheet off only now, Coated side up]\n"
KEY = "        key_points:\n"
WAY = "go:\n          - {when: \"answers.side == 'bare'\", to: turn-over}"


def first_of(old: str, new: str) -> Problem:
    """What is told first of small.yaml with a change."""
    assert old in SMALL
    return load_bytes(SMALL.replace(old, new, 1).encode(), "small.yaml").problems[0]


@pytest.mark.parametrize(
    ("old", "new", "code", "help_"),
    [
        (POINTS, POINTS.replace("key_points", "keypoints"), "S01", "Write `key_points`, if that is meant"),
        (POINTS, POINTS.replace("key_points", "Key points"), "S01", "Write `key_points`: keys have small"),
        ("value: 24,", "value:24,", "S01", "Write a space after the colon: `value: 24`."),
        ("label: Exposure}", "label: Exposure, in units}", "S01", "Inside brackets a comma ends an entry."),
        (POINTS, "        key_points: Sheet off; coated up\n", "S07", "`[Sheet off, coated up]`"),
        (POINTS, f"{KEY}          Sheet off\n          Coated up\n", "S07", "Begin each of these lines"),
        (POINTS, f"{KEY}          -Sheet off\n          -Coated up\n", "S07", "the space belongs to it"),
        (WAY, "go: turn-over", "S07", "Write `then: turn-over` where it always leads there, else `go: [{"),
        ("between: [5, 80]", "between: [5-80]", "S10", "`between: [5, 80]`"),
        ("between: [5, 80]", "between: [5; 80]", "S10", "with a comma between them: `between: [5, 80]`"),
        ("answers: {coated: The coloured side, bare: The bare side}", "answers: [Coloured, Bare]", "S08",
         "`answers: {a: Coloured, b: Bare}`"),
        ("right: coated", "right: The coloured side", "S13", "the key of the right answer: `right: coated`"),
        ("right: coated", "right: The upper side", "S13", "the right answer, one of `coated`, `bare`"),
        ("picture: frame-closed", "picture: frame.png", "S12", "draw it in `pictures/frame.txt`"),
        ("wait: {for: 1 min 30 s}", "wait: {for: exposure}", "S14", "Write `for: settings.exposure`."),
        ("within: 60 days", "within: 2 months", "S14", "Write days: `60 days`."),
        ("then: draw-down", "then: [draw-down]", "S03", "One stands here: `then: draw-down`."),
        ("amount: 5, unit: mL", "amount: 5, unit: gallons", "S15", "Write `US gal`."),
    ],
)  # fmt: skip
def test_the_help_is_what_the_author_meant(old: str, new: str, code: str, help_: str) -> None:
    """Each slip is told with its code, and the help holds the author's own words put right."""
    told = first_of(old, new)
    assert told.code == code
    assert help_ in told.help


GUARD = "when: \"answers.side == 'bare'\""
BARE = f"{{{GUARD}, to: turn-over}}"
WINDOW = "`wait: {at_least: 1 min, at_most: 2 min}`"
ASK = (
    "          ask: Which side is up?\n          answers: {coated: The coloured side, bare: The bare side}\n"
)
OK = "ok: readings.vacuum >= settings.vacuum_floor"
SIDE = f"{GUARD.replace(chr(34), '')}`"


@pytest.mark.parametrize(
    ("old", "new", "code", "help_"),
    [
        (GUARD, "when: bare", "C16", "Write `answers.side == 'bare'`."),
        (GUARD, "when: \"'bare'\"", "C15", "Write `answers.side == 'bare'`."),
        (GUARD, "when: not coated", "C04", "Write `answers.side != 'coated'`."),
        (GUARD, "when: film", "C16", "Write `'film' in answers.what_leaks`."),
        (GUARD, "when: plum", "C16", "Write `'plum'` where the text is meant"),
        (GUARD, "if: bare", "S01", f"Write `{SIDE}, if that is meant"),
        (GUARD, "if: plum", "S01", "Write `when: answers.side == 'plum'`, if that is meant"),
        (GUARD, GUARD.replace("when", "if"), "S01", f"Write `{GUARD}`, if that is meant"),
        (BARE, "if bare: turn-over", "S01", "Write `{when: answers.side == 'bare', to: turn-over}`."),
        (BARE, "bare: turn-over", "S01", "Write `{when: answers.side == 'bare', to: turn-over}`."),
        (OK, "ok: 18 to 24", "C10", "Write `readings.vacuum >= 18 && readings.vacuum <= 24`."),
        (OK, "ok: 18.5-24", "C15", "Write `readings.vacuum >= 18.5 && readings.vacuum <= 24`."),
        (OK, "ok: between 18 and 24 inHg", "C10", "`readings.vacuum >= 18 && readings.vacuum <= 24`."),
        (OK, "ok: at least 20", "C10", "Write `readings.vacuum >= 20`."),
        (OK, "ok: max. 20", "C05", "Write `readings.vacuum <= 20`."),
        (OK, "ok: readings.vacuum > 20 °C", "C02", "units are not written in a formula"),
        ("wait: {for: 1 min 30 s}", "wait: at least 1 min, at most 2 min", "S08", WINDOW),
        ("wait: {for: 1 min 30 s}", "wait: 1-2 minutes", "S08", WINDOW),
        ("wait: {for: 1 min 30 s}", "wait: about 90 s", "S08", "`wait: {for: 1 min 30 s}`"),
        ("wait: {for: 1 min 30 s}", "wait: a while", "S08", "`wait: {for: 45 s}` or `wait: {at_least:"),
        ("do: Turn the plate over.", 'act: "Turn it: over"', "S01", 'Write `do: "Turn it: over"`'),
        (ASK, ASK.replace("answers", "choice"), "S01", "Write `answers: "),
        ("name: side\n          ask", "ask", "S02", "for instance `name: which_side`."),
        ("sign_off: {of: read-wedge, name: word}", "sign_off: instructor", "S08",
         "`of` is the step that is signed for."),
        ("value: 24, unit: units", "value: 24 min", "S02", "for instance `unit: min`."),
        ("settings:\n", "settings:\n  dry: 30 minutes\n", "S08",
         "`dry: {value: 30, unit: min, between: [15, 60], label: Dry}`"),
        ("wait: {for: 1 min 30 s}", "wait: settings.exposure", "S08", "`wait: {for: settings.exposure}`"),
        ("wait: {for: 1 min 30 s}", "wait: {for: settings.Exposure}", "S14", "`for: settings.exposure`."),
        ("wait: {for: 1 min 30 s}", "wait: {for: 1 to 2 min}", "S14", f"Write {WINDOW}."),
        ("then: draw-down", "then: exposure", "G01", "`exposure` is a stage. Its first step is `mind-the"),
        ("covers: [draw-down]", "covers: [exposure]", "G02", "`exposure` is a stage."),
        ("then: draw-down", "then: end", "G01", "Write `done` where the work ends."),
        ("then: draw-down", "then: next", "G01", "the work goes on at the next step by itself."),
        ("skill: contact", "skill: contact, exposure", "S13", "One skill stands here"),
        ("value: 24,", "value: 24,5,", "Y17", "Write a point, not a comma: `24.5`."),
        (POINTS, f"{KEY}        Sheet off\n        Coated up\n", "Y21", "begin it with `- `"),
        ("settings:\n", "settings:\n  sign_off: 30\n", "S08", "`sign_off: {value: 30, unit: units, "),
        ("unit: each, per: plate", "unit: each, per: print", "S09", "for each piece that is made"),
    ],
)  # fmt: skip
def test_the_help_is_in_the_words_of_the_file(old: str, new: str, code: str, help_: str) -> None:
    """What is meant is written out with the file's own names, answers, numbers and units."""
    told = first_of(old, new)
    assert told.code == code
    assert help_ in told.help


def test_answers_of_a_question_are_a_choice_with_letters() -> None:
    """A quiz has no `answers`: its list is said back as a choice, each with a letter."""
    choice = SMALL[SMALL.index("          choice:\n") : SMALL.index("          right: a\n")]
    told = first_of(choice, "          answers: [It rusts, It is custom]\n")
    assert told.help.startswith("Write `choice: {a: It rusts, b: It is custom}`")


def test_of_two_loops_that_which_says_more_is_told() -> None:
    """A reading that is asked again is no news: the loop through the other steps is told, and what to do."""
    text = SMALL.replace("        aside: true\n        do: Vacuum off", "        do: Vacuum off")
    told = load_bytes(text.encode(), "small.yaml").problems
    (loop,) = [problem for problem in told if problem.code == "G08"]
    assert "find-leak" in loop.message
    assert "Is `find-leak` done only when another step sends there?" in loop.help
    (before,) = [problem for problem in told if problem.code == "G07"]
    assert before.help == "Mend the loop that is told at `draw-down`: this goes with it."


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("revision: 2", "revision:\u00a02", "revision:", "press the space bar: `revision: 2`"),
        (POINTS, f"\u00a0\u00a0\u00a0{POINTS[3:]}", "key_points: [Slip", "press the space bar"),
        ("revision: 2", "revision :2", "revision", "the value: `revision: 2`"),
        ("\nstages:\n", "\nstages\n", "stages", "Write a colon after it: `stages:`."),
        (POINTS, f"{KEY}          - Sheet off\n      - Coated up\n", "- Coated up", "as many spaces"),
        ("\nstages:\n", "\nThe stages\nstages:\n", "The stages", "If it is a remark, begin it with `#`."),
    ],
)  # fmt: skip
def test_a_line_without_a_key_is_told_at_that_line(old: str, new: str, line: str, words: str) -> None:
    """A space that is none, a forgotten colon, an entry in the wrong place: told where it stands, as Y21."""
    told = first_of(old, new)
    rows = SMALL.replace(old, new, 1).split("\n")
    at = next(number for number, row in enumerate(rows, 1) if row.strip().startswith(line))
    assert (told.code, told.place.line) == ("Y21", at)
    assert words in told.help


def test_a_step_that_lost_its_dash_is_told_once() -> None:
    """Two steps run into one have most of their keys twice; only the second `id` is told, with the dash."""
    told = load_bytes(
        SMALL.replace("      - id: draw-down\n", "        id: draw-down\n").encode(), "small.yaml"
    )
    doubled = [problem for problem in told.problems if problem.code == "Y12"]
    assert [problem.help.split(",")[0] for problem in doubled] == ["If another entry of the list begins here"]
