"""The same work in lines of text: for a screen reader, a slow line, a pipe, a terminal that cannot draw."""

from __future__ import annotations

import io
import sys
import time
from collections.abc import Callable, Generator
from typing import TYPE_CHECKING, NamedTuple, TextIO, TypeVar

from trainer.procedure.text import in_language
from trainer.run.ports import LeaseLost, Trouble
from trainer.run.refusals import Refused, TooSoon
from trainer.run.view import RunView
from trainer.screens import plain_words, questions
from trainer.screens.leaving import Signalled, nobody_reads, signals_raised, tell
from trainer.screens.lines import Gone, Lines, StreamLines
from trainer.screens.words import GUIDANCE, LEVELS
from trainer.tongue import spoken

if TYPE_CHECKING:
    from trainer.run.events import Guidance
    from trainer.run.session import Run
    from trainer.screens.station import Station

Got = TypeVar("Got")
TICK = 0.25
"""Seconds between two looks at a wait that runs."""


def run_plain(  # noqa: PLR0913 - what the command said, each by its name
    station: Station,
    *,
    procedure: str | None = None,
    trainee: str | None = None,
    guidance: Guidance | None = None,
    job: str = "",
    colour: str = "",
    run_id: str | None = None,
    rehearsal: bool = False,
    source: TextIO | None = None,
    sink: TextIO | None = None,
) -> int:
    """Do a run in lines of text and return the exit code.

    Asks for what is not given. 0: done, or left open; 1: an error; 2: stdout is closed; 130: Ctrl-C; 129,
    131, 143: another signal to end. The run stays open then.
    """
    from trainer.procedure.problems import ProcedureProblems

    out = sink or sys.stdout
    if out is None:
        tell(spoken("There is nowhere to write to: stdout is closed."))
        return 2
    lines = StreamLines(source or sys.stdin or io.StringIO(), out)
    stays, go_on = spoken("A run that is open stays open"), PlainRun.go_on
    try:
        with signals_raised():
            if run_id:
                going = _taken_up(station, lines, run_id)
            else:
                chosen = _ask(station, lines, procedure, trainee, guidance)
                going = _opened(station, lines, chosen, job, colour, rehearsal=rehearsal)
            stays, go_on = spoken("The run stays open"), going.go_on
            return going.go()
    except (Trouble, ProcedureProblems) as told:
        tell(str(told))
        return 1
    except Gone:
        nobody_reads()
        tell(spoken("Nobody reads the lines any more. A run that is open stays open."))
        return 1
    except EOFError:
        return _last_line(lines, spoken("No more input. {stays}", stays=stays), go_on, 0)
    except KeyboardInterrupt as ended:
        code = ended.code if isinstance(ended, Signalled) else 130
        return _last_line(lines, "\n" + spoken("Left. {stays}", stays=stays), go_on, code)


def _last_line(lines: Lines, said: str, go_on: str, code: int) -> int:
    """How to go on, where somebody is still there to read it."""
    try:
        lines.say(spoken("{said}; go on with it: {command}", said=said, command=go_on))
    except Gone:
        nobody_reads()
    return code


class _Chosen(NamedTuple):
    """What is begun: which work, by whom, with how much guidance."""

    procedure: str
    trainee: str
    guidance: Guidance


def _ask(
    station: Station, lines: Lines, procedure: str | None, trainee: str | None, guidance: Guidance | None
) -> _Chosen:
    """Ask for what was not given, and show what is said before the first act."""
    trainee = trainee or ask_line(lines, spoken("Trainee's code, for instance T-01"))
    procedure = procedure or _pick_procedure(station, lines)
    level: Guidance = guidance or _pick_guidance(lines)
    station.code(trainee)
    _, cautions = station.before(procedure)
    station.load(procedure)
    if cautions:
        lines.say(spoken("Before the first act:"))
        for caution in cautions:
            lines.say(f"  - {caution}")
        lines.say(spoken("Press Enter when you have read this."))
        lines.read(None)
    return _Chosen(procedure, trainee, level)


def _opened(  # noqa: PLR0913 - what the command said, and what was asked for
    station: Station, lines: Lines, chosen: _Chosen, job: str, colour: str, *, rehearsal: bool
) -> PlainRun:
    procedure, trainee, guidance = chosen
    if not rehearsal:
        run = station.open_run(procedure, trainee, guidance=guidance, job=job, colour=colour)
        return PlainRun(station, run, lines)
    from trainer.screens.plain_bench import PlainRehearsal  # it builds on this module

    opened = station.open_rehearsal(procedure, trainee, guidance=guidance, job=job, colour=colour)
    lines.say(
        spoken("This is a rehearsal on a simulated bench. There is no material; h says how it is operated.")
    )
    return PlainRehearsal(station, opened, lines)


