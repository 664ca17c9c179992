"""What a person is asked before an act that needs words: the same on the screen and in lines of text.

Each `asking_...` is a generator: it yields a `Question`, is sent the answer, and returns what was gathered.
So the order of the questions is written once, and a front end only has to know how to put one question.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass
from typing import Literal, TypeVar

from trainer.procedure.text import clean
from trainer.tongue import marked, spoken

Got = TypeVar("Got")

LONGEST = 400
"""Characters of a typed line that are kept."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question. line: typed words; secret: typed and not shown; pick: one of `options` by its digit.

    options: (value, words) each. may_be_empty: an empty line is an answer; otherwise it leaves the asking.
    """

    ask: str
    form: Literal["line", "secret", "pick"] = "line"
    options: tuple[tuple[str, str], ...] = ()
    may_be_empty: bool = False
    more: str = ""


Asking = Generator[Question, str, Got]

OTHER = "other"
_SPOILED = (
    (marked("scratched or dented"), marked("Scratched or dented")),
    (marked("touched or wet coating"), marked("Coating touched or wetted")),
    (marked("exposed wrongly"), marked("Exposed wrongly, or stray light")),
    (marked("out of register"), marked("Film or mask out of register")),
    (marked("developed wrongly"), marked("Developed too little or too long")),
    (marked("oxidised or gummed badly"), marked("Oxidised, or gummed badly")),
    (marked("punched wrongly"), marked("Punched off the mark, or holes torn")),
    (OTHER, marked("Something else")),
)


@dataclass(frozen=True, slots=True)
class SignTry:
    """One try of an instructor to sign. word: passed or not_yet (a taken setting has no word)."""

    by: str
    pin: str
    word: Literal["passed", "not_yet"] = "passed"
    note: str = ""


def _picked(options: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
    """Options in the language spoken; what is kept of them is the same in all."""
    return tuple((key, spoken(said)) for key, said in options)


def typed(text: str) -> str:
    """A typed line as it is kept: cleaned, on one line, without blanks around it, not endless."""
    return " ".join(clean(text).split())[:LONGEST]


def asking_spoil() -> Asking[str]:
    """Why a plate is spoiled."""
    reason = yield Question(spoken("What spoiled the plate?"), "pick", _picked(_SPOILED))
    if reason == OTHER:
        reason = yield Question(spoken("Say in a few words what spoiled it."))
    return typed(reason)


def asking_stop() -> Asking[str]:
    """Why a run is stopped for good."""
    sure = yield Question(
        spoken("Stop this run for good? It cannot be gone on with."),
        "pick",
        (("no", spoken("No, go on")), ("yes", spoken("Yes, stop it"))),
        more=spoken("To come back to it later, leave with q instead."),
    )
    if sure != "yes":
        return ""
    return typed((yield Question(spoken("Why is it stopped?"))))


def asking_hand_over() -> Asking[str]:
    """Who goes on."""
    return typed(
        (yield Question(spoken("Code of the trainee who goes on"), more=spoken("For instance T-02.")))
    )


def asking_code() -> Asking[str]:
    """Who practises."""
    return typed((yield Question(spoken("Your code"), more=spoken("For instance T-01."))))


def asking_note() -> Asking[str]:
    """A remark."""
    return typed((yield Question(spoken("Your remark"))))


def asking_sign(of: str) -> Asking[SignTry]:
    """An instructor's word on a step, sealed by the PIN, which therefore comes last."""
    by = yield Question(spoken("Instructor's code"), more=spoken("Signing for: {act}", act=of))
    answer = yield Question(
        spoken("Your word"),
        "pick",
        (("passed", spoken("Passed")), ("not_yet", spoken("Not yet, with a note"))),
    )
    word: Literal["passed", "not_yet"] = "passed" if answer == "passed" else "not_yet"
    note = ""
    if word == "not_yet":
        note = yield Question(spoken("Note for the trainee"), may_be_empty=True)
    pin = yield Question(spoken("Your PIN"), "secret")
    return SignTry(typed(by), pin, word, typed(note))


def asking_take_setting(label: str, new: str) -> Asking[SignTry]:
    """An instructor's code and PIN to take a new shop value."""
    by = yield Question(
        spoken("Instructor's code"), more=spoken("Taking {label}: {new}", label=label, new=new)
    )
    pin = yield Question(spoken("Your PIN"), "secret")
    return SignTry(typed(by), pin)


def refused_words(verdict: str, wait: float) -> str:
    """What to say when a PIN was not taken."""
    if verdict == "too_soon":
        seconds = max(1, round(wait))
        return spoken("Too many wrong tries. The next one is looked at in {seconds} s.", seconds=seconds)
    if verdict == "unknown":
        return spoken("No instructor has that code at this station. See `sinkside guide pins`.")
    return spoken("That PIN is wrong. The try is recorded.")
