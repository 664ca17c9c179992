"""The machine under a station: Python and its libraries, clock, language, terminal, environment variables."""

from __future__ import annotations

import platform
import re
import sqlite3
from collections.abc import Iterator
from importlib import metadata

from trainer import places
from trainer.procedure.problems import nearest
from trainer.record.doctor.asked import Asked
from trainer.record.doctor.told import Told, fine, mend, note, unseen
from trainer.record.store import LEAST_SQLITE

NAME = "sinkside"
COLUMNS, ROWS = 80, 24
_FIRST_YEAR, _LAST_YEAR = 2026, 2100
_ANEW = "pipx reinstall sinkside"
_DEMAND = re.compile(r"\s*([A-Za-z0-9._-]+)\s*(?:\[[^\]]*\])?\s*\(?([^;)]*)\)?\s*(;.*)?")
_PART = re.compile(r"(>=|<=|==|!=|>|<|~=)\s*([0-9.]+)")


def machine(asked: Asked) -> Iterator[Told]:
    """Everything of the machine that a station leans on."""
    yield _python()
    yield _libraries()
    yield _sqlite()
    yield _clock(asked)
    yield _encoding(asked)
    yield _language(asked)
    yield from _variables(asked)
    yield _terminal(asked)


def within(version: str, demanded: str) -> bool:
    """Whether a version lies in a range such as `>=8.2,<9`, by its leading numbers (PEP 440's release part).

    What follows the numbers (`rc1`, `.post2`) is not looked at.
    """
    return all(_holds(_numbers(version), sign, _numbers(bound)) for sign, bound in _PART.findall(demanded))


def _numbers(version: str) -> tuple[int, ...]:
    found = re.match(r"\d+(?:\.\d+)*", version)
    return tuple(int(part) for part in found[0].split(".")) if found else ()


def _holds(have: tuple[int, ...], sign: str, bound: tuple[int, ...]) -> bool:
    length = max(len(have), len(bound))
    mine, other = ((*one, *[0] * (length - len(one))) for one in (have, bound))
    match sign:
        case ">=":
            return mine >= other
        case "<=":
            return mine <= other
        case ">":
            return mine > other
        case "<":
            return mine < other
        case "!=":
            return mine != other
        case "~=":
            return mine >= other and mine[: len(bound) - 1] == other[: len(bound) - 1]
    return mine == other


def _python() -> Told:
    version = platform.python_version()
    try:
        demanded = metadata.metadata(NAME)["Requires-Python"] or ""
    except metadata.PackageNotFoundError:
        return unseen(
            "python",
            f"Python {version}; which one is wanted is not known, since this is no installed package.",
            "Install it as `sinkside guide installing` says.",
        )
    if not within(version, demanded):
        return mend(
            "python",
            f"Python {version} is not one that this Sinkside was made for ({demanded}).",
            "Install it under such a Python.",
            f"{_ANEW} --python python3.12",
        )
    return fine("python", f"Python {version}")


def _libraries() -> Told:
    """Every library the package wants, there and in its range."""
    try:
        wanted = metadata.requires(NAME) or []
    except metadata.PackageNotFoundError:
        return unseen(
            "libraries", "Sinkside is not installed as a package: its libraries cannot be looked at."
        )
    wrong: list[str] = []
    count = 0
    for demand in wanted:
        found = _DEMAND.fullmatch(demand)
        if found is None or "extra" in (found[3] or ""):
            continue
        count += 1
        name, demanded = found[1], found[2].strip()
        try:
            version = metadata.version(name)
        except metadata.PackageNotFoundError:
            wrong.append(f"{name} is missing")
            continue
        if not within(version, demanded):
            wrong.append(f"{name} is {version}, wanted is {demanded}")
    if wrong:
        return mend("libraries", f"Libraries do not fit: {'; '.join(wrong)}.", "Install them anew.", _ANEW)
    return fine("libraries", f"{count} libraries, all in the versions that are wanted")


