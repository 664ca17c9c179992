"""The values that the formulas of these tests may use, and who answers them."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.procedure.engine import Taken
from trainer.procedure.scope import Declared, Scope
from trainer.procedure.vocabulary import Kind
from trainer.run.functions import FUNCTIONS


def _declared(name: str, kind: Kind, unit: str = "", keys: tuple[str, ...] = ()) -> Declared:
    return Declared(name, kind, unit, keys)


_NAMES = (
    _declared("settings.exposure", "number", "units"),
    _declared("settings.vacuum_floor", "number", "inHg"),
    _declared("settings.wedge_target", "number", "step"),
    _declared("readings.vacuum", "number", "inHg"),
    _declared("readings.wedge", "number", "step"),
    _declared("answers.rings", "text", keys=("still", "moving")),
    _declared("answers.leaks", "texts", keys=("tape", "film", "opaque")),
    _declared("worked.units", "number", "units"),
    _declared("plate.number", "number", "each"),
    _declared("plate.passes", "truth"),
)

SCOPE = Scope(
    {one.name: one for one in _NAMES},
    {one.name: (one,) for one in _NAMES},
    frozenset({"read-gauge", "draw-down", "expose"}),
)


class Known:
    """Values by name; every step was finished `tries` times."""

    def __init__(self, values: Mapping[str, Taken] | None = None, tries: float = 0) -> None:
        self.values = dict(values or {})
        self.tries = tries

    def value(self, name: str) -> Taken | None:
        """The value under a dotted name."""
        return self.values.get(name)

    def call(self, function: str, arguments: tuple[float | str, ...]) -> float | bool:
        """The functions of the run, and those that ask it."""
        if function == "tries":
            return self.tries
        if function == "taken":
            return arguments[0] in self.values
        return FUNCTIONS[function](*arguments)
