"""Reads YAML strictly: plain values, each with its place, and nothing that could surprise its author.

There is no recursion and no reference, so the cost of a file is bounded by its size.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.procedure.building import Builder, Node
from trainer.procedure.problems import Path, Place, Problem, in_order
from trainer.procedure.source import read_source


@dataclass(frozen=True, slots=True)
class Tree:
    """A file as values and places. `places` has the place of each value, `keys` that of each key.

    `complete`: everything was read, though parts may have been refused (their paths are in `refused`).
    `text` is the file's text, safe to show.
    """

    value: Node
    places: dict[Path, Place]
    keys: dict[Path, Place]
    problems: tuple[Problem, ...]
    text: str
    complete: bool
    refused: frozenset[Path]

    def place(self, path: Path) -> Place:
        """The place of the value at `path`, or of the nearest part around it that is there."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places.get(path, Place())

    def at(self, path: Path) -> Node:
        """The value at `path`; None where there is none."""
        node = self.value
        for step in path:
            if isinstance(node, dict):
                node = node.get(str(step))
            elif isinstance(node, list) and isinstance(step, int) and step < len(node):
                node = node[step]
            else:
                return None
        return node

    def key(self, path: Path) -> Place:
        """The place of the key at `path`; where it has none, that of its value."""
        return self.keys.get(path) or self.place(path)


def read_tree(source: bytes, file: str) -> Tree:
    """The tree of a file and every problem of reading it. Never raises; `file` is for messages only."""
    del file
    read = read_source(source)
    if read.text is None:
        return Tree(None, {}, {}, read.problems, "", complete=False, refused=frozenset())
    builder = Builder(read.text)
    complete = builder.build()
    problems = in_order((*read.problems, *builder.problems))
    return Tree(
        builder.root, builder.places, builder.keys, problems, read.text, complete, frozenset(builder.refused)
    )
