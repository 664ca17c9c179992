"""The program on a real pseudo-terminal among hostile texts: every byte it writes is one that it means."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path

import pytest
from hostile_procedure import picture, write
from hostile_sources import LINE, NAME, TEXT, tampered
from hostile_terminal import MEANT, Terminal, got_out
from hostile_texts import MARK, MARKS, SHAPES, sequences

ROWS = "UPDATE runs SET trainee = ?, procedure = ?, job = ?, colour = ? WHERE run = 'r2'"
START = ("trainer.record.journal", "trainer.screens.start", "trainer.run.ports")
ENCODED = LINE.encode("utf-8", "replace").decode()
HOSTILE = {
    "SINKSIDE_LANG": ENCODED,
    "SINKSIDE_SHOP": f"/{NAME}/shop.yaml",
    "SINKSIDE_STATION": ENCODED,
}


def at_start(folder: Path, variables: Mapping[str, str], leaking: tuple[str, ...] = ()) -> Terminal:
    """The start screen over a record that was written into by hand: look, help, go on with a run, leave."""
    place = folder / NAME
    place.mkdir(parents=True)
    record = tampered(place, ROWS, text=ENCODED)
    given = {**variables, "SINKSIDE_RECORD": str(record), "SINKSIDE_HOME": str(place)}
    terminal = Terminal(folder, [], variables=given, leaking=leaking)
    terminal.until(lambda screen: "Begin" in screen and (bool(leaking) or MARK in screen), "the open run")
    terminal.press("\x1bOP")
    terminal.until(lambda screen: "Keys on the start screen" in screen, "the help")
    terminal.press(" ")
    terminal.until(lambda screen: "Begin" in screen, "the start screen")
    terminal.press("\r")
    terminal.until(lambda screen: "  !" in screen, "why it cannot be gone on with")
    terminal.press("\x1b[21~")
    assert terminal.ended() == 0
    return terminal


def test_hostile_rows_and_variables_reach_no_terminal(tmp_path: Path) -> None:
    """Rows of the record, its path and variables are shown as text: no sequence of theirs is written."""
    terminal = at_start(tmp_path, HOSTILE)
    assert got_out(terminal.text_written()) == []
    assert "owned" not in terminal.screen.title


@pytest.mark.long
def test_a_build_that_does_not_clean_is_caught(tmp_path: Path) -> None:
    """The same with the cleaning taken out where rows are read: hostile sequences are written, and found."""
    terminal = at_start(tmp_path, HOSTILE, START)
    out = got_out(terminal.text_written())
    assert {repr("\x1b[J"), "CSI", "OSC clipboard"} <= set(out)


@pytest.mark.long
@pytest.mark.parametrize("name", [f"xterm{TEXT}", "dumb", "", "vt100", "xterm-256color"])
def test_the_kind_of_terminal_is_not_echoed(name: str, tmp_path: Path) -> None:
    """Whatever TERM says, the same sequences are written and none of it."""
    terminal = at_start(tmp_path, {"TERM": name.encode("utf-8", "replace").decode()})
    assert got_out(terminal.text_written()) == []


def contains(asked: str, screen: str) -> bool:
    """Whether the screen shows it."""
    return asked in screen


def differs(before: str, screen: str) -> bool:
    """Whether the screen has changed."""
    return screen != before


def working_run(folder: Path, said: str, size: tuple[int, int]) -> Terminal:
    """A run from a file: cautions, a safety prompt, an act, a pasted remark, a pasted reason, and out."""
    procedures = folder / NAME
    file = write(procedures, said)
    picture(procedures, "[x] 5 [cm]\x1b]0;owned\x07\x9b2J")
    argv = ["run", str(file), "--trainee", "T-01", "--job", ENCODED, "--colour", ENCODED]
    terminal = Terminal(folder, argv, rows=size[1], columns=size[0], variables=HOSTILE)
    terminal.until(lambda screen: "begin" in screen, "the cautions")
    terminal.press(" ")
    terminal.until(lambda screen: "I do it" in screen, "the safety prompt")
    while "more of this text" in terminal.text():  # a long prompt is accepted at its end
        before = terminal.text()
        terminal.press("a")
        terminal.until(partial(differs, before), "more of the prompt")
    terminal.press("a")
    terminal.until(lambda screen: "done" in screen, "the act")
    for key, asked in (("v", "owned"), (" ", "done"), ("n", "remark")):
        terminal.press(key)
        terminal.until(partial(contains, asked), asked)
    terminal.press(f"\x1b[200~{''.join(TEXT.splitlines()).replace(chr(27), '')}\x1b[201~")
    terminal.until(lambda screen: MARK in screen, "the remark")
    terminal.press("\r")
    terminal.until(lambda screen: "Your remark" not in screen, "the act")
    terminal.press("q")
    assert terminal.ended() == 0
    return terminal


@pytest.mark.long
@pytest.mark.parametrize("said", [" ".join(MARKS), *SHAPES.values()], ids=["marks", *SHAPES])
def test_a_hostile_procedure_reaches_no_terminal(said: str, tmp_path: Path) -> None:
    """A procedure from a hostile path, with hostile job and colour, drawing and pasted words."""
    terminal = working_run(tmp_path, f"{MARK} {said}", (80, 24))
    assert got_out(terminal.text_written()) == []
    assert "owned" not in terminal.screen.title


@pytest.mark.long
def test_what_is_meant_is_what_is_written(tmp_path: Path) -> None:
    """Without anything hostile, the program writes just the sequences that the checks let through."""
    file = write(tmp_path / "procedures", "Plain words")
    terminal = Terminal(tmp_path, ["run", str(file), "--trainee", "T-01"])
    terminal.until(lambda screen: "begin" in screen, "the cautions")
    terminal.press("q")
    assert terminal.ended() == 0
    assert sequences(terminal.text_written()) == MEANT
