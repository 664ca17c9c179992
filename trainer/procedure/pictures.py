"""Pictures: line drawings in plain text beside a procedure file, at most 36 by 10 cells."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from trainer import tongue
from trainer.places import picture_paths
from trainer.procedure.checks_languages import languages_of
from trainer.procedure.levels import matching
from trainer.procedure.problems import Problem
from trainer.procedure.reader import Tree
from trainer.procedure.render import cells
from trainer.procedure.text import clean

WIDEST = 36
TALLEST = 10
_MOST_BYTES = 8 * 1024


def read_picture(procedure_file: Path, picture: str, language: str | None = None) -> tuple[str, ...] | None:
    """The rows of a picture, safe to show, no blank ones at the ends; None where it cannot be shown.

    language: of the words in it, else the one spoken; where there is none in it, the one for all languages.
    """
    rows = _read(procedure_file, picture, tongue.language() if language is None else language)
    return rows if isinstance(rows, tuple) else None


def picture_problem(procedure_file: Path, picture: str, language: str = "") -> tuple[str, str, str] | None:
    """Why a picture cannot be shown: a code, what is wrong, what to do. None where it can."""
    found = _read(procedure_file, picture, language)
    return None if isinstance(found, tuple) else (found.code, found.message, found.help)


def problems_of(tree: Tree, procedure_file: Path) -> Iterator[Problem]:
    """A warning for each step whose picture is missing or cannot be shown: the work goes on without it.

    Of a picture that is drawn in several of the file's languages the first that is wrong is told.
    """
    drawn = [
        (path, picture)
        for path, picture in matching(tree.value, "stages.*.steps.*.picture")
        if isinstance(picture, str)
    ]
    languages = ("", *languages_of(tree.value)) if drawn else ()
    for path, picture in drawn:
        wrong = (picture_problem(procedure_file, picture, language) for language in languages)
        for code, message, help_ in islice(filter(None, wrong), 1):
            yield Problem(code, "warning", message, help_, tree.place(path), path)


def _read(procedure_file: Path, picture: str, language: str) -> tuple[str, ...] | Problem:
    for path in picture_paths(procedure_file, picture, language):
        try:
            with path.open("rb") as file:
                source = file.read(_MOST_BYTES + 1)
        except FileNotFoundError:
            continue
        except OSError as error:
            return _wrong(
                path.stem, f"cannot be read ({clean(error.strerror or 'the system gives no reason')})"
            )
        return _rows(source, path.stem)
    return Problem(
        "F11",
        "warning",
        f"There is no picture `{picture[:63]}`.",
        f"Draw it in plain text, {WIDEST} by {TALLEST} cells or smaller, and save it as "
        f"`pictures/{picture[:63]}.txt` beside this file; or delete the line.",
    )


def _rows(source: bytes, picture: str) -> tuple[str, ...] | Problem:
    """The rows of a picture's bytes."""
    if len(source) > _MOST_BYTES:
        return _wrong(picture, "is larger than any drawing of that size")
    try:
        text = clean(source.decode("utf-8-sig").replace("\r\n", "\n"))
    except UnicodeDecodeError:
        return _wrong(picture, "is not plain text in UTF-8")
    rows = [row.rstrip() for row in text.split("\n")]
    while rows and not rows[-1]:
        rows.pop()
    while rows and not rows[0]:
        rows.pop(0)
    width = max((cells(row) for row in rows), default=0)
    if not rows:
        return _wrong(picture, "is empty")
    if width > WIDEST or len(rows) > TALLEST:
        return _wrong(picture, f"is {width} by {len(rows)} cells")
    return tuple(rows)


def _wrong(picture: str, reason: str) -> Problem:
    return Problem(
        "F12",
        "warning",
        f"The picture `{picture[:63]}` {reason}.",
        f"Draw it in plain text, at most {WIDEST} cells wide and {TALLEST} high, and save it in UTF-8.",
    )
