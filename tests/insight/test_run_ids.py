"""Runs that a figure rests on, and records that are made when they are looked at."""

from __future__ import annotations

from trainer.insight.made import Made
from trainer.insight.results import RunHeld
from trainer.insight.run_ids import RunIds


def test_it_is_a_sequence_equal_to_a_tuple() -> None:
    """Length, place, part, equality and hash are those of the tuple; its words are short."""
    found = RunIds(("a", "b", "c", "d"), [1, 3])
    assert found == ("b", "d")
    assert (len(found), found[0], found[-1], list(found)) == (2, "b", "d", ["b", "d"])
    assert found[:1] == ("b",)
    assert "d" in found
    assert "a" not in found
    assert hash(found) == hash(("b", "d"))
    assert found != ("b",)
    assert repr(found) == "RunIds(2 runs)"


def test_records_are_made_when_looked_at() -> None:
    """A sequence equal to the tuple of its records, which exist no sooner than somebody asks."""
    made: list[str] = []

    def make(word: str, number: int) -> tuple[str, int]:
        made.append(word)
        return (word, number)

    found = Made(make, ["a", "b", "c"], [1, 2, 3])
    assert len(found) == 3
    assert made == []
    assert found[-1] == ("c", 3)
    assert made == ["c"]
    assert found[1:] == (("b", 2), ("c", 3))
    assert list(reversed(found)) == [("c", 3), ("b", 2), ("a", 1)]
    assert found == (("a", 1), ("b", 2), ("c", 3))
    assert hash(found) == hash(tuple(found))
    assert found != (("a", 1),)
    assert not Made(RunHeld, [], [], [])
