"""When the program looks for garbage among its objects: not while it makes many that stay.

So it waits while a procedure is read and while a class is found out about: it took a fifth of the one and
half of the other.

Start-up makes some hundred thousand objects and throws hardly any away, and looking through them again and
again took a seventh of the time to the first step. So the search waits until the first screen stands, and
what was made by then (modules, the plan, the first screen: a few MB that stay for as long as the program)
is left out of it.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

STANDS_AFTER = 2.0
"""Seconds from the app's first message until its first screen stands, on a slow machine too."""


@contextmanager
def held_back() -> Iterator[None]:
    """No search in here until `begin` is called; after it, searches as before."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def begin() -> None:
    """Search from now on, among what is made from now on. Does nothing where it is not held back."""
    if not gc.isenabled():
        gc.freeze()
        gc.enable()
