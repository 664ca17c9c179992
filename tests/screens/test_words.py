"""Times, places and waits in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stand_ins import BARE, CONFIRM, COUNTDOWN, DOSE, VIEWS, WINDOW

from trainer.run.view import RunView, WaitView
from trainer.screens import figures, words

State = Literal["ready", "running", "due", "closing", "late", "unknown"]


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [(0, "00:00"), (0.2, "00:01"), (59.01, "01:00"), (90, "01:30"), (3599.5, "1:00:00"), (-3, "00:00")],
)
def test_what_remains_is_rounded_up(seconds: float, shown: str) -> None:
    """A countdown never shows less time than there is, and never less than none."""
    assert words.clock_text(seconds) == shown


@given(st.floats(0, 86_400))
def test_a_countdown_shows_zero_only_at_the_end(seconds: float) -> None:
    """00:00 stands only where no time is left, so that it is never shown before the wait rings."""
    assert (words.clock_text(seconds) == "00:00") == (seconds <= 1e-6)


@given(st.floats(0, 86_400))
def test_what_has_passed_is_never_ahead(seconds: float) -> None:
    """Time that has passed is rounded down: the clock never shows a second that is not over."""
    hours, minutes, left = (["0", *words.clock_text(seconds, up=True).split(":")])[-3:]
    assert 0 <= seconds - (int(hours) * 3600 + int(minutes) * 60 + int(left)) < 1


@pytest.mark.parametrize(
    ("seconds", "said"), [(45, "45 s"), (60, "1 min"), (90, "1 min 30 s"), (3600, "1 h"), (7500, "2 h 5 min")]
)
def test_lengths_of_time_are_said_as_in_procedure_files(seconds: float, said: str) -> None:
    """A length of time reads as an author writes it."""
    assert words.span_text(seconds) == said


@pytest.mark.parametrize("form", ["countdown", "window", "dose"])
@pytest.mark.parametrize("state", ["ready", "running", "due", "closing", "late", "unknown"])
def test_every_state_of_a_wait_can_be_shown(form: str, state: State) -> None:
    """Figures that can be drawn, a label and a sentence exist for every form and state of a wait."""
    wait = replace({"countdown": COUNTDOWN, "window": WINDOW, "dose": DOSE}[form], state=state)
    assert figures.has_shapes(words.wait_figures(wait))
    assert words.wait_label(wait)
    assert all(words.wait_sentences(wait))


@pytest.mark.parametrize(
    ("wait", "flag"),
    [
        (COUNTDOWN, ""),
        (replace(COUNTDOWN, state="due"), "TIME"),
        (replace(WINDOW, state="due"), "OPEN"),
        (WINDOW, "CLOSING"),
        (replace(WINDOW, state="late", elapsed=99.0), "LATE"),
        (DOSE, ""),
    ],
)
def test_a_wait_rings_with_a_word(wait: WaitView, flag: str) -> None:
    """A wait that has come, opens, closes or is late says so in a word; one that runs says nothing."""
    assert words.wait_flag(wait) == flag


def test_time_past_the_end_counts_up() -> None:
    """After the end of a countdown, or of a window, the figures show how much too long it has been."""
    over = WaitView(form="countdown", state="due", elapsed=100.0, remaining=0.0, seconds=90.0)
    assert words.wait_figures(over) == "00:10"
    late = WaitView(form="window", state="late", elapsed=95.0, at_least=30.0, at_most=90.0)
    assert words.wait_figures(late) == "00:05"


def test_a_dose_shows_its_units_and_the_estimate() -> None:
    """The figures of a dose are units, not seconds, and the sentence has what earlier exposures took."""
    assert words.wait_figures(DOSE) == "24"
    assert "about 1 min 12 s" in words.wait_sentences(DOSE)[0]


def test_the_count_of_a_dose_that_nobody_watched_cannot_be_taken_for_what_is_left() -> None:
    """An integrator that counts down shows 0 once all is given: what to type then is said."""
    assert words.wait_sentences(DOSE, number_asked=True) == (
        "It was set to 24 units. Where it has counted down to 0, type 24.",
    )


@pytest.mark.parametrize(
    ("view", "said"),
    [
        (CONFIRM, "done"),
        (VIEWS["countdown-ready"], "start the clock"),
        (VIEWS["dose"], "it has started"),
        (replace(BARE, wait=replace(DOSE, state="running", elapsed=3.0)), "it has stopped"),
        (VIEWS["reading"], "enter"),
        (replace(VIEWS["reading"], wait=replace(DOSE, state="running", elapsed=3.0)), "enter"),
        (VIEWS["choices"], "that is my answer"),
        (VIEWS["right"], "go on"),
        (VIEWS["paused"], "back at the sink"),
    ],
)
def test_the_primary_key_says_what_it_does_now(view: RunView, said: str) -> None:
    """The words beside Space follow the moment."""
    assert words.primary_words(view) == said
