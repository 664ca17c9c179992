"""What a person is asked before an act that needs words: the same on the screen and in lines of text.

Each `asking_...` is a generator: it yields a `Question`, is sent the answer, and returns what was gathered.
So the order of the questions is written once, and a front end only has to know how to put one question.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass
from typing import Literal, TypeVar

from trainer.procedure.text import clean

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
    ("scratched or dented", "Scratched or dented"),
    ("touched or wet coating", "Coating touched or wetted"),
    ("exposed wrongly", "Exposed wrongly, or stray light"),
    ("out of register", "Film or mask out of register"),
    ("developed wrongly", "Developed too little or too long"),
    ("oxidised or gummed badly", "Oxidised, or gummed badly"),
    (OTHER, "Something else"),
)


@dataclass(frozen=True, slots=True)
class SignTry:
    """One try of an instructor to sign. word: passed or not_yet (a taken setting has no word)."""

    by: str
    pin: str
    word: Literal["passed", "not_yet"] = "passed"
    note: str = ""


def typed(text: str) -> str:
    """A typed line as it is kept: cleaned, on one line, without blanks around it, not endless."""
    return " ".join(clean(text).split())[:LONGEST]


def asking_spoil() -> Asking[str]:
    """Why a plate is spoiled."""
    reason = yield Question("What spoiled the plate?", "pick", _SPOILED)
    if reason == OTHER:
        reason = yield Question("Say in a few words what spoiled it.")
    return typed(reason)


def asking_stop() -> Asking[str]:
    """Why a run is stopped for good."""
    sure = yield Question(
        "Stop this run for good? It cannot be gone on with.",
        "pick",
        (("no", "No, go on"), ("yes", "Yes, stop it")),
        more="To come back to it later, leave with q instead.",
    )
    if sure != "yes":
        return ""
    return typed((yield Question("Why is it stopped?")))


def asking_hand_over() -> Asking[str]:
    """Who goes on."""
    return typed((yield Question("Code of the trainee who goes on", more="For instance T-02.")))


def asking_code() -> Asking[str]:
    """Who practises."""
    return typed((yield Question("Your code", more="For instance T-01.")))


def asking_note() -> Asking[str]:
    """A remark."""
    return typed((yield Question("Your remark")))


def asking_sign(of: str) -> Asking[SignTry]:
    """An instructor's word on a step, sealed by the PIN, which therefore comes last."""
    by = yield Question("Instructor's code", more=f"Signing for: {of}")
    answer = yield Question("Your word", "pick", (("passed", "Passed"), ("not_yet", "Not yet, with a note")))
    word: Literal["passed", "not_yet"] = "passed" if answer == "passed" else "not_yet"
    note = ""
    if word == "not_yet":
        note = yield Question("Note for the trainee", may_be_empty=True)
    pin = yield Question("Your PIN", "secret")
    return SignTry(typed(by), pin, word, typed(note))


def asking_take_setting(label: str, new: str) -> Asking[SignTry]:
    """An instructor's code and PIN to take a new shop value."""
    by = yield Question("Instructor's code", more=f"Taking {label}: {new}")
    pin = yield Question("Your PIN", "secret")
    return SignTry(typed(by), pin)


def refused_words(verdict: str, wait: float) -> str:
    """What to say when a PIN was not taken."""
    if verdict == "too_soon":
        return f"Too many wrong tries. The next one is looked at in {max(1, round(wait))} s."
    if verdict == "unknown":
        return "No instructor has that code at this station. See `sinkside guide`, people."
    return "That PIN is wrong. The try is recorded."