def _taken_up(station: Station, lines: Lines, run_id: str) -> PlainRun:
    if not station.is_rehearsal(run_id):
        return PlainRun(station, station.take_up(run_id), lines)
    from trainer.screens.plain_bench import PlainRehearsal  # it builds on this module

    return PlainRehearsal(station, station.take_up_rehearsal(run_id), lines)


def _pick_procedure(station: Station, lines: Lines) -> str:
    heads = [head for head in station.heads() if not head.problem]
    if not heads:
        raise Trouble(spoken("There is no procedure here that can be read. Look with `sinkside check`."))
    options = tuple((head.id, in_language(head.title, station.language)) for head in heads)
    return ask_pick(lines, spoken("Which work?"), options)


def _pick_guidance(lines: Lines) -> Guidance:
    options = tuple((level, f"{spoken(LEVELS[level])}: {spoken(words)}") for level, words in GUIDANCE.items())
    chosen = ask_pick(lines, spoken("How much guidance?"), options)
    return "solo" if chosen == "solo" else "cued" if chosen == "cued" else "full"


def ask_line(lines: Lines, ask: str) -> str:
    """A line that is not empty."""
    while True:
        lines.say(f"{ask}:")
        if typed := questions.typed(lines.read(None) or ""):
            return typed


def ask_pick(lines: Lines, ask: str, options: tuple[tuple[str, str], ...]) -> str:
    """One of the options, by its digit."""
    while True:
        lines.say(ask)
        for number, (_, said) in enumerate(options, 1):
            lines.say(f"  {number}  {said}")
        typed = (lines.read(None) or "").strip()
        if typed.isdecimal() and 1 <= int(typed) <= len(options):
            return options[int(typed) - 1][0]
        lines.say(spoken("Type a digit from 1 to {most}.", most=len(options)))


