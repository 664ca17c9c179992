"""Work in a thread that may be left behind: the end of the program waits for none of it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future
from typing import TypeVar

T = TypeVar("T")


def aside(work: Callable[[], T], name: str) -> Future[T]:
    """Begin `work` in a thread of its own; what it gives or raises is the future's.

    The threads of an executor are waited for when the interpreter ends, whatever holds them up; this is not.
    """
    came: Future[T] = Future()

    def run() -> None:
        try:
            came.set_result(work())
        except BaseException as error:  # noqa: BLE001 - handed on to whoever asks for the result
            came.set_exception(error)

    threading.Thread(target=run, name=name, daemon=True).start()
    return came
