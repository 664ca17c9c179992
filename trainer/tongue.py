"""The app's own words, in the language that is spoken: looked up in catalogues of GNU gettext.

English stands in the code, inside `spoken(...)`, `counted(...)` or `marked(...)`, where it is extracted from;
other languages stand in `trainer/words/CODE/LC_MESSAGES/`. What is not translated is said in English. Texts
of procedures are not here: they carry their own languages (`procedure.text`).

One program speaks one language at a time. Nothing is read before the first word that is not English.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer import places

if TYPE_CHECKING:
    from gettext import NullTranslations

DOMAIN = "sinkside"
NAMES = {"en": "English", "es": "Español"}
"""What each language that the app speaks calls itself."""

_spoken = "en"
_catalogues: dict[str, NullTranslations | None] = {}


def speak(language: str) -> None:
    """From now on, speak `language`, the code of one; English where there is no catalogue for it."""
    global _spoken  # noqa: PLW0603 - a program has one screen, and one language on it
    _spoken = language


def language() -> str:
    """The code of the language that is asked for."""
    return _spoken


def marked(text: str) -> str:
    """`text` as it is, named as one to translate: for tables of words that `spoken` looks up later."""
    return text


def spoken(text: str, /, **values: object) -> str:
    """`text` in the language spoken, with `{name}` for each of `values`."""
    if not text:
        return ""  # gettext keeps the head of a catalogue there
    catalogue = _catalogue()
    said = text if catalogue is None else catalogue.gettext(text)
    return _filled(said, text, values)


def counted(one: str, more: str, number: int, /, **values: object) -> str:
    """`one` or `more`, as the language counts `number`; both know `{number}` beside `values`."""
    catalogue = _catalogue()
    english = one if number == 1 else more
    said = english if catalogue is None else catalogue.ngettext(one, more, number)
    return _filled(said, english, {"number": number, **values})


def _filled(said: str, english: str, values: dict[str, object]) -> str:
    """The values put in. A translation with a place that nothing fills gives way to English."""
    if not values:
        return said
    try:
        return said.format_map(values)
    except (LookupError, ValueError, AttributeError):
        return english.format_map(values)


def _catalogue() -> NullTranslations | None:
    """The catalogue of the language spoken, read once; None for English, and where there is none."""
    if _spoken not in _catalogues:
        _catalogues[_spoken] = _read(_spoken)
    return _catalogues[_spoken]


def _read(code: str) -> NullTranslations | None:
    """The catalogue for a code, or for its first part: `es` also speaks for `es-MX`."""
    known = code if code in NAMES else code.partition("-")[0]
    if known not in NAMES or known == "en":
        return None
    from gettext import GNUTranslations  # with click it is here already; a run in English never reads one
    from struct import error

    file = places.words_dir() / known / "LC_MESSAGES" / f"{DOMAIN}.mo"
    try:
        with file.open("rb") as packed:
            return GNUTranslations(packed)
    except (OSError, ValueError, error):
        return None  # not there, or damaged: English is better than nothing
