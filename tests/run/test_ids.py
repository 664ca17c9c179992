"""Event ids: UUIDv7, rising."""

from __future__ import annotations

import uuid

import pytest
import uuid6
from hypothesis import given
from hypothesis import strategies as st

from trainer.run.fakes import FakeClock
from trainer.run.ids import Ids, new_run_id, parts

# Source: learning-records U1 and U2, RFC 9562 appendix A.6.
EXAMPLE = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
EXAMPLE_MS = 1_645_557_742_000
MOMENTS = st.integers(min_value=0, max_value=(1 << 48) - 10_000)


def test_example_of_the_standard_is_read() -> None:
    """The example of RFC 9562 has the milliseconds and the 12 bits that the RFC prints for it."""
    assert parts(EXAMPLE) == (EXAMPLE_MS, 0xCC3)


@given(MOMENTS)
def test_layout_is_the_standards(unix_ms: int) -> None:
    """Version 7, variant 0b10, and the milliseconds are where RFC 9562 section 5.7 puts them."""
    made = uuid.UUID(Ids().new(unix_ms))
    assert (made.version, made.variant) == (7, uuid.RFC_4122)
    assert uuid6.UUID(str(made)).time == unix_ms  # an independent implementation of the RFC reads it so


def test_other_implementation_is_read() -> None:
    """The time of an id that the package uuid6 made is read as that package reads it."""
    made = uuid6.uuid7()
    assert parts(str(made))[0] == made.time


@given(st.lists(MOMENTS, min_size=2, max_size=60))
def test_ids_rise_whatever_the_clock_does(moments: list[int]) -> None:
    """Ids made one after the other sort in that order, also when the wall clock goes back."""
    ids = Ids()
    made = [ids.new(moment) for moment in moments]
    assert made == sorted(set(made))


def test_full_counter_goes_on() -> None:
    """More ids in a millisecond than its counter holds still rise, all different."""
    ids = Ids()
    made = [ids.new(EXAMPLE_MS) for _ in range(10_000)]
    assert made == sorted(set(made))


def test_ids_go_on_after_a_restart() -> None:
    """Ids made after a given one come after it, though the wall clock stands earlier."""
    assert Ids(after=EXAMPLE).new(EXAMPLE_MS - 60_000) > EXAMPLE


def test_other_versions_are_refused() -> None:
    """An id of another version is no id of ours."""
    with pytest.raises(ValueError, match="version 7"):
        parts(str(uuid.UUID(int=4 << 76)))


def test_run_id_carries_the_clocks_time() -> None:
    """A run's id is made at the time of the clock that was handed in."""
    assert parts(new_run_id(FakeClock("2022-02-22T19:22:22.000Z")))[0] == EXAMPLE_MS
