"""A value of a walk file together with its place, asked for what it should be."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from trainer.procedure.building import Node
from trainer.procedure.problems import Mistake, Path, Place, Problem, nearest
from trainer.procedure.quantity import Quantity, parse
from trainer.procedure.reader import Tree

CODES: dict[str, str] = {
    "W01": "A key or an act that walks do not have.",
    "W02": "A key that is missing.",
    "W03": "A value that does not fit its key.",
    "W04": "Something that only a rehearsal has.",
    "W05": "The procedure of the walk cannot be used.",
    "W06": "A name that is not in the procedure.",
    "W07": "A setting that is not known, or outside its limits.",
    "W10": "An act that is refused, or should be refused and is not.",
    "W11": "An act that does not fit what the step asks for.",
    "W12": "A step that is not reached.",
    "W13": "An act after the run is closed.",
    "W14": "An expectation that is not met.",
    "W15": "The procedure stops at something that cannot be computed.",
}
"""Code and meaning of what can be wrong with a walk."""


class Wrong(Exception):  # noqa: N818 - it carries a problem of the file
    """A value that cannot stand."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


@dataclass(frozen=True, slots=True)
class Spot:
    """A value and the way to it."""

    tree: Tree
    path: Path
    value: Node

    @property
    def key(self) -> str:
        """The last part of the way, for messages."""
        return str(self.path[-1]) if self.path else ""

    def wrong(self, code: str, message: str, help_: str, place: Place | None = None) -> Wrong:
        """A problem at this value, to be raised."""
        return Wrong(Problem(code, "error", message, help_, place or self.tree.place(self.path), self.path))

    def keys(self, known: Collection[str], called: str) -> dict[str, Spot]:
        """The values under a group of keys. Raises Wrong at a key that is not in `known`."""
        if not isinstance(self.value, dict):
            listed = ", ".join(f"`{word}`" for word in known)
            raise self.wrong(
                "W03", f"{called} is a group of keys.", f"Write one or more of {listed} under it."
            )
        for key in self.value:
            if key not in known:
                raise self._unknown(key, known, called)
        return self.inside()

    def inside(self) -> dict[str, Spot]:
        """The values under a group of keys, whatever they are called. Raises Wrong."""
        if not isinstance(self.value, dict):
            raise self.wrong(
                "W03", f"`{self.key}` is a group of keys.", f"Write `{self.key}: {{NAME: VALUE}}`."
            )
        return {key: Spot(self.tree, (*self.path, key), value) for key, value in self.value.items()}

    def entries(self) -> tuple[Spot, ...]:
        """The values of a list. Raises Wrong."""
        if not isinstance(self.value, list):
            raise self.wrong(
                "W03", f"`{self.key}` is a list.", "Begin each entry with `- ` on a line of its own."
            )
        return tuple(Spot(self.tree, (*self.path, at), value) for at, value in enumerate(self.value))

    def text(self) -> str:
        """A text, not empty. Raises Wrong."""
        if isinstance(self.value, str) and self.value.strip():
            return self.value
        raise self.wrong(
            "W03", f"`{self.key}` wants a text.", f"Write `{self.key}: ...`, a number in quotes."
        )

    def one_of(self, words: Collection[str]) -> str:
        """One of a few words. Raises Wrong."""
        if isinstance(self.value, str) and self.value in words:
            return self.value
        listed = " or ".join(f"`{word}`" for word in words)
        near = nearest(str(self.value), words) or next(iter(words))
        raise self.wrong("W03", f"`{self.key}` is {listed}.", f"Write `{self.key}: {near}`.")

    def whole(self, least: int) -> int:
        """A whole number of at least `least`. Raises Wrong."""
        if isinstance(self.value, int) and not isinstance(self.value, bool) and self.value >= least:
            return self.value
        raise self.wrong(
            "W03",
            f"`{self.key}` wants a whole number, {least} or more.",
            f"Write `{self.key}: {max(least, 1)}`.",
        )

    def number(self) -> float:
        """A number without a unit. Raises Wrong."""
        if isinstance(self.value, int | float) and not isinstance(self.value, bool):
            return float(self.value)
        raise self.wrong("W03", f"`{self.key}` wants a number without a unit.", f"Write `{self.key}: 24`.")

    def quantity(self) -> Quantity:
        """A number with its unit. Raises Wrong, in the words that quantities have everywhere."""
        try:
            return parse(self.value if isinstance(self.value, str) else str(self.value))
        except Mistake as mistake:
            raise self.wrong("W03", mistake.message, mistake.help) from mistake

    def seconds(self) -> float:
        """A time, in seconds. Raises Wrong."""
        said = self.quantity()
        try:
            seconds = said.to("s")
        except Mistake as mistake:
            raise self.wrong("W03", mistake.message, mistake.help) from mistake
        if seconds < 0:
            raise self.wrong("W03", "Time does not go backwards.", f"Write `{self.key}: 40 s`.")
        return seconds

    def _unknown(self, key: str, known: Collection[str], called: str) -> Wrong:
        near = nearest(key, known)
        listed = ", ".join(f"`{word}`" for word in known)
        return Wrong(
            Problem(
                "W01",
                "error",
                f"`{key[:40]}` is no key of {called[:1].lower()}{called[1:]}.",
                f"Write `{near}`, if that is meant." if near else f"Known keys: {listed}.",
                self.tree.key((*self.path, key)),
                (*self.path, key),
            )
        )
