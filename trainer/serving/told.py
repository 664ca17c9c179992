"""Errors that nobody foresaw in the server: a sentence, and the details in the log, as everywhere."""

from __future__ import annotations

import logging

from aiohttp.http_exceptions import HttpProcessingError

from trainer.screens.leaving import say_fault, tell


class Faults(logging.Handler):
    """Takes what the library of the server logs as an error; a browser's bad request is none."""

    def emit(self, record: logging.LogRecord) -> None:
        """Keep the error; what is only a line is said."""
        error = record.exc_info[1] if record.exc_info else None
        if isinstance(error, HttpProcessingError):  # whoever sends such could fill the log
            return
        if error is None:
            tell(record.getMessage())
        else:
            say_fault(error)


def keep_faults() -> None:
    """From now on, errors inside the server are kept in our log instead of being printed."""
    for name in ("aiohttp", "asyncio"):
        log = logging.getLogger(name)
        log.handlers[:] = [Faults(logging.ERROR)]
        log.propagate = False
