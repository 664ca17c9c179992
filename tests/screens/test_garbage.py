"""The search for garbage waits for the first screen, then goes on. No source: how this program does it."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterator

import pytest

from trainer import garbage


class Circle:
    """Something that only the search can free."""

    def __init__(self) -> None:
        self.myself = self


@pytest.fixture(autouse=True)
def search_as_before() -> Iterator[None]:
    """The other tests keep what they made, and their search."""
    yield
    gc.unfreeze()
    gc.enable()


def test_what_is_made_after_the_start_is_freed() -> None:
    """Held back, then begun: what was thrown away later is found, what came before is left out."""
    with garbage.held_back():
        assert not gc.isenabled()
        early = weakref.ref(Circle())
        garbage.begin()
        assert gc.isenabled()
        late = weakref.ref(Circle())
        gc.collect()
        assert early() is not None
        assert late() is None
    assert gc.isenabled()


def test_nothing_changes_where_nothing_is_held_back() -> None:
    """An app begun by something else than the command keeps the search of its program."""
    before = gc.get_freeze_count()
    garbage.begin()
    assert gc.isenabled()
    assert gc.get_freeze_count() == before


def test_an_error_at_the_start_leaves_the_search_on() -> None:
    """Held back, and left by an error before any screen stood."""
    with pytest.raises(LookupError), garbage.held_back():
        raise LookupError
    assert gc.isenabled()
