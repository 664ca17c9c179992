"""What an instructor is asked before an act after class; the PIN comes last. English only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from trainer.record.part import part_of
from trainer.screens.questions import Asking, Question, typed
from trainer.screens.review.filtering import day_typed

if TYPE_CHECKING:
    from trainer.record.mistyped import ToPutRight
    from trainer.record.part import Place

OWN_CODE = "Instructor's code"
AT_STATION = (
    "The shared record is for reading. Remarks, words and excuses are given, and codes put right, at the "
    "station where the run was worked, and come here with what it forwards."
)


def refused_here(place: Place) -> str:
    """Why nothing can be kept here, before anything is asked; empty in a station's own record."""
    return "" if isinstance(part_of(place).record, Path) else AT_STATION


@dataclass(frozen=True, slots=True)
class Said:
    """An act as it was said: which, by whom, in what words. of, word: the step that is signed, and how.

    runs: whose code was mistyped, and which runs are put right.
    """

    act: Literal["note", "excuse", "sign", "put_right"]
    code: str
    pin: str = field(repr=False)
    words: str = ""
    of: str = ""
    word: Literal["passed", "not_yet"] = "passed"
    runs: ToPutRight | None = None


def asking_note() -> Asking[Said]:
    """A remark on a run."""
    words = typed((yield Question("Your remark on this run", more="It is kept with the run for good.")))
    code = typed((yield Question(OWN_CODE, more="For instance I-1.")))
    return Said("note", code, (yield Question("Your PIN", "secret")), words)


def asking_excuse() -> Asking[Said]:
    """Why a run is taken out of the figures."""
    more = "It stays in the record and can be seen, but counts in no figure. This cannot be taken back."
    words = typed((yield Question("Why does this run not count?", more=more)))
    code = typed((yield Question(OWN_CODE, more="For instance I-1.")))
    return Said("excuse", code, (yield Question("Your PIN", "secret")), words)


def asking_sign(signable: Sequence[tuple[str, str]]) -> Asking[Said]:
    """A word after class on a run's plate. signable: (step, words) of each that can be signed."""
    of = signable[0][0]
    if len(signable) > 1:
        of = yield Question("What do you sign?", "pick", tuple(signable))
    act = dict(signable)[of]
    options = (("passed", "Passed"), ("not_yet", "Not yet, with a note"))
    answer = yield Question("Your word", "pick", options, more=f"Signing for: {act}")
    word: Literal["passed", "not_yet"] = "passed" if answer == "passed" else "not_yet"
    note = ""
    if word == "not_yet":
        note = typed((yield Question("Note for the trainee", may_be_empty=True)))
    code = typed((yield Question(OWN_CODE, more="For instance I-1.")))
    return Said("sign", code, (yield Question("Your PIN", "secret")), note, of, word)


def asking_right_code(wrong: str, *, alone: bool) -> Asking[str]:
    """Whose the runs are that `wrong` was typed for. alone: a single run, else all of them."""
    which = "This run is" if alone else "All runs are"
    more = "" if alone else " One run alone is put right on its own page."
    ask = f"{which} kept under {wrong}. What is the right code?"
    return typed((yield Question(ask, more=f"For instance T-01. Nothing is changed yet.{more}")))


def asking_put_right(runs: ToPutRight) -> Asking[Said | None]:
    """Whether it is meant so, once it is known what it would change; then by whom."""
    options = (("no", "No, leave it as it is"), ("yes", "Yes, put it right"))
    answer = yield Question(
        runs.before, "pick", options, more=f"{runs.of_right} Every figure goes by it; it can be put back."
    )
    if answer != "yes":
        return None
    code = typed((yield Question(OWN_CODE, more="For instance I-1.")))
    return Said("put_right", code, (yield Question("Your PIN", "secret")), runs=runs)


Days = tuple[datetime | None, datetime | None]


def asking_days() -> Asking[Days]:
    """From which day to which; each asked again until it is one."""
    first = yield from _asking_day("From which day?", "nothing: from the beginning")
    last = yield from _asking_day("To which day, that day taken in?", "nothing: to the end")
    return first, last


def _asking_day(ask: str, empty: str) -> Asking[datetime | None]:
    more = f"For instance 2026-03-01; {empty}."
    while True:
        answer = yield Question(ask, may_be_empty=True, more=more)
        try:
            return day_typed(answer)
        except ValueError:
            more = f"{typed(answer)} is no day. Year, month, day: 2026-03-01; {empty}."
