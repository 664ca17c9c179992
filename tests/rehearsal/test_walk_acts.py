"""Each act of a walk does what the guide says, on a procedure with every task once."""

from __future__ import annotations

from pathlib import Path

import pytest
from walk_kit import HEAD, PROCEDURE, found, outcome, write

from trainer.rehearsal.walk import WalkResult, run_walk

BY_HAND = """\
- accept
- points
- confirm
- confirm
- pass: 30 s
- confirm
- confirm
- pass: 25 s
- confirm
- confirm
- pass: 1 min
- confirm
- read: 18 inHg
- read: 70 kPa
- judge: bad
- confirm
- judge: fine
- answer: b
- answer: [c, a]
- answer: [c, a, b]
- answer: 15 min
- confirm
- take_setting: {by: I-1, pin: wrong}
- take_setting: {by: I-1}
- note: A remark
- sign: {by: I-1, word: passed, pin: wrong}
- sign: {by: I-1, word: passed, note: Well done}
"""


def test_every_act_by_hand(tmp_path: Path) -> None:
    """A walk written act by act gets through every task, and its record is as expected."""
    expect = """\
  at: done
  closed: done
  trainee: T-01
  plates: 1
  readings: {gauge: 70 kPa}
  worked: {units: 48 units}
  settings: {exposure: 48}
  answers: {look: fine, one: b, several: [a, c], ordered: [c, a, b], number: 15, word: passed}
  events: {hint_opened: 1, reading_taken: 2, quiz_answered: 4, sign_off_refused: 2, note_added: 1}
  marks:
    contact: {hits: 4, of: 5}
"""
    result = outcome(tmp_path, BY_HAND, expect, "guidance: cued\n")
    assert result.lines() == ()
    assert result.passed


@pytest.mark.parametrize("guidance", ["full", "cued", "solo"])
def test_right_gets_through_every_task(tmp_path: Path, guidance: str) -> None:
    """`right: to-end` does the right thing at every task, at every level of guidance."""
    expect = "  closed: done\n  readings: {gauge: 22 inHg}\n  answers: {word: passed}\n"
    expect += "  settings: {exposure: 48}\n"
    result = outcome(tmp_path, "- right: to-end\n", expect, f"guidance: {guidance}\n")
    assert result.lines() == ()


def test_the_run_is_opened_as_the_top_says(tmp_path: Path) -> None:
    """Settings and trainee of the walk hold in its run."""
    top = "trainee: T-09\nsettings: {exposure: 30}\njob: Card\ncolour: blue\nlanguage: es\n"
    result = outcome(tmp_path, "- right: to offer\n", "  trainee: T-09\n  worked: {units: 60}\n", top)
    assert result.lines() == ()


def test_a_spoiled_plate_forgets(tmp_path: Path) -> None:
    """After `spoil` the readings no longer count, and the prompt has to be accepted again."""
    acts = "- right: to look\n- spoil: scratched\n- refused: confirm\n- right: to gauge\n"
    result = outcome(tmp_path, acts, "  at: gauge\n  plates: 2\n  readings: {gauge: none}\n")
    assert result.lines() == ()


def test_a_restart_in_a_wait(tmp_path: Path) -> None:
    """A countdown goes on while the program is down; a dose asks for the integrator's own reading."""
    acts = "- right: to countdown\n- confirm\n- restart: 40 s\n- confirm\n- right: to dose\n- confirm\n"
    acts += "- restart: 40 s\n- refused: confirm\n- read: 24 units\n"
    assert outcome(tmp_path, acts, "  at: gauge\n").lines() == ()


def test_pause_hand_over_and_stop(tmp_path: Path) -> None:
    """Paused, a run takes no act but going on; handed over, another has it; stopped, it is closed."""
    acts = "- accept\n- pause\n- refused: {spoil: no}\n- resume\n- hand_over: T-02\n- stop: fire drill\n"
    result = outcome(tmp_path, acts, "  closed: stopped\n  at: stop\n  trainee: T-02\n")
    assert result.lines() == ()


