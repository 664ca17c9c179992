"""From the bytes of a file to text that may be parsed: size, encoding, characters."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.procedure.problems import Place, Problem
from trainer.procedure.text import clean, unclean

MOST_BYTES = 1024 * 1024
_MOST_CHARACTERS_SHOWN = 20
_NAMES = {0x00: "NUL", 0x07: "BEL", 0x08: "backspace", 0x1B: "ESC", 0x7F: "DEL", 0x85: "NEL", 0xFEFF: "BOM"}


@dataclass(frozen=True, slots=True)
class Source:
    """The text of a file, line feeds only, without characters that a terminal would obey.

    `text` is None where the bytes are no text at all; `problems` say why. Lines and columns of `text` are
    those of the file.
    """

    text: str | None
    problems: tuple[Problem, ...] = ()


def read_source(source: bytes) -> Source:
    """The text of `source`, or why there is none. Never raises."""
    if len(source) > MOST_BYTES:
        return _refused(
            "F06",
            "The file is larger than 1 MiB (1,048,576 bytes).",
            "Write shorter texts, or make two procedures of it.",
        )
    if wrong := _encoding(source):
        return wrong
    try:
        text = source.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        return _not_utf8(source, error)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        return _refused(
            "F09",
            "There is nothing in the file.",
            "Write a procedure, beginning with the line `format: 1`.",
        )
    if clean(text) == text.replace("\t", "    "):
        return Source(text)
    return Source(_without(text), _unwanted(text))


def _refused(code: str, message: str, help_: str, place: Place | None = None) -> Source:
    return Source(None, (Problem(code, "error", message, help_, place or Place(1, 1, 1, 1)),))


def _encoding(source: bytes) -> Source | None:
    """UTF-16, UTF-32 and files that are no text at all, told by their first bytes and by NUL."""
    save = "Save the file again as plain text in UTF-8."
    if source.startswith((b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")):
        return _refused("F07", "The file is written in UTF-32.", save)
    if source.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _refused("F07", "The file is written in UTF-16.", save)
    if (at := source.find(b"\0")) < 0:
        return None
    if _every_other_is_nul(source[:200]):
        return _refused("F07", "The file is written in UTF-16 or UTF-32.", save)
    before = source[:at].decode("utf-8", "replace")
    return _refused(
        "F08",
        "The file holds a NUL byte: it is no text.",
        "Give a procedure written as plain text, a file that ends in `.yaml`.",
        _at(before, len(before)),
    )


def _every_other_is_nul(start: bytes) -> bool:
    return len(start) > 3 and (not any(start[1::2]) or not any(start[::2]))


def _not_utf8(source: bytes, error: UnicodeDecodeError) -> Source:
    before = source[: error.start].decode("utf-8-sig", "replace").replace("\r\n", "\n").replace("\r", "\n")
    byte = source[error.start]
    return _refused(
        "F07",
        f"Here is a byte (0x{byte:02X}) that is no UTF-8; the file may be in an older encoding.",
        "Save the file again as plain text in UTF-8, then look at the letters with accents.",
        _at(before, len(before)),
    )


def _unwanted(text: str) -> tuple[Problem, ...]:
    """A problem for each line that has such characters, at the first of them."""
    found = []
    for number, line in enumerate(text.split("\n"), start=1):
        at = unclean(line)
        if at is None:
            continue
        place = Place(number, at + 1, number, at + 2)
        found.append(
            Problem(
                "Y16",
                "error",
                f"Here is {character_name(line[at])}: unseen, it may make a text look like another.",
                "Delete it, and type the text around it again by hand.",
                place,
            )
        )
        if len(found) == _MOST_CHARACTERS_SHOWN:
            break
    return tuple(found)


def character_name(character: str) -> str:
    """For people: `a control character (ESC, U+001B)`."""
    from unicodedata import name  # only where something is wrong

    code = ord(character)
    called = _NAMES.get(code) or name(character, "").lower()
    kind = "a control character" if code < 0x20 or 0x7F <= code < 0xA0 else "an invisible character"
    return f"{kind} ({called}, U+{code:04X})" if called else f"{kind} (U+{code:04X})"


def _without(text: str) -> str:
    """`text` cleaned character by character, so that every column stays what it was."""
    return "".join(character if character == "\t" else clean(character) for character in text)


def _at(text: str, index: int) -> Place:
    line = text.count("\n", 0, index) + 1
    column = index - (text.rfind("\n", 0, index) + 1) + 1
    return Place(line, column, line, column + 1)
