"""Text that people read: cleaned once where it enters, in one or several languages."""

from __future__ import annotations

from collections.abc import Mapping

Text = str | dict[str, str]
"""A text in a file: one string, or one string for each language code (`{en: ..., es: ...}`)."""

_BIDI = (*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x061C, 0x200E, 0x200F)
_UNSEEN = (
    0x00AD,
    *range(0x115F, 0x1161),
    0x180E,
    0x200B,
    *range(0x2060, 0x2066),
    *range(0x206A, 0x2070),
    0x3164,
    0xFFA0,
    *range(0x1BCA0, 0x1BCA4),
    *range(0x1D173, 0x1D17B),
)
"""Characters that show nothing, or a blank, and would make two texts look alike that are not.

Not among them: the joiners U+200C and U+200D, variation selectors and U+034F, which change or part the
letters beside them and belong to how some languages are written.
"""
_REPLACED = (
    *range(0x80, 0xA0),
    *_BIDI,
    *_UNSEEN,
    0x2028,
    0x2029,
    *range(0xD800, 0xE000),
    *range(0xFFF9, 0xFFFC),
    0xFEFF,
    *range(0xE0000, 0xE0080),
)
_TABLE: dict[int, str] = {
    **{code: chr(0x2400 + code) for code in range(0x20)},
    0x7F: "\u2421",
    **dict.fromkeys(_REPLACED, "\ufffd"),
    0x0A: "\n",
    0x09: "    ",
}

_BLANKS = tuple(chr(code) for code in _UNSEEN if chr(code).isprintable())
"""Of those that are replaced, the few that Unicode calls printable."""


def clean(text: str) -> str:
    """Make `text` safe to show: controls become visible pictures; what turns direction or is unseen, U+FFFD.

    Line feeds stay, tabs become four spaces. Called where a text enters the program: file, command line,
    environment, database row.
    """
    if text.replace("\n", "").isprintable() and not any(blank in text for blank in _BLANKS):
        return text  # nearly every text: found out ten times as fast as it is gone through
    return text.translate(_TABLE)


def one_line(text: str) -> str:
    """The same for a text that is one line, as a name, a path or a sentence is: line feeds are seen too."""
    return clean(text).replace("\n", "\u240a")


def unclean(text: str) -> int | None:
    """Index of the first character that `clean` would replace (tabs and line feeds apart), or None."""
    for index, character in enumerate(text):
        if character not in "\n\t" and ord(character) in _TABLE:
            return index
    return None


def in_language(text: Text | None, language: str = "en") -> str:
    """The string of `text` in `language` (`es` for `es-MX` too), else in the language that stands first."""
    if text is None:
        return ""
    if isinstance(text, str):
        return text
    return _from_mapping(text, language)


def _from_mapping(texts: Mapping[str, str], language: str) -> str:
    for code in (language, language.partition("-")[0]):
        if code in texts:
            return texts[code]
    return next(iter(texts.values()), "")
