"""The way into the review at a station: an instructor's code and PIN, where the record has one who has a PIN.

It keeps trainees from each other's marks at the station's own screen. It does not protect the file: whoever
has the account can read that, also with `sinkside review`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.record.people import People
from trainer.run.ports import Trouble
from trainer.screens.questions import Asking, Question, SignTry, refused_words, typed
from trainer.tongue import spoken

if TYPE_CHECKING:
    from trainer.screens.station import Station

OPEN = (
    "Anybody at this station can open this page: F8 asks for a PIN once there is an instructor who has one. "
    "`sinkside record person add I-1 --instructor` adds one."
)


def is_guarded(station: Station) -> bool:
    """Is a PIN asked for? Raises Trouble where the record cannot tell: then nobody is let in."""
    return People(station.journal).any_pin()


def asking_in() -> Asking[SignTry]:
    """Who wants in."""
    more = spoken("After class is for instructors: it shows everybody's marks.")
    by = yield Question(spoken("Instructor's code"), more=more)
    pin = yield Question(spoken("Your PIN"), "secret")
    return SignTry(typed(by), pin)


def refused(station: Station, tried: SignTry) -> str:
    """Why somebody is not let in, in a sentence; empty where the PIN is right. Slow by design."""
    tried = station.coded(tried)
    try:
        verdict = station.sign_off.check(tried.by, tried.pin)
    except Trouble as told:
        return str(told)
    return "" if verdict.verdict == "right" else refused_words(verdict.verdict, verdict.wait)
