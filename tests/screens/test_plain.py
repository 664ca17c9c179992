"""The same work in lines of text."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pytest
from stage import PIN
from stand_ins import VIEWS, ViewRun, ViewStation
from test_ticket import station

from trainer import tongue
from trainer.procedure.load import load
from trainer.procedure.plan import Plan
from trainer.procedure.text import in_language
from trainer.run.events import Event, RunClosed
from trainer.run.fakes import FakeClock, FakeJournal, FakeSignOff
from trainer.run.refusals import Refused
from trainer.run.session import Run
from trainer.run.situation import situation
from trainer.run.view import RunView
from trainer.screens import plain_words
from trainer.screens.lines import StreamLines
from trainer.screens.outcome import Outcome
from trainer.screens.plain import PlainRun, run_plain
from trainer.screens.station import Station

PLATE = Path(__file__).parents[1] / "run" / "plate.yaml"
ANSWERS = {
    "picking": ["1", "2", "3", "4"],
    "hazard": ["a"],
    "judge": ["1"],
    "quiz_one": ["1"],
    "quiz_several": ["1", "3", ""],
    "quiz_order": ["1", "2", "3", ""],
    "quiz_number": ["40"],
    "reading": ["22"],
    "read-wedge": ["5"],
    "sign_off": ["s", "i-1", "1", PIN],
    "offer": ["l"],
}
"""Lines that go on from each situation."""


class Script:
    """Lines from a list; when none is left, time goes by or the input ends."""

    def __init__(self, clock: FakeClock, lines: list[str]) -> None:
        self.clock, self.lines, self.said = clock, list(lines), list[str]()
        self.waited = 0

    def read(self, timeout: float | None) -> str | None:
        """The next line; where a wait runs, twenty seconds go by first."""
        if timeout is not None and self.waited < 10:
            self.waited += 1
            self.clock.pass_time(20)
            return None
        self.waited = 0
        if not self.lines:
            raise EOFError
        return self.lines.pop(0)

    def secret(self, ask: str) -> str:
        """A line that would not be shown."""
        self.say(ask)
        return self.read(None) or ""

    def say(self, text: str) -> None:
        """Keep what is said."""
        self.said.append(text)

    @property
    def text(self) -> str:
        """All that was said."""
        return "\n".join(self.said)


class OnRun(ViewStation):
    """As much of a station as a run in lines asks for, over records in memory."""

    def __init__(self, journal: FakeJournal, plan: Plan | None = None) -> None:
        super().__init__(FakeSignOff({"I-1": PIN}))
        self.journal, self.plan = journal, plan

    def outcome(self, run_id: str) -> Outcome:
        """The outcome from the events."""
        from trainer.record.heads import RunHead
        from trainer.screens.outcome import outcome

        events: tuple[Event, ...] = self.journal.events(run_id)
        return outcome(events, RunHead(run_id, 1, len(events), "0" * 64), plan=self.plan)

    def skills(self, run_id: str) -> dict[str, str]:
        """What each skill is called."""
        del run_id
        named = self.plan.procedure.skills if self.plan else {}
        return {key: in_language(said, tongue.language()) for key, said in named.items()}


def over(view: RunView, lines: list[str]) -> tuple[ViewRun, Script]:
    """A run by hand, after these lines."""
    run, script = ViewRun(view, earlier=[VIEWS["hazard"]]), Script(FakeClock(), lines)
    plain = PlainRun(ViewStation(FakeSignOff({"I-1": PIN})), run, script)  # type: ignore[arg-type] # as asked
    with pytest.raises(EOFError):
        plain.go()
    return run, script


@pytest.mark.parametrize("guidance", ["full", "cued", "solo"])
def test_a_whole_plate_in_lines(guidance: str) -> None:
    """Lines alone bring a real run to its end; waits ring in a line; the summary follows."""
    clock, journal = FakeClock(), FakeJournal()
    plan = load(PLATE).require()
    run = Run.open(
        plan,
        run="run-1",
        trainee="T-01",
        guidance=guidance,  # type: ignore[arg-type] # one of the three
        settings={name: float(one.value) for name, one in plan.procedure.settings.items()},
        journal=journal,
        clock=clock,
    )

    class Right(Script):
        """The right line for whatever is asked."""

        def read(self, timeout: float | None) -> str | None:
            if not self.lines:
                clock.pass_time(1)
                asks = situation(plan, run.state, clock.now())
                by_step = ANSWERS.get(run.state.step) if asks == "reading" else None
                self.lines = list(by_step or ANSWERS.get(asks, [""]))
            return super().read(timeout)

    script = Right(clock, [])
    plain = PlainRun(OnRun(journal), run, script, sleep=clock.pass_time)  # type: ignore[arg-type] # as much as asked
    assert plain.go() == 0
    closed = journal.events("run-1")[-1].body
    assert isinstance(closed, RunClosed)
    assert closed.how == "done"
    assert "\a*** TIME ***" in script.text
    assert "*** DANGER *** DANGER *** DANGER ***" in script.text
    assert "--- Done: A plate for the tests" in script.text


@pytest.mark.parametrize(
    ("name", "lines", "did"),
    [
        ("confirm", [""], [("next",)]),
        ("hazard", ["", "1", "yes", "a"], [("accept",)]),
        ("judge", ["2"], [("pick", 2)]),
        ("judge", ["7", "0", ""], []),
        ("reading", ["21,5"], [("enter", "21,5", "inHg")]),
        ("reading", ["72 kPa"], [("enter", "72", "kPa")]),
        ("reading", ["", "kPa"], []),
        ("cued", ["?"], [("points",)]),
        ("confirm", ["x", "1"], [("spoil", "scratched or dented")]),
        ("confirm", ["x", "8"], []),
        ("confirm", ["x", "8", "fell"], [("spoil", "fell")]),
        ("confirm", ["n", ""], []),
        ("confirm", ["n", "dim\x1b lamp"], [("note", "dim\u241b lamp")]),
        ("confirm", ["o", "t-07"], [("hand_over", "T-07")]),
        ("offer", ["s", "i-1", PIN], [("take_setting", "I-1", "right")]),
        ("offer", ["l"], [("leave_setting",)]),
        ("sign", ["s", "i-1", "2", "edge", "1"], [("sign", "I-1", "wrong_pin", "not_yet", "edge")]),
        ("confirm", ["b", "", ""], [("next",)]),
        ("confirm", ["p", "p"], [("pause",), ("resume",)]),
    ],
)
def test_a_line_does_its_act(name: str, lines: list[str], did: list[tuple[object, ...]]) -> None:
    """Each line does the act that it stands for in that moment, and nothing where it stands for none."""
    run, script = over(VIEWS[name], lines)
    assert run.did == did
    assert script.said


@pytest.mark.parametrize("name", VIEWS)
def test_every_moment_can_be_said(name: str) -> None:
    """Each kind of moment has its lines, ends with the keys, and the same again is not said twice."""
    _, script = over(VIEWS[name], ["unheard of", "unheard of"])
    said = "\n".join(plain_words.say(VIEWS[name]))
    assert script.text.count(said) == 1
    assert plain_words.keys(VIEWS[name]).startswith("[")


def test_a_refusal_is_said() -> None:
    """What the run refuses stands in a line, and the work goes on."""
    run = ViewRun(VIEWS["confirm"])
    run.fails = Refused("Not yet.")
    script = Script(FakeClock(), ["", ""])
    with pytest.raises(EOFError):
        PlainRun(ViewStation(FakeSignOff({})), run, script).go()  # type: ignore[arg-type] # as much as asked
    assert "! Not yet." in script.text
    assert run.did == [("next",)]


def test_help_says_all_that_can_be_typed() -> None:
    """`h` lists every act with its letter."""
    _, script = over(VIEWS["confirm"], ["h"])
    for letter in ("a", "?", "v", "b", "p", "x", "n", "o", "g", "q"):
        assert any(row.strip().startswith(f"{letter} ") for row in script.said)


def test_a_number_and_its_unit() -> None:
    """A typed number is taken apart from its unit, with and without blanks."""
    assert plain_words.number_and_unit("72 kPa", ("inHg", "kPa")) == ("72", "kPa")
    assert plain_words.number_and_unit(" -1,5%RH ", ("%RH",)) == ("-1,5", "%RH")
    assert plain_words.number_and_unit("21.5", ("inHg", "kPa")) == ("21.5", "inHg")


def run_over_pipes(here: Station, typed: str, **given: str) -> tuple[int, str]:
    """Exit code and output of a run over streams, as a pipe gives them."""
    sink = io.StringIO()
    code = run_plain(here, source=io.StringIO(typed), sink=sink, **given)  # type: ignore[arg-type] # words given
    return code, sink.getvalue()


def test_what_is_not_given_is_asked_for(tmp_path: Path) -> None:
    """Trainee, work and guidance are asked where the command did not say them; leaving keeps the run open."""
    with station(tmp_path) as here:
        code, said = run_over_pipes(here, "\nt-05\n1\n2\nq\n")
        assert code == 0
        assert "Trainee's code" in said
        assert "Lay the film on the light table" in said
        assert "The run stays open" in said
        assert [(run.trainee, run.guidance) for run in here.open_runs()] == [("T-05", "cued")]


def test_giving_up_closes_the_run_with_its_reason(tmp_path: Path) -> None:
    """A run that is given up is closed, and its summary says why."""
    with station(tmp_path) as here:
        given = {"procedure": "plate", "trainee": "T-01", "guidance": "full"}
        code, said = run_over_pipes(here, "g\n2\nthe lamp is broken\n", **given)
        assert code == 0
        assert "--- Stopped: A plate for the tests" in said
        assert "Reason: the lamp is broken" in said
        assert here.open_runs() == []


def test_the_end_of_a_pipe_keeps_the_run_open(tmp_path: Path) -> None:
    """When the input ends the run stays open, a sentence says so, and it can be taken up."""
    with station(tmp_path) as here:
        code, said = run_over_pipes(here, "", procedure="plate", trainee="T-01", guidance="full")
        assert code == 0
        assert "stays open" in said
        code, said = run_over_pipes(here, "q\n", run_id=here.open_runs()[0].run)
        assert code == 0
        assert "Lay the film" in said


def test_what_cannot_be_opened_is_said_on_stderr(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An unknown or broken procedure ends with 1 and a sentence on stderr, nothing on stdout."""
    with station(tmp_path) as here:
        for procedure in ("nothing", "broken"):
            code, said = run_over_pipes(here, "", procedure=procedure, trainee="T-01", guidance="full")
            assert (code, said) == (1, "")
            assert capsys.readouterr().err.strip()


