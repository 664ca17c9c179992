"""Sets of names out of a large one, kept as the bits of a number: a thousand of them stay small and quick."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from collections.abc import Set as AbstractSet


class NameSet(AbstractSet[str]):
    """Some of the names that `places` numbers. Reads as any set of names does."""

    __slots__ = ("_places", "bits")

    def __init__(self, bits: int, places: Mapping[str, int]) -> None:
        self.bits = bits
        self._places = places

    def __contains__(self, name: object) -> bool:
        place = self._places.get(name) if isinstance(name, str) else None
        return place is not None and bool(self.bits >> place & 1)

    def __iter__(self) -> Iterator[str]:
        return (name for name, place in self._places.items() if self.bits >> place & 1)

    def __len__(self) -> int:
        return self.bits.bit_count()

    def __or__(self, other: Iterable[str]) -> NameSet:  # type: ignore[override] # names with names give names
        return NameSet(self.bits | bits_of(other, self._places), self._places)

    @classmethod
    def _from_iterable(cls, names: Iterable[str]) -> frozenset[str]:  # type: ignore[override] # as above
        return frozenset(names)


def bits_of(names: Iterable[str], places: Mapping[str, int]) -> int:
    """The bits of some names; those that have no number are left out."""
    bits = 0
    for name in names:
        if (place := places.get(name)) is not None:
            bits |= 1 << place
    return bits