def test_not_yet_leads_back(tmp_path: Path) -> None:
    """`not_yet` is kept as the answer of the sign-off, and `go` follows it."""
    acts = "- right: to signed\n- sign: {by: I-1, word: not_yet, note: Look again}\n- expect: {at: act}\n"
    assert outcome(tmp_path, acts + "- right: to-end\n", "  answers: {word: passed}\n").lines() == ()


def test_leaving_a_setting(tmp_path: Path) -> None:
    """`leave_setting` goes on without the offered value."""
    acts = "- right: to offer\n- leave_setting\n- right: to-end\n"
    assert (
        outcome(tmp_path, acts, "  settings: {exposure: 24}\n  events: {setting_changed: 0}\n").lines() == ()
    )


def test_picks_at_solo(tmp_path: Path) -> None:
    """`pick` takes a step's id, or `wrong` for one that is not right."""
    acts = "- accept\n- pick: wrong\n- pick: act\n- confirm\n- expect: {events: {next_picked: 2}}\n"
    acts += "- right: to-end\n"
    assert outcome(tmp_path, acts, "", "guidance: solo\n").lines() == ()


@pytest.mark.parametrize(
    ("acts", "expect", "wanted"),
    [
        ("- confirm\n", "", ("W10", 4, 3)),
        ("- right: 1\n- accept\n", "", ("W10", 5, 3)),
        ("- right: to gauge\n- judge: fine\n", "", ("W11", 5, 3)),
        ("- right: to look\n- judge: awful\n", "", ("W11", 5, 3)),
        ("- right: to one\n- read: 5\n", "", ("W11", 5, 3)),
        ("- right: to gauge\n- read: 5 mL\n", "", ("W10", 5, 3)),
        ("- right: to one\n- answer: z\n", "", ("W11", 5, 3)),
        ("- pick: act\n", "", ("W11", 4, 3)),
        ("- sign: {by: I-1, word: passed}\n", "", ("W10", 4, 3)),
        ("- take_setting: {by: I-1}\n", "", ("W10", 4, 3)),
        ("- leave_setting\n", "", ("W10", 4, 3)),
        ("- right: to countdown\n- confirm\n- confirm\n", "", ("W10", 6, 3)),
        ("- resume\n", "", ("W10", 4, 3)),
        ("- right: to gage\n", "", ("W06", 4, 3)),
        ("- right: to again\n", "", ("W12", 4, 3)),
        ("- right: to-end\n- right: 1\n", "", ("W13", 5, 3)),
        ("- right: to-end\n- judge: fine\n", "", ("W13", 5, 3)),
        ("- refused: accept\n", "", ("W10", 4, 3)),
        ("- expect: {at: act}\n", "", ("W14", 4, 16)),
        ("- accept\n", "  at: gauge\n", ("W14", 6, 7)),
        ("- accept\n", "  at: gage\n", ("W06", 6, 7)),
        ("- accept\n", "  closed: done\n", ("W14", 6, 11)),
        ("- accept\n", "  plates: 2\n", ("W14", 6, 11)),
        ("- accept\n", "  trainee: T-02\n", ("W14", 6, 12)),
        ("- right: to look\n", "  readings: {gauge: 23 inHg}\n", ("W14", 6, 21)),
        ("- right: to look\n", "  readings: {gauge: none}\n", ("W14", 6, 21)),
        ("- right: to look\n", "  readings: {gauge: 23 mL}\n", ("W03", 6, 21)),
        ("- accept\n", "  readings: {gauge: 23 inHg}\n", ("W14", 6, 21)),
        ("- accept\n", "  readings: {gage: 23 inHg}\n", ("W06", 6, 20)),
        ("- right: to one\n", "  answers: {look: bad}\n", ("W14", 6, 19)),
        ("- right: to ordered\n", "  answers: {several: a}\n", ("W14", 6, 22)),
        ("- right: to-end\n", "  worked: {units: 47 units}\n", ("W14", 6, 19)),
        ("- right: to-end\n", "  settings: {exposure: 24}\n", ("W14", 6, 24)),
        ("- accept\n", "  settings: {exposition: 24}\n", ("W06", 6, 26)),
        ("- accept\n", "  events: {confirmed: 1}\n", ("W14", 6, 23)),
        ("- right: to-end\n", "  marks: {contact: {hits: 1, of: 1}}\n", ("W14", 6, 20)),
        ("- accept\n", "  marks: {register: {hits: 1, of: 1}}\n", ("W06", 6, 21)),
    ],
)
def test_a_walk_that_does_not_go_as_written(
    tmp_path: Path, acts: str, expect: str, wanted: tuple[str, int, int]
) -> None:
    """The walk fails, with one finding at the act or the expectation that is not so, and what to write."""
    result = outcome(tmp_path, acts, expect)
    assert not result.passed
    assert found(result) == [wanted]
    assert result.findings[0].help


