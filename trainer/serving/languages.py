"""Which language a browser is spoken to before anybody has chosen one."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from contextlib import contextmanager

from trainer import tongue

_WEIGHT = re.compile(r"0(\.[0-9]{0,3})?|1(\.0{0,3})?")
_MOST_RANGES = 20
"""Of a browser's languages, so many are looked at."""


def preferred(accepted: str, known: Collection[str], otherwise: str) -> str:
    """The first language of a browser's Accept-Language that we know, else the one that is served.

    Ranges and weights as of RFC 9110, 12.4.2 and 12.5.4; a range is looked up by its first part (RFC 4647,
    section 3.4).
    """
    wanted = [_range(one) for one in accepted.split(",")[:_MOST_RANGES]]
    for code, weight in sorted(wanted, key=lambda one: -one[1]):
        if weight > 0 and code in known:
            return code
        if weight > 0 and code == "*":
            break
    return otherwise


def _range(text: str) -> tuple[str, float]:
    """The first part of a language's code, and its weight; 0 for what is written otherwise."""
    code, _, more = text.partition(";")
    name, _, value = more.strip().partition("=")
    weight = 1.0
    if more.strip():
        fits = name.strip().lower() == "q" and _WEIGHT.fullmatch(value.strip())
        weight = float(value) if fits else 0.0
    return code.strip().partition("-")[0].lower(), weight


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Words in a language, between two steps of the loop: nothing may be awaited within."""
    before = tongue.language()
    tongue.speak(language)
    try:
        yield
    finally:
        tongue.speak(before)