def _sqlite() -> Told:
    if sqlite3.sqlite_version_info < LEAST_SQLITE:
        return mend(
            "sqlite",
            f"This Python has SQLite {sqlite3.sqlite_version}; the record needs 3.37 or newer.",
            "Install a newer Python, and Sinkside under it.",
            f"{_ANEW} --python python3.12",
        )
    return fine("sqlite", f"SQLite {sqlite3.sqlite_version}")


def _clock(asked: Asked) -> Told:
    """The year only: whether the clock fits what was kept is looked at with the record."""
    now = asked.clock.now().at
    if not _FIRST_YEAR <= int(now[:4]) < _LAST_YEAR:
        return mend(
            "clock",
            f"The clock says {now[:16]}Z, which cannot be.",
            "Set it, and let the system keep it by the network. Times kept until then stay as they are.",
            "timedatectl set-ntp true",
        )
    return fine("clock", f"The clock says {now[:16].replace('T', ' ')} UTC")


def _encoding(asked: Asked) -> Told:
    if asked.encoding.replace("-", "").lower() != "utf8":
        return mend(
            "locale",
            f"This account's texts are in {asked.encoding}, and Sinkside's are UTF-8: signs will be missing.",
            "Set a UTF-8 locale for the account.",
            "export LANG=C.UTF-8",
        )
    return fine("locale", "The locale is UTF-8")


def _language(asked: Asked) -> Told:
    given = asked.environment.get("SINKSIDE_LANG", "")
    if given and not places.is_language(given):
        return mend(
            "language",
            f"SINKSIDE_LANG is {given!r}, which is no code of a language, so English is spoken.",
            "Give it a code such as es, or take it away.",
            "unset SINKSIDE_LANG",
        )
    code = places.language(given or None) if given else "en"
    catalogues = [folder.name for folder in places.words_dir().iterdir() if folder.is_dir()]
    if code.partition("-")[0] not in ("en", *catalogues):
        return note(
            "language",
            f"There are no screens in the language {code}: their own words are English, "
            "and only procedures that have it speak it.",
        )
    return fine("language", f"The language is {code}")


def _variables(asked: Asked) -> Iterator[Told]:
    """Variables that look like ours and that nobody reads: a slip there is else never told."""
    for name in sorted(asked.environment):
        if name.startswith("SINKSIDE_") and name not in places.VARIABLES:
            near = nearest(name, [known.lower() for known in places.VARIABLES])
            meant = f"Is {near.upper()} meant?" if near else "See `sinkside guide station`."
            command = f"unset {name}" if name.isidentifier() else ""
            yield mend("variable", f"The variable {name} is set, and nothing reads it.", meant, command)


def _terminal(asked: Asked) -> Told:
    screen = asked.screen
    if not screen.columns:
        return note("terminal", "What is said here goes to no terminal, so no terminal was looked at.")
    if screen.columns < COLUMNS or screen.rows < ROWS:
        return mend(
            "terminal",
            f"The terminal has {screen.columns} columns by {screen.rows} lines; wanted: {COLUMNS} by {ROWS}.",
            "Make the window larger, or its letters smaller; or work in lines of text.",
            "sinkside run --plain",
        )
    if screen.encoding.replace("-", "").lower() != "utf8":
        return mend(
            "terminal",
            f"What is written on this terminal is {screen.encoding}, not UTF-8.",
            "Set a UTF-8 locale, and the terminal to UTF-8.",
            "export LANG=C.UTF-8",
        )
    if asked.environment.get("TERM", "dumb") in ("dumb", "unknown", ""):
        return mend(
            "terminal",
            "TERM does not say which terminal this is.",
            "Set it to what your terminal is; for a terminal that can do no more, work in lines of text.",
            "sinkside run --plain",
        )
    known = "" if screen.colours is None else f", {screen.colours} colours"
    size = f"The terminal has {screen.columns} columns by {screen.rows} lines{known}"
    if screen.colours is not None and screen.colours < 16:
        return note("terminal", f"{size}. Sixteen look better; nothing is told by colour alone.")
    return fine("terminal", size)
