"""Changing one setting in a shop file: its other lines and remarks stay as they are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from trainer.procedure.building import Node
from trainer.procedure.files import FileTrouble, read_bytes, replace_file
from trainer.procedure.names import IDENT, NAME
from trainer.procedure.problems import Path as Way
from trainer.procedure.problems import ShopTrouble, first_sentence
from trainer.procedure.reader import Tree, read_tree
from trainer.procedure.scalars import resolve


def with_setting(source_text: str, procedure: str, setting: str, value: float) -> str:
    """`source_text` with one setting changed or added. Raises ShopTrouble where the file cannot be read."""
    if not (IDENT.fullmatch(procedure) and NAME.fullmatch(setting)):
        raise ShopTrouble(f"`{procedure[:63]}`, `{setting[:63]}`: no procedure and setting can be called so.")
    if not source_text.strip():
        source_text = source_text + "format: 1\n"
    tree = _read(source_text)
    way: Way = ("procedures", procedure, setting)
    edited = _edited(tree, way, _number(value))
    after = read_tree(edited.encode(), "the shop file")
    if not after.complete or after.value != _changed(tree.value, way, float(_number(value))):
        raise ShopTrouble(
            "The shop file is written in a way that cannot be changed here. "
            f"Write `{setting}: {_number(value)}` under `{procedure}` in it yourself."
        )
    return edited


@dataclass(frozen=True, slots=True)
class ShopKeeper:
    """Keeps the shop's settings in the file at `path`."""

    path: Path

    def change(self, procedure: str, setting: str, value: float) -> None:
        """Keep a new value; the file is whole at every moment. Raises ShopTrouble."""
        path = self.path
        try:
            path = path.resolve()  # a link stays a link
            text = read_bytes(path).decode("utf-8-sig") if path.exists() else ""
            edited = with_setting(text, procedure, setting, value)
            path.parent.mkdir(parents=True, exist_ok=True)
            replace_file(path, edited.encode())
        except FileTrouble as trouble:
            raise ShopTrouble(f"The setting was not kept. {trouble}") from trouble
        except UnicodeDecodeError as error:
            raise ShopTrouble(f"The setting was not kept: {path} is not written in UTF-8.") from error
        except OSError as error:
            reason = error.strerror or "the system gives no reason"
            raise ShopTrouble(
                f"The setting was not kept: {path} cannot be written ({reason}). "
                "Look at its permissions and at the space on the disk."
            ) from error


def _read(text: str) -> Tree:
    tree = read_tree(text.encode("utf-8", "replace"), "the shop file")
    errors = [problem for problem in tree.problems if problem.severity == "error"]
    if errors or not isinstance(tree.value, dict):
        said = first_sentence(errors, "The shop file") if errors else "The shop file holds no keys."
        raise ShopTrouble(said)
    return tree


def _number(value: float) -> str:
    """As the reader reads it: no exponent."""
    if value == int(value):
        return str(int(value))
    return f"{value:.6f}".rstrip("0")


def _changed(root: Node, way: Way, value: float) -> Node:
    """What the file must say after the change."""
    first, *rest = way
    into = dict(root) if isinstance(root, dict) else {}
    into[str(first)] = _changed(into.get(str(first)), tuple(rest), value) if rest else value
    return into


def _edited(tree: Tree, way: Way, number: str) -> str:
    lines = tree.text.split("\n")
    there = next(way[:length] for length in range(len(way), -1, -1) if way[:length] in tree.places)
    missing = way[len(there) :]
    place = tree.places[there]
    if not missing:
        return _written_over(tree, there, number, lines)
    part = _part(tree.value, there)
    if isinstance(part, dict) and _is_flow(tree, there, lines):
        row = lines[place.line - 1]
        after = row[place.column :]
        joint = "" if not part else ", " if after.strip() else ","
        lines[place.line - 1] = row[: place.column] + _in_flow(missing, number) + joint + after
    elif isinstance(part, dict) and part:
        first = next(iter(part))
        indent = tree.keys[(*there, first)].column - 1
        lines[place.end_line : place.end_line] = _in_block(missing, number, indent)
    elif part is None and any(_is_flow(tree, there[:length], lines) for length in range(len(there))):
        before, after = (
            lines[place.line - 1][: place.column - 1],
            lines[place.line - 1][place.end_column - 1 :],
        )
        space = "" if before.endswith(" ") else " "
        lines[place.line - 1] = f"{before}{space}{{{_in_flow(missing, number)}}}{after}"
    elif part is None:
        line, indent = tree.keys[there].line, tree.keys[there].column + 1
        lines[line - 1] = _without_null(tree, there, lines[line - 1])
        lines[line:line] = _in_block(missing, number, indent)
    return "\n".join(lines)


def _written_over(tree: Tree, way: Way, number: str, lines: list[str]) -> str:
    """The value itself, where it is one; anything else is no setting, and is left for the author."""
    place = tree.places[way]
    row = lines[place.line - 1]
    if place.line == place.end_line:
        space = "" if row[: place.column - 1].endswith(" ") else " "
        lines[place.line - 1] = row[: place.column - 1] + space + number + row[place.end_column - 1 :]
    return "\n".join(lines)


def _without_null(tree: Tree, way: Way, row: str) -> str:
    """A line whose value is a written `null`, without it."""
    place = tree.places[way]
    return row[: place.column - 1].rstrip() + row[place.end_column - 1 :]


def _part(root: Node, way: Way) -> Node:
    for step in way:
        root = root[str(step)] if isinstance(root, dict) else None
    return root


def _is_flow(tree: Tree, way: Way, lines: list[str]) -> bool:
    place = tree.places[way]
    return lines[place.line - 1][place.column - 1 : place.column] == "{"


def _in_flow(missing: Way, number: str) -> str:
    written = number
    for step in reversed(missing):
        written = f"{_key(step)}: {written}" if written is number else f"{_key(step)}: {{{written}}}"
    return written


def _in_block(missing: Way, number: str, indent: int) -> Iterator[str]:
    *outer, last = missing
    for depth, step in enumerate(outer):
        yield f"{' ' * (indent + 2 * depth)}{_key(step)}:"
    yield f"{' ' * (indent + 2 * len(outer))}{_key(last)}: {number}"


def _key(step: str | int) -> str:
    """A key; in quotes where it would be read as a number or a truth."""
    return str(step) if isinstance(resolve(str(step)), str) else f'"{step}"'
