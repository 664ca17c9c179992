"""Instructors' PINs: kept as argon2id hashes, wrong tries slowed down and written down.

Parameters: argon2-cffi's default profile, the second recommended option of RFC 9106 (3 passes, 64 MiB,
4 lanes).
"""

from __future__ import annotations

import sqlite3
import unicodedata
from contextlib import closing
from itertools import pairwise
from pathlib import Path

from trainer.procedure.text import clean, unclean
from trainer.record import reserve
from trainer.record.codes import LONGEST_CODE, code
from trainer.record.store import connect, troubles, writing
from trainer.run.clock import to_ms
from trainer.run.events import Stamp
from trainer.run.ports import Clock, JournalTrouble, PinVerdict

DIGITS = 6
LEAST_PHRASE = 12
LONGEST_PHRASE = 128
FREE_TRIES = 5
FIRST_DELAY = 30.0
LONGEST_DELAY = 15 * 60.0
"""After five wrong tries the next is looked at after 30 s, then 60 s, and so on up to 15 minutes."""


def pin_fault(pin: str) -> str:
    """What is wrong with a new PIN, as a sentence; empty where nothing is."""
    if pin.isascii() and pin.isdecimal():
        if len(pin) != DIGITS:
            return "A PIN of digits has six. Take six digits, or a phrase of at least 12 letters."
        return "This PIN is among the first that anybody would try. Take another." if _easy(pin) else ""
    if len(pin) < LEAST_PHRASE:
        return "A phrase has at least 12 letters. Take a longer one, or six digits."
    if len(pin) > LONGEST_PHRASE:
        return "A phrase has at most 128 letters. Take a shorter one."
    if unclean(pin) is not None:
        return "This phrase has a character that cannot be typed again. Take letters, digits and blanks."
    if len(set(pin.casefold())) < DIGITS:
        return "This phrase repeats a few letters only. Take one with more different letters."
    return ""


def _easy(digits: str) -> bool:
    """One or two digits only, a part repeated, or counting up or down by the same step."""
    numbers = [int(digit) for digit in digits]
    steps = {(after - before) % 10 for before, after in pairwise(numbers)}
    repeated = digits[:3] == digits[3:] or digits[:2] == digits[2:4] == digits[4:]
    return len(set(digits)) <= 2 or len(steps) == 1 or repeated or digits == digits[::-1]


def _plain(pin: str) -> str:
    """The same phrase typed on different keyboards is the same phrase."""
    return unicodedata.normalize("NFC", pin.strip())


def hashed(pin: str) -> str:
    """The argon2id hash of a new PIN. Raises JournalTrouble with what is wrong with it."""
    from argon2 import PasswordHasher  # 42 ms to import, and wanted only where a PIN is set or tried

    plain = _plain(pin)
    if fault := pin_fault(plain):
        raise JournalTrouble(fault)
    return PasswordHasher().hash(plain)


def _fits(kept: str, pin: str) -> bool:
    from argon2 import PasswordHasher  # as above
    from argon2.exceptions import InvalidHashError, VerificationError

    plain = _plain(pin)
    if not plain or len(plain) > LONGEST_PHRASE:
        return False
    try:
        return PasswordHasher().verify(kept, plain)
    except (VerificationError, InvalidHashError, UnicodeEncodeError):
        return False


def note_reset(connection: sqlite3.Connection, instructor: str, at: str) -> None:
    """Write down that a PIN was set anew: earlier wrong tries no longer count. Inside a transaction."""
    connection.execute(
        "INSERT INTO pin_tries (instructor, at, boot, ticks_ms, found) VALUES (?, ?, '', 0, 'reset')",
        (instructor, at),
    )


class PinCheck:
    """Looks at a try of a PIN. Implements `run.ports.SignOff`; any thread may call it; takes about 0.1 s."""

    def __init__(self, path: Path, clock: Clock) -> None:
        self._path = path
        self._clock = clock

    def check(self, instructor: str, pin: str) -> PinVerdict:
        """Look at one try, and record it. Raises JournalTrouble where the record cannot be used."""
        who = _code_or_text(instructor)
        with troubles(self._path), closing(connect(self._path, make=False)) as connection:
            begun = reserve.spared(self._path, lambda: self._begin(connection, who))
            if isinstance(begun, PinVerdict):
                return begun
            number, kept = begun
            if not _fits(kept, pin):
                return PinVerdict("wrong_pin", _wait(connection, who, self._clock.now()))
            right = "UPDATE pin_tries SET found = 'right' WHERE number = ?"
            reserve.spared(self._path, lambda: connection.execute(right, (number,)))
            return PinVerdict("right")

    def _begin(self, connection: sqlite3.Connection, who: str) -> PinVerdict | tuple[int, str]:
        """Write the try down as a wrong one before it is looked at: whoever kills the program gains nothing.

        Gives the number of the try and the hash to hold it against, or the verdict where that is out already.
        """
        now = self._clock.now()
        with writing(connection):
            row = connection.execute(
                "SELECT pin FROM people WHERE code = ? AND role = 'instructor' AND pin <> ''", (who,)
            ).fetchone()
            if row is None:
                _note(connection, who, now, "unknown")
                return PinVerdict("unknown")
            wait = _wait(connection, who, now)
            if wait > 0:
                _note(connection, who, now, "too_soon")
                return PinVerdict("too_soon", wait)
            return _note(connection, who, now, "wrong_pin"), str(row[0])


def _code_or_text(typed: str) -> str:
    """A code as it is kept; what cannot be one, short and clean, so that the try can be noted."""
    try:
        return code(typed)
    except ValueError:
        return clean(typed).strip()[:LONGEST_CODE]


def _note(connection: sqlite3.Connection, who: str, now: Stamp, found: str) -> int:
    done = connection.execute(
        "INSERT INTO pin_tries (instructor, at, boot, ticks_ms, found) VALUES (?, ?, ?, ?, ?)",
        (who, now.at, now.boot, now.ticks_ms, found),
    )
    return done.lastrowid or 0


def _wait(connection: sqlite3.Connection, who: str, now: Stamp) -> float:
    """Seconds until another try is looked at."""
    # Beside max(), SQLite gives the other columns of that same row.
    wrong, _, boot, ticks_ms, at = connection.execute(
        "SELECT count(*), max(number), boot, ticks_ms, at FROM pin_tries "
        "WHERE instructor = ?1 AND found = 'wrong_pin' AND number > (SELECT ifnull(max(number), 0) "
        "FROM pin_tries WHERE instructor = ?1 AND found IN ('right', 'reset'))",
        (who,),
    ).fetchone()
    if wrong < FREE_TRIES:
        return 0.0
    delay: float = min(LONGEST_DELAY, FIRST_DELAY * 2.0 ** min(wrong - FREE_TRIES, 20))
    return max(0.0, delay - _seconds_since(Stamp(at, boot, ticks_ms), now))


def _seconds_since(then: Stamp, now: Stamp) -> float:
    """Seconds gone by for sure, by a clock that nobody sets.

    After a restart: those since it, whatever the wall clock was set to meanwhile. (Where the machine has no
    id of its restarts, every start of the program looks like one, and the wall clock has to be asked too.)
    """
    since_start = now.ticks_ms / 1000
    if then.boot == now.boot:
        return since_start - then.ticks_ms / 1000
    by_the_wall = (to_ms(now.at) - to_ms(then.at)) / 1000
    return min(by_the_wall, since_start) if by_the_wall >= 0 else since_start
