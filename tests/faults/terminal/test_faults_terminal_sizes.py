"""Another size at any moment: the program lives, draws right again at 80x24, and records nothing of it."""

from __future__ import annotations

from pathlib import Path

import pytest
from sink import NotShown
from terminal_kit import Sitting, Watched, at_work

SIZES = ((40, 10), (1, 1), (500, 1), (1, 300))
"""Columns and rows that a terminal may come to have, if only for a moment."""

DOWN = "\x1b[B"
"""What the key sends (xterm's control sequences)."""


def resized_and_back(sink: Watched, within: float = 20.0) -> None:
    """Go through all sizes and back: what stood on the screen must stand there again."""
    before = sink.settle()
    for columns, rows in SIZES:
        sink.resize(columns, rows)
        assert sink.child.isalive(), f"The program ended at {columns}x{rows}:\n{sink.text()}"
    sink.resize(80, 24)
    try:
        sink.until(lambda after: after == before, "What stood before other sizes", within)
    except NotShown as shown:
        raise AssertionError(f"Drawn otherwise. Before:\n{before}\n{shown}") from shown


def resized_at_work(trainee: Sitting, within: float = 20.0) -> None:
    """The same in a run, whose record must hold nothing more."""
    kept = trainee.events()
    resized_and_back(trainee.sink, within)
    assert trainee.events() == kept, "Another size left something in the record."


def shows(sink: Watched, words: str) -> None:
    """Wait until the screen holds these words."""
    sink.until(lambda screen: words in screen, words)


@pytest.mark.long
def test_a_safety_prompt_and_a_wait_at_other_sizes(tmp_path: Path) -> None:
    """At a safety prompt and in a running wait the screen is right again after any size; keys work."""
    with at_work(tmp_path) as trainee:
        for act in ("hazard", "waiting"):
            trainee.work_to(act)
            resized_at_work(trainee)
            trainee.do_right()


@pytest.mark.long
def test_every_act_at_other_sizes(tmp_path: Path) -> None:
    """At every act of a whole plate, and at its summary, the screen is right again and the next key works."""
    with at_work(tmp_path) as trainee:
        while not trainee.state().closed:
            trainee.see_step()
            resized_at_work(trainee)
            trainee.do_right()
        shows(trainee.sink, "DONE")
        resized_and_back(trainee.sink)
        trainee.sink.press("q")
        assert trainee.sink.ended() == 0


@pytest.mark.long
def test_prompts_and_help_at_other_sizes(tmp_path: Path) -> None:
    """Help, the reasons for a spoiled plate, an earlier step and a half-typed code stay what they were."""
    opened = (("h", "b", "Keys that work now"), ("b", " ", "LOOKING BACK"), ("x", "b", "What spoiled"))
    with at_work(tmp_path) as trainee:
        sink = trainee.sink
        trainee.work_to("hazard")
        trainee.do_right()
        trainee.work_to("reading")
        for key, close, shown in opened:
            sink.press(key)
            shows(sink, shown)
            resized_at_work(trainee)
            sink.press(close)
            shows(sink, "Type the number")
        trainee.work_to("sign_off")
        sink.press("s")
        shows(sink, "Instructor's code")
        sink.press("I-")
        resized_at_work(trainee)
        sink.press("1\r")
        shows(sink, "Your word")


@pytest.mark.long
def test_the_start_screen_and_the_cautions_at_other_sizes(tmp_path: Path) -> None:
    """The start screen with a half-filled form, and the words before the first act, are drawn right again."""
    sink = Watched(tmp_path, ["--record", str(tmp_path / "record.db")])
    try:
        shows(sink, "Trainee")
        sink.press("T-0")
        resized_and_back(sink)
        sink.press("1")
        while "▸ Begin" not in sink.settle():
            sink.press(DOWN)
        sink.press("\r")
        shows(sink, "Before the first act")
        resized_and_back(sink)
        sink.press("q")
        shows(sink, "T-01")
    finally:
        sink.finish()


@pytest.mark.long
@pytest.mark.parametrize(
    ("change", "said"), [("no drawing anew", "Drawn otherwise"), ("resize recorded", "in the record")]
)
def test_a_build_with_a_fault_in_its_sizes_is_caught(tmp_path: Path, change: str, said: str) -> None:
    """A build that does not draw again, and one that records a size, are both reported."""
    with at_work(tmp_path, change) as trainee, pytest.raises(AssertionError, match=said):
        resized_at_work(trainee, within=1.0)
