"""What is begun at the bench begins the clock of its step, and what is not done while it runs is told."""

from __future__ import annotations

import pytest
from bench_kit import AtBench

from trainer.rehearsal import hands
from trainer.run.clock import to_ms
from trainer.run.events import BenchSet, WaitBegun, WaitEnded


@pytest.mark.parametrize(
    ("step", "control", "value"),
    [
        ("rub", "rubbing", "all-over"),
        ("rinse-face", "rinse", "face"),
        ("burn-one", "lamp", "on"),
    ],
)
def test_the_clock_starts_with_the_hands(step: str, control: str, value: str) -> None:
    """Rubbing, rinsing and lighting the lamp begin the wait, right after the act, and only once."""
    at = AtBench.begin().right_until(step)
    assert at.rehearsal.bench().starts
    at.breathe()
    hands.operate(at.rehearsal, control, value)
    assert [type(body) for body in at.bodies[-2:]] == [BenchSet, WaitBegun]
    assert not at.rehearsal.bench().starts
    assert not at.rehearsal.bench().idle
    at.pass_time(3.0)
    hands.operate(at.rehearsal, control, "none" if control != "lamp" else "off")
    hands.operate(at.rehearsal, control, value)
    begun = [one for one in at.events if isinstance(one.body, WaitBegun) and one.step == step]
    assert len(begun) == 1
    assert not isinstance(at.bodies[-1], WaitEnded)


def test_the_wrong_way_of_rubbing_starts_it_too() -> None:
    """It is what the trainee does that starts the clock, not what would be right."""
    at = AtBench.begin().right_until("rub")
    at.breathe()
    hands.operate(at.rehearsal, "rubbing", "part")
    assert isinstance(at.bodies[-1], WaitBegun)


def test_a_key_that_comes_too_soon_starts_no_clock() -> None:
    """Within the guard of a new step the rubbing begins and the wait is left to the primary key."""
    at = AtBench.begin().right_until("rub")
    hands.operate(at.rehearsal, "rubbing", "all-over")
    assert isinstance(at.bodies[-1], BenchSet)
    at.press()
    assert isinstance(at.bodies[-1], WaitBegun)


def test_controls_of_other_steps_start_no_clock() -> None:
    """The lamp is no part of rubbing, and a control of the step that is not held leaves the wait alone."""
    at = AtBench.begin().right_until("rub")
    at.breathe()
    hands.operate(at.rehearsal, "rinse", "face")
    assert isinstance(at.bodies[-1], BenchSet)
    hands.operate(at.rehearsal, "pad", "clean")
    assert isinstance(at.bodies[-1], BenchSet)


def test_a_clock_that_runs_for_nothing_is_told() -> None:
    """Begun by the key alone, it is said that nobody rubs, until somebody does, and again with hands off."""
    at = AtBench.begin().right_until("rub")
    assert not at.rehearsal.bench().idle
    at.press()
    assert at.rehearsal.bench().idle == "Rubbing: hands off, while the clock runs."
    hands.operate(at.rehearsal, "rubbing", "all-over")
    assert not at.rehearsal.bench().idle
    at.rehearsal.let_go()
    assert at.rehearsal.bench().idle


def test_a_dark_lamp_is_told_while_its_clock_runs() -> None:
    """Where the key says that the exposure began and no lamp was lit; not once the light went out."""
    at = AtBench.begin().right_until("burn-one")
    at.press()
    assert at.rehearsal.bench().idle == "Lamp: off, while the clock runs."
    hands.operate(at.rehearsal, "lamp", "on")
    assert not at.rehearsal.bench().idle
    at.pass_time(at.rehearsal.to_go() + 1.0)
    assert at.rehearsal.bench().idle == ""


def test_rubbed_time_is_waited_time() -> None:
    """The wait lasts from the first rub: 60 s of rubbing are 60 s of the wait."""
    at = AtBench.begin().right_until("rub")
    at.pass_time(20.0)
    began = to_ms(at.clock.now().at)
    hands.operate(at.rehearsal, "rubbing", "all-over")
    at.pass_time(60.0)
    assert to_ms(at.clock.now().at) - began == 60_000
    wait = at.run.view().wait
    assert wait is not None
    assert wait.elapsed == pytest.approx(60.0, abs=0.01)
    rubbed = next(one for one in at.rehearsal.bench().controls if one.name == "rubbing")
    assert rubbed.done.endswith("60 s")
