"""A line of text from a person or a pipe, without holding up a wait that may ring meanwhile."""

from __future__ import annotations

import codecs
import getpass
import io
import queue
import threading
import unicodedata
from typing import Protocol, TextIO

from trainer.procedure.text import one_line

SPELLED = "sinkside.spelled"
"""What a terminal has no sign for is written in the signs that it has."""
_WRITTEN = {
    "°": "deg",
    "µ": "u",
    "▸": ">",
    "◆": "*",
    "■": "#",
    "□": "-",
    "…": "...",
    "¿": "",
    "¡": "",
}


def _spelled(fault: UnicodeError) -> tuple[str, int]:
    """`20 degC` where there is no degree sign, letters without their accents, and `?` for the rest."""
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    signs = fault.object[fault.start : fault.end]
    return "".join(_WRITTEN.get(sign, _bare(sign)) for sign in signs), fault.end


def _bare(sign: str) -> str:
    apart = unicodedata.normalize("NFKD", sign)
    return "".join(one for one in apart if one.isascii()) or "?"


codecs.register_error(SPELLED, _spelled)


class Gone(Exception):  # noqa: N818 - it reads as what happened
    """Nobody reads the lines any more: the pipe is closed, or the terminal has gone."""


class Lines(Protocol):
    """Where lines come from and go to."""

    def read(self, timeout: float | None) -> str | None:
        """The next line without its end; None where none came in time. Raises EOFError at the end."""
        ...

    def secret(self, ask: str) -> str:
        """A line that is not shown where that can be helped. Raises EOFError at the end."""
        ...

    def say(self, text: str) -> None:
        """Put out one line. Raises Gone."""
        ...


class StreamLines:
    """Lines of two streams. One thread waits for a line, and only while one is wanted."""

    def __init__(self, source: TextIO, sink: TextIO) -> None:
        self._source = source
        self._sink = sink
        self._got: queue.Queue[str] = queue.Queue()
        self._reading = False
        if isinstance(sink, io.TextIOWrapper):
            sink.reconfigure(errors=SPELLED)

    def read(self, timeout: float | None) -> str | None:
        """The next line, clean; None where none came in time."""
        if not self._reading:
            self._reading = True
            threading.Thread(target=self._wait, daemon=True).start()
        try:
            line = self._got.get(timeout=timeout)
        except queue.Empty:
            return None
        self._reading = False
        if not line:
            raise EOFError
        return one_line(line.rstrip("\r\n"))

    def _wait(self) -> None:
        try:
            line = self._source.readline()
        except (OSError, ValueError):  # the terminal went away, or the stream was closed
            line = ""
        self._got.put(line)

    def secret(self, ask: str) -> str:
        """Not shown on a terminal; a plain line from a pipe."""
        self.say(ask)
        if self._source.isatty():
            return getpass.getpass("", self._sink)
        line = self.read(None)
        return line or ""

    def say(self, text: str) -> None:
        """Put out one line at once. Raises Gone."""
        try:
            self._sink.write(text + "\n")
            self._sink.flush()
        except OSError as error:
            raise Gone from error
