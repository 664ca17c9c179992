"""How long a step was on the screen, how long it was worked at, and when the first act came."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import pytest
from marks_kit import worked_in
from record_kit import opened, shown

from trainer.run import events as e
from trainer.run.clock import to_ms
from trainer.run.events import Event
from trainer.run.fakes import FakeClock
from trainer.run.ids import Ids


@dataclass
class Script:
    """Events of one run, with the time between them."""

    clock: FakeClock = field(default_factory=FakeClock)
    events: list[Event] = field(default_factory=list)
    ids: Ids = field(default_factory=Ids)

    def __post_init__(self) -> None:
        """Open the run."""
        self.then(0, opened(), step=None)

    def then(self, seconds: float, *bodies: e.Body, step: str | None = "burn") -> Script:
        """After so many seconds these happen, all at once."""
        self.clock.pass_time(seconds)
        for body in bodies:
            now = self.clock.now()
            self.events.append(
                Event(self.ids.new(to_ms(now.at)), "r1", len(self.events) + 1, now, step, body)
            )
        return self

    def asked(self, question: str) -> Sequence[tuple[object, ...]]:
        """What the tables say, however the events came in."""
        answers = []
        for batch in (0, 1, 3):
            with worked_in(self.events, batch=batch) as connection:
                answers.append(connection.execute(question).fetchall())
        assert answers[0] == answers[1] == answers[2]
        return answers[0]


TIMES = "SELECT ended, seconds, active, hesitation, hints, slips FROM visits ORDER BY seq"
DONE = (e.Confirmed(), e.Moved("ask", "finished"))


def test_a_plain_visit() -> None:
    """Twelve seconds on the screen, all of them at work, the first act at the end."""
    assert Script().then(0, shown()).then(12, *DONE).asked(TIMES) == [("finished", 12.0, 12.0, 12.0, 0, 0)]


def test_while_it_is_shown_nothing_is_known_but_what_was_done() -> None:
    """No times yet; the hint is counted, and when it was asked for."""
    script = Script().then(0, shown()).then(5, e.HintOpened()).then(5, e.Paused())
    assert script.asked(TIMES) == [("", None, None, 5.0, 1, 0)]


def test_pauses_and_what_nobody_watched_are_no_work() -> None:
    """A pause of 60 s, and 600 s while the program was down; pausing and coming back are no acts."""
    script = Script().then(0, shown()).then(3, e.Paused()).then(60, e.Resumed("paused"))
    script.then(600, e.Resumed("restart")).then(4, *DONE)
    assert script.asked(TIMES) == [("finished", 667.0, 7.0, 7.0, 0, 0)]


def test_a_wait_is_no_work() -> None:
    """From its beginning to its end a wait runs by itself; what comes before and after is work."""
    script = Script().then(0, shown("wait")).then(6, e.WaitBegun("dose", units=24.0))
    script.then(36, e.WaitWarned("closing")).then(4, e.WaitEnded("on_time", 40.0, units=24.0))
    script.then(2, e.Moved("ask", "finished"))
    assert script.asked(TIMES) == [("finished", 48.0, 8.0, 6.0, 0, 0)]


def test_a_machine_started_again_leaves_the_work_known() -> None:
    """Across a reboot nobody knows how long the step was shown; the work before and after is known."""
    script = Script().then(0, shown()).then(5, e.HintOpened())
    script.clock.reboot()
    script.then(0, e.Resumed("restart")).then(7, *DONE)
    assert script.asked(TIMES) == [("finished", None, 12.0, 5.0, 1, 0)]


def test_a_clock_that_began_anew_under_way_leaves_it_unknown() -> None:
    """Where the count of time began anew while somebody worked, the work is not known either."""
    script = Script().then(0, shown())
    script.clock.reboot()
    script.then(7, *DONE)
    assert script.asked(TIMES) == [("finished", None, None, None, 0, 0)]


def test_an_instructors_word_is_no_act_of_the_trainee() -> None:
    """Waiting for an instructor is no hesitation."""
    script = Script().then(0, shown("sign_off")).then(90, e.SignOffRefused("I-1", "wrong_pin"))
    script.then(5, e.SignedOff("burn", "I-1", "passed"), e.Moved("ask", "finished"))
    assert script.asked(TIMES) == [("finished", 95.0, 95.0, None, 0, 0)]


def test_slips_and_the_way_back() -> None:
    """A slip is counted; asked again is another visit; a run that is stopped ends the one at hand."""
    slip = e.ReadingTaken("vacuum", 225.0, "inHg", "225", "inHg", "slip")
    miss = e.ReadingTaken("vacuum", 17.0, "inHg", "17", "inHg", "miss")
    script = Script().then(0, shown("reading")).then(4, slip).then(2, miss, e.Moved("burn", "again"))
    script.then(0, shown("reading", visit=2)).then(3, e.RunClosed("stopped", "class is over"))
    assert script.asked(TIMES) == [("again", 6.0, 6.0, 4.0, 0, 1), ("closed", 3.0, 3.0, None, 0, 0)]


def test_what_became_of_plates() -> None:
    """Two given up, one of them signed before; the third left with the run, and seen after all."""
    script = Script().then(0, shown()).then(9, e.PlateMade(1, passes=False))
    script.then(1, e.PlateSpoiled(1, "vacuum", "scratched", "burn"), e.Moved("burn", "spoiled"))
    script.then(0, shown(plate=2)).then(5, e.SignedOff("burn", "I-1", "passed"))
    script.then(1, e.PlateSpoiled(2, "vacuum", "dropped", "burn"), shown(plate=3))
    script.then(1, e.RunHandedOver("T-01", "T-02")).then(1, e.RunClosed("stopped", "class is over"))
    question = "SELECT plate, trainee, how, stage, step, reason, passes FROM plates ORDER BY plate"
    assert script.asked(question) == [
        (1, "T-01", "spoiled", "vacuum", "burn", "scratched", 0),
        (2, "T-01", "spoiled", "vacuum", "burn", "dropped", None),
        (3, "T-02", "stopped", "vacuum", "burn", "class is over", None),
    ]
    script.then(3_600, e.SignedOff("burn", "I-1", "passed"))
    assert script.asked(question)[2] == (3, "T-02", "passed", "", "", "", None)
    assert script.asked("SELECT closed, last_at = closed_at, handed, spoiled FROM runs") == [
        ("stopped", 1, 1, 2)
    ]


@pytest.mark.parametrize(
    ("bodies", "missed"),
    [
        ((shown("hazard"), e.HazardAccepted("warning", (), 2.0), shown()), 0),
        ((shown("hazard"), shown()), 1),
        ((shown("hazard"), shown("hazard"), e.RunClosed("done")), 2),
        ((shown("hazard"), e.RunClosed("stopped", "x")), 1),
    ],
)
def test_prompts_that_were_passed_by(bodies: tuple[e.Body, ...], missed: int) -> None:
    """A safety prompt is missed where another step, or the end, came before it was accepted."""
    assert Script().then(0, *bodies).asked("SELECT hazards_missed FROM runs") == [(missed,)]


def test_the_settings_of_a_run() -> None:
    """By name, as the run was opened with them."""
    assert Script().asked("SELECT run, name, value FROM settings") == [("r1", "exposure", 24.0)]