@pytest.mark.parametrize(
    ("acts", "words"),
    [
        ("- right: to gauge\n- confirm\n", "It asks for `read: 15 inHg`, a number with its unit."),
        ("- right: to look\n- confirm\n", "It asks for `judge: KEY`, one of `"),
        ("- right: to one\n- confirm\n", "It asks for `answer: KEY`, one of `"),
    ],
)
def test_the_help_has_the_steps_own_unit_and_answers(tmp_path: Path, acts: str, words: str) -> None:
    """What is written instead can be copied: the reading's unit, the keys of the answers."""
    assert words in outcome(tmp_path, acts, "").findings[0].help


def test_all_expectations_that_are_not_met_are_told(tmp_path: Path) -> None:
    """At the end every expectation is looked at, not only the first."""
    result = outcome(tmp_path, "- accept\n", "  at: look\n  plates: 2\n  closed: done\n")
    assert [finding.code for finding in result.findings] == ["W14", "W14", "W14"]


def test_a_refused_act_leaves_no_trace(tmp_path: Path) -> None:
    """What `refused` tries is not in the record."""
    result = outcome(
        tmp_path, "- refused: confirm\n- accept\n", "  events: {confirmed: 0, hazard_accepted: 1}\n"
    )
    assert result.lines() == ()


def test_a_procedure_that_goes_round_in_circles(tmp_path: Path) -> None:
    """Right acts that never lead to the end are stopped, with a sentence, and not walked for ever."""
    result = with_procedure(tmp_path, "right: fine}", "right: bad}")
    assert found(result) == [("W12", 4, 3)]
    assert "circles" in result.findings[0].help


def test_a_procedure_that_cannot_compute(tmp_path: Path) -> None:
    """A right value that divides by zero is told with the step it stands at."""
    result = with_procedure(tmp_path, "right: 22,", "right: 22 / (settings.exposure - 24),")
    assert found(result) == [("W15", 4, 3)]
    assert "`gauge`" in result.findings[0].message


def test_a_procedure_that_cannot_begin(tmp_path: Path) -> None:
    """A first step that divides by zero is told at the walk's procedure."""
    first = (
        "- id: first\n        work_out: {name: x, from: 1/(settings.exposure - 24), unit: units, show: A}\n"
    )
    result = with_procedure(tmp_path, "- id: mind-it\n", f"{first}      - id: mind-it\n")
    assert found(result) == [("W15", 2, 12)]


def with_procedure(folder: Path, old: str, new: str) -> WalkResult:
    """What comes of a right walk when the procedure says something else."""
    file = write(folder, f"{HEAD}acts:\n- right: to-end\n")
    text = PROCEDURE.read_text(encoding="utf-8")
    assert old in text
    (folder / "try-procedure.yaml").write_text(text.replace(old, new), encoding="utf-8")
    return run_walk(file)