def test_ctrl_c_leaves_the_run_open(tmp_path: Path) -> None:
    """An interrupt ends with 130 and says that the run stays open."""

    class Interrupted(io.StringIO):
        """A terminal where Ctrl-C is pressed."""

        def isatty(self) -> bool:
            """It is one."""
            return True

    with station(tmp_path) as here, pytest.MonkeyPatch.context() as patch:

        def interrupt(*_: object) -> str:
            raise KeyboardInterrupt

        patch.setattr(StreamLines, "read", interrupt)
        sink = io.StringIO()
        code = run_plain(
            here, procedure="plate", trainee="T-01", guidance="full", source=Interrupted(), sink=sink
        )
        assert code == 130
        assert "The run stays open" in sink.getvalue()
        assert len(here.open_runs()) == 1


def test_a_question_is_asked_once() -> None:
    """Where a quiz has answers to pick, its question is a line of its own, once."""
    choice = VIEWS["quiz"].choice
    assert choice is not None
    view = replace(VIEWS["quiz"], choice=replace(choice, ask="Why is the back rinsed too?"))
    view = replace(view, quiz_question="Why is the back rinsed too?")
    assert plain_words.step_lines(view).count("Why is the back rinsed too?") == 1


def test_a_terminal_without_the_signs_gets_them_in_letters() -> None:
    """An ASCII terminal reads `20 degC`, letters without accents, and `?` for what has no letters at all."""
    kept = io.BytesIO()
    sink = io.TextIOWrapper(kept, encoding="ascii")
    StreamLines(io.StringIO(), sink).say("20 °C, 3 µm. ¿Presión? ◆ 水")
    assert kept.getvalue() == b"20 degC, 3 um. Presion? * ?\n"
