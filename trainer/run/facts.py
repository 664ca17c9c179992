"""What formulas may ask of a run: its values by dotted name, and the functions."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from trainer.run import functions
from trainer.run.events import Value
from trainer.run.frozen import frozen
from trainer.run.state import Kept, State


@frozen
class Facts:
    """The values of a run as formulas see them (`procedure.expressions.Values`).

    plate: in a rehearsal, gives the plate's measures as they stand; asked only where a formula wants one.
    """

    state: State
    plate: Callable[[], Mapping[str, Value]] | None = None

    def value(self, name: str) -> Kept | None:
        """The value under a dotted name, None where it is not taken (or not any more)."""
        root, _, tail = name.partition(".")
        if root == "settings":
            return self.state.settings.get(tail)
        if name == "plate.number":
            return float(self.state.plate)
        if root == "plate":
            return None if self.plate is None else self._measure(tail)
        taken = self.state.taken(name)
        return None if taken is None else taken.value

    def call(self, function: str, arguments: tuple[float | str, ...]) -> float | bool:
        """The result of a function. Raises ValueError, with a sentence, where it has none."""
        if function == "tries":
            return float(self.state.tries.get(_name(function, arguments), 0))
        if function == "taken":
            return self.value(_name(function, arguments)) is not None
        return functions.call(function, arguments)

    def _measure(self, name: str) -> Kept | None:
        found = self.plate().get(name) if self.plate is not None else None
        return float(found) if isinstance(found, int) and not isinstance(found, bool) else found


def _name(function: str, arguments: tuple[float | str, ...]) -> str:
    if len(arguments) != 1 or not isinstance(arguments[0], str):
        raise ValueError(f"{function} takes one name in quotes.")
    return arguments[0]
