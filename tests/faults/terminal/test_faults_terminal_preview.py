"""The author's preview on a real terminal: it sees a save, and gives the terminal back however it ends."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from terminal_kit import Watched, ends_well

from trainer.screens.previewing_app import NO_TERMINAL

SMALL = Path(__file__).resolve().parents[2] / "procedure" / "small.yaml"


@contextmanager
def previewed(folder: Path, redirected: str = "") -> Iterator[tuple[Watched, Path]]:
    """A preview of the small procedure, and its file."""
    file = folder / "small.yaml"
    file.write_text(SMALL.read_text(encoding="utf-8"), encoding="utf-8")
    sink = Watched(folder, ["preview", str(file)], redirected=redirected)
    try:
        yield sink, file
    finally:
        sink.finish()


def test_a_save_is_seen_and_a_signal_gives_the_terminal_back(tmp_path: Path) -> None:
    """Saved in another program, the new words come; SIGTERM ends with 143 and without a word."""
    with previewed(tmp_path) as (sink, file):
        sink.until(lambda screen: "take-plate" in screen, "the first step")
        told = file.read_text(encoding="utf-8").replace("Coated side up", "Coloured side up")
        file.write_text(told, encoding="utf-8")
        sink.until(lambda screen: "Coloured side up" in screen, "the new words")
        sink.child.kill(signal.SIGTERM)
        ends_well(sink, 143, [])


@pytest.mark.long
def test_q_ends_it(tmp_path: Path) -> None:
    """Leaving ends with 0, without a word, and the terminal is as it was."""
    with previewed(tmp_path) as (sink, _):
        sink.until(lambda screen: "take-plate" in screen, "the first step")
        sink.press("q")
        ends_well(sink, 0, [])


@pytest.mark.long
@pytest.mark.parametrize("redirected", ["</dev/null", ">/dev/null"])
def test_without_a_terminal_it_says_what_to_use(tmp_path: Path, redirected: str) -> None:
    """With a stream that is no terminal it ends with 2 and names the commands that need none."""
    with previewed(tmp_path, redirected) as (sink, _):
        ends_well(sink, 2, [NO_TERMINAL])
