"""A language without words: what is still read on a screen in it was never given to translators.

Every word of the app becomes a mark, and so does every text of the procedure; the places for values stay. So
codes, figures and signs of units are all that is left, and whatever else is left would be English to somebody
who speaks another language.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from gettext import NullTranslations
from string import Formatter

import pytest
import yaml

from trainer import places, tongue
from trainer.procedure.load import load_bytes
from trainer.procedure.plan import Plan

LANGUAGE = "qaa"
"""Its code: ISO 639-2 keeps qaa to qtz for local use."""
MARK = "~"
SIGNS = {
    *("inHg", "kPa", "degC", "min", "cm²"),
    *("Black", "Blue"),  # what stands on the edge of the film
    *("sinkside", "run", "rehearsal", "plain"),  # a command to type
}
"""What is the same in every language: units that are signs, what is printed on a film, commands."""


class _OnIsAWord(yaml.SafeLoader):
    """Reads `on` and `off` as words, as the format has it."""


class _OnIsAWordOut(yaml.SafeDumper):
    """Writes them so."""


for _kind in (_OnIsAWord, _OnIsAWordOut):
    _kind.yaml_implicit_resolvers = {
        first: [one for one in resolvers if one[0] != "tag:yaml.org,2002:bool" or first in "tTfF"]
        for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
    }


class Wordless(NullTranslations):
    """The catalogue of that language."""

    def gettext(self, message: str) -> str:
        """The places of a text."""
        return places_of(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """The places of a text that counts."""
        del msgid1, n
        return places_of(msgid2)


@contextmanager
def speaking() -> Iterator[None]:
    """That language in here, English after it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tongue, "_catalogues", {LANGUAGE: Wordless()})
        tongue.speak(LANGUAGE)
        try:
            yield
        finally:
            tongue.speak("en")


@cache
def places_of(text: str) -> str:
    """A mark and the places for values of a text."""
    names = [name for _, name, _, _ in Formatter().parse(text) if name]
    return " ".join([MARK, *(f"{{{name}}}" for name in names)])


def wordless_plan(procedure: str) -> Plan:
    """A shipped procedure of which every text is a mark in that language."""
    file = places.procedures_dir() / f"{procedure}.yaml"
    told = _wordless(yaml.load(file.read_bytes(), _OnIsAWord))  # noqa: S506 - it is the safe one, but for two words
    return load_bytes(
        yaml.dump(told, Dumper=_OnIsAWordOut, sort_keys=False, allow_unicode=True).encode(), str(file)
    ).require()


def _wordless(value: object) -> object:
    if isinstance(value, Mapping):
        if set(value) == {"en", "es"}:
            return {**value, LANGUAGE: MARK}
        return {key: _wordless(one) for key, one in value.items()}
    return [_wordless(one) for one in value] if isinstance(value, list) else value


def read_in(lines: Iterable[str]) -> list[str]:
    """Lines with the words that are read in them, each once: words of three letters or more."""
    found: dict[str, None] = {}
    for line in lines:
        words = [word for word in re.findall(r"[^\W\d_]{3,}", line) if word not in SIGNS]
        if words:
            found[line] = None
    return list(found)
