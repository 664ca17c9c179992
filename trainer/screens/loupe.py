"""A loupe over the plate: where it is and how much it magnifies. What it shows is computed elsewhere."""

from __future__ import annotations

from dataclasses import dataclass, replace

STEPS = (2, 5, 15, 50, 200)
"""How many times larger than the whole plate on this screen."""
PART = 0.25
"""Of what is seen, how far one press of a key moves."""
WAYS = {"left": (-1, 0), "right": (1, 0), "up": (0, -1), "down": (0, 1)}


@dataclass(frozen=True, slots=True)
class Loupe:
    """x, y: its middle, mm from the upper left corner. width, height: of what it is moved over, mm."""

    width: float
    height: float
    x: float
    y: float
    step: int = 1

    @property
    def times(self) -> int:
        """How much it magnifies, against the whole plate on the same screen."""
        return STEPS[self.step]

    def moved(self, key: str, across: float, down: float) -> Loupe:
        """A quarter of what is seen further; the plate's edges hold. across, down: what is seen, mm."""
        right, below = WAYS[key]
        return self.at(self.x + right * PART * across, self.y + below * PART * down).within(across, down)

    def at(self, x: float, y: float) -> Loupe:
        """Over that place, or the nearest on the plate."""
        return replace(self, x=min(max(0.0, x), self.width), y=min(max(0.0, y), self.height))

    def within(self, across: float, down: float) -> Loupe:
        """Where nothing beyond the plate is seen, as far as that can be."""
        return self.at(_held(self.x, across, self.width), _held(self.y, down, self.height))

    def magnified(self) -> Loupe:
        """The next magnification; after the strongest the weakest."""
        return replace(self, step=(self.step + 1) % len(STEPS))


def _held(middle: float, seen: float, length: float) -> float:
    return length / 2 if seen >= length else min(max(seen / 2, middle), length - seen / 2)


def over(width: float, height: float) -> Loupe:
    """A loupe over the middle."""
    return Loupe(width, height, width / 2, height / 2)
