"""What the bench has said in English, said in the language spoken: bench and record know only English.

A sentence of a record is found again among all that the bench can say, so that also an old rehearsal is told
in the language of whoever looks at it. What is not found is told as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from string import Formatter
from typing import Final

from trainer.bench.faults import CATALOGUE
from trainer.bench.sign_words import EVEN, SEEN
from trainer.procedure.vocabulary import CONTROLS
from trainer.rehearsal.bench_terms import term
from trainer.tongue import marked, spoken

HELD_AGAINST: Final = (
    marked("at least {least} % protected"),
    marked("at least {least}"),
    marked("at most {most}"),
    marked("{low} to {high}"),
    marked("right-reading"),
    marked("all there"),
)
"""What a measure of a plate is held against."""
OF_THE_DAY: Final = {
    "film_wrong": marked("the film was made the wrong way round"),
    "film_damper": marked("the film had hung in other air"),
    "film_warmer": marked("the film was warmer or colder than it was made"),
    "plate_warmer": marked("the plate was warmer or colder than the film"),
    "plate_scratches": marked("the coating was scratched"),
    "developer_used": marked("the developer had done plates before"),
    "lamp_warm": marked("the lamp was cold, and a timer ended the light"),
    "lamp_hours": marked("the lamp was old, and a timer ended the light"),
}
"""What was wrong with the day, by the condition's name."""
LASTED: Final = marked("it lasted {seconds} s")
STOOD: Final = marked("{control} {position}")
"""Where a control was put."""
UNTOUCHED: Final = marked("{control} not touched ({position})")
"""A control that nobody operated at the step, and where it stood therefore."""
_LEFT: Final = re.compile(r"not touched \((.*)\)")


def sign(seen: str) -> str:
    """What is seen of a plate."""
    return _among((*SEEN.values(), EVEN), seen)


def held_against(wanted: str) -> str:
    """What a measure is held against. Things are counted without a word for it."""
    return _among(HELD_AGAINST, wanted.removesuffix(" each"))


def act(done: str) -> str:
    """What was done or left undone, in a few words."""
    for control in sorted((words(name) for name in CONTROLS), key=len, reverse=True):
        if done.startswith(f"{control} "):
            name = term(control.capitalize())
            lower = name[:1].lower() + name[1:]
            known = done.removeprefix(f"{control} ")
            left = _LEFT.fullmatch(known)
            template, stood = (UNTOUCHED, left[1]) if left else (STOOD, known)
            return spoken(template, control=lower, position=term(stood))
    return _among((*OF_THE_DAY.values(), LASTED), done)


def fault(named: str, done: str) -> str:
    """A fault of a plate: what the catalogue calls it; what was done, where it has none for it."""
    known = CATALOGUE.get(named)
    return spoken(known.title) if known is not None else act(done)


def words(key: str) -> str:
    """A key in words: `emulsion-down` is 'emulsion down'."""
    return key.replace("-", " ").replace("_", " ")


def _among(known: Iterable[str], said: str) -> str:
    """A sentence in the language spoken, if it is one of those known, with whatever amounts."""
    for template in known:
        found = _pattern(template).fullmatch(said)
        if found is not None:
            return spoken(template, **found.groupdict())
    return said


@cache
def _pattern(template: str) -> re.Pattern[str]:
    """What a sentence with places for amounts looks like once they are filled."""
    parts = Formatter().parse(template)
    named = (re.escape(text) + (f"(?P<{name}>.+)" if name else "") for text, name, _, _ in parts)
    return re.compile("".join(named))