class PlainRun:
    """One run, in lines. `sleep` is how a moment is let go by where an act came too soon."""

    go_on = "sinkside run --plain"

    def __init__(
        self, station: Station, run: Run, lines: Lines, sleep: Callable[[float], None] = time.sleep
    ) -> None:
        self._station = station
        self._run = run
        self._lines = lines
        self._sleep = sleep
        self._said: tuple[str, ...] = ()
        self._told = ""
        self._steps_back = 0

    def go(self) -> int:
        """Until the run is closed or left. Raises EOFError, KeyboardInterrupt, Trouble of a lost lease."""
        while True:
            view = self.view()
            if view.closed:
                self._close(view)
                return 0
            self._show(view)
            line = self._next_line()
            if line.strip().lower() == "q":
                self._lines.say(
                    spoken("Left. The run stays open; go on with it: {command}", command=self.go_on)
                )
                return 0
            self._take(line.strip())

    def _show(self, view: RunView) -> None:
        """Say what is new; the same again is not said twice."""
        if self._told != self._station.notice:
            self._told = self._station.notice
            self._said_if_any(self._told)
        said = plain_words.say(view)
        if said != self._said:
            self._said = said
            for line in said:
                self._lines.say(line)

    def _next_line(self) -> str:
        """The next line; meanwhile a wait that runs is looked at, and rings."""
        while True:
            wait = self._run.view().wait
            runs = wait is not None and wait.state not in ("ready", "unknown")
            line = self._lines.read(TICK if runs else None)
            if line is not None:
                return line
            for ring in self._tick():
                self._lines.say(plain_words.ring(self._run.view(), ring))

    def _tick(self) -> tuple[str, ...]:
        try:
            return self._ticks()
        except LeaseLost:
            raise  # the run is somebody else's now; nothing can be said to it any more
        except Trouble as told:
            self._lines.say(f"! {told}")
            return ()

    def _ticks(self) -> tuple[str, ...]:
        return self._run.tick()

    def view(self) -> RunView:
        """The run as it stands, a number asked for in the unit that is read off here."""
        return plain_words.as_read_off(self._run.view(), self._station.instruments)

    def _take(self, line: str) -> None:
        view = self.view()
        acts = plain_words.acts(view)
        letter = line.lower()
        if view.number and line and letter[0] in "0123456789+-.,":
            typed = plain_words.number_and_unit(line, view.number.units)
            self._attempt(lambda: self._run.enter(*typed))
        elif letter.isdecimal() and "pick" in acts and view.choice:
            self._pick(int(letter), len(view.choice.options))
        elif not line:
            self._enter(view)
        else:
            self._do(letter, view)

    def _enter(self, view: RunView) -> None:
        if view.number and not view.paused:
            self._lines.say(spoken("Type the number, and its unit where it is another one: 21.5 or 72 kPa."))
        elif "next" in view.acts:
            self._attempt(self._run.next)
        else:
            self._lines.say(plain_words.keys(view))

    def _pick(self, number: int, most: int) -> None:
        if not 1 <= number <= most:
            self._lines.say(spoken("Type a digit from 1 to {most}.", most=most))
            return
        self._attempt(lambda: self._run.pick(number))

    def _do(self, letter: str, view: RunView) -> None:
        doing: dict[str, tuple[str, Callable[[], object]]] = {
            "a": ("accept", lambda: self._attempt(self._run.accept)),
            "?": ("points", lambda: self._attempt(self._run.points)),
            "v": ("picture", lambda: self._picture(view)),
            "b": ("back", self._look_back),
            "p": ("pause", lambda: self._attempt(self._run.resume if view.paused else self._run.pause)),
            "x": ("spoil", lambda: self._ask(questions.asking_spoil(), self._run.spoil)),
            "n": ("note", lambda: self._ask(questions.asking_note(), self._run.note)),
            "o": ("hand_over", lambda: self._ask(questions.asking_hand_over(), self._hand_over)),
            "g": ("stop", lambda: self._ask(questions.asking_stop(), self._run.stop)),
            "s": ("sign", lambda: self._sign(view)),
            "l": ("leave_setting", lambda: self._attempt(self._run.leave_setting)),
        }
        act, do = doing.get(letter, ("", lambda: None))
        if plain_words.asks_for_help(letter):
            for row in plain_words.help_lines():
                self._lines.say(row)
        elif act and act in view.acts:
            do()
        else:
            self._lines.say(plain_words.keys(view))

    def _attempt(self, act: Callable[[], object]) -> bool:
        """Do one act; say what was refused or went wrong."""
        try:
            try:
                act()
            except TooSoon as soon:
                self._sleep(soon.seconds)
                act()
        except TooSoon:
            return False
        except LeaseLost:
            raise  # as above
        except (Refused, Trouble) as told:
            self._lines.say(f"! {told}")
            return False
        self._steps_back = 0
        return True

    def _picture(self, view: RunView) -> None:
        drawing = self._station.picture(view.procedure, view.picture or "")
        for row in drawing or (spoken("There is no drawing here."),):
            self._lines.say(row)

    def _look_back(self) -> None:
        earlier = self._run.look_back(self._steps_back + 1)
        if earlier is None:
            self._lines.say(spoken("There is no step before that one."))
            return
        self._steps_back += 1
        self._lines.say(
            spoken(
                "Looking back {number}; nothing changes. Press Enter to go on with the work.",
                number=self._steps_back,
            )
        )
        for row in plain_words.step_lines(earlier):
            self._lines.say(f"  {row}")
        self._said = ()
        line = self._lines.read(None)
        if (line or "").strip().lower() == "b":
            self._look_back()
        self._steps_back = 0

    def _ask(self, asking: Generator[questions.Question, str, Got], then: Callable[[Got], object]) -> None:
        got = self._answers(asking)
        if got:
            self._attempt(lambda: then(got))
        else:
            self._lines.say(spoken("Nothing changed."))

    def _answers(self, asking: Generator[questions.Question, str, Got]) -> Got | None:
        """Put the questions of an asking; an empty line goes back, where it is no answer."""
        question = next(asking)
        while True:
            answer = self._answer(question)
            if answer is None:
                return None
            try:
                question = asking.send(answer)
            except StopIteration as finished:
                got: Got = finished.value
                return got

    def _answer(self, question: questions.Question) -> str | None:
        if question.more:
            self._lines.say(question.more)
        if question.form == "pick":
            options = (*question.options, ("", spoken("Back, nothing changed")))
            return ask_pick(self._lines, question.ask, options) or None
        if question.form == "secret":
            typed = self._lines.secret(f"{question.ask}:")
        else:
            self._lines.say(f"{question.ask}:")
            typed = self._lines.read(None) or ""
        return typed if typed.strip() or question.may_be_empty else None

    def _hand_over(self, typed: str) -> None:
        self._run.hand_over(self._station.code(typed))

    def _sign(self, view: RunView) -> None:
        if view.offer:
            tried = self._answers(questions.asking_take_setting(view.offer.label, view.offer.new))
        else:
            tried = self._answers(questions.asking_sign(view.sign.of if view.sign else ""))
        if tried is None:
            self._lines.say(spoken("Nothing changed."))
            return
        tried = self._station.coded(tried)
        verdict = self._station.sign_off.check(tried.by, tried.pin)
        if view.offer:
            self._attempt(lambda: self._said_if_any(self._station.take_setting(self._run, tried.by, verdict)))
        else:
            self._attempt(lambda: self._run.sign(tried.by, verdict, tried.word, tried.note))
        if verdict.verdict != "right" and (view.offer or verdict.verdict == "too_soon"):
            self._lines.say(questions.refused_words(verdict.verdict, verdict.wait))

    def _said_if_any(self, sentence: str) -> None:
        if sentence:
            self._lines.say(f"! {sentence}")

    def _close(self, view: RunView) -> None:
        found, skills = self._station.outcome(view.run), self._station.skills(view.run)
        for row in plain_words.outcome_lines(found, view.title, skills):
            self._lines.say(row)
