"""Builds dicts and lists from the YAML parser's events, with the place of every key and value.

Refuses what procedure files do not have (references, type marks, keys that stand twice, ...) and goes on
where it can, so that everything wrong with a file is said at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from trainer.procedure import keyless, yaml_words
from trainer.procedure.problems import Path, Place, Problem, Related
from trainer.procedure.scalars import Scalar, is_read_elsewhere, resolve
from trainer.procedure.source import character_name
from trainer.procedure.text import clean, unclean

if TYPE_CHECKING:
    from yaml import MarkedYAMLError
    from yaml.events import (
        AliasEvent,
        CollectionEndEvent,
        CollectionStartEvent,
        DocumentStartEvent,
        Event,
        NodeEvent,
        ScalarEvent,
    )

MOST_DEEP = 20
MOST_NODES = 50_000
_OLDEST_LIBYAML = (0, 2, 6)

Node = Scalar | list["Node"] | dict[str, "Node"]
"""What a file is made of."""


def events(text: str) -> Iterator[Event]:
    """The parser's events. Raises yaml.YAMLError where it stops."""
    from yaml import CSafeLoader, parse  # 20 ms, and the start screen may have nothing to read

    yield from parse(text, Loader=CSafeLoader)


def library_problem() -> Problem | None:
    """What is wrong with the YAML library of this computer, or None."""
    import yaml

    if yaml.__with_libyaml__:
        from yaml import _yaml

        if _yaml.get_version() >= _OLDEST_LIBYAML:
            return None
    return Problem(
        "F10",
        "error",
        "The YAML library of this computer has no fast parser, or one older than 0.2.6.",
        "Install it again: `pip install --force-reinstall 'pyyaml>=6.0.4'`.",
    )


class _Stop(Exception):  # noqa: N818 - no error: reading ends here
    """The rest of the file is not read."""


@dataclass(slots=True)
class _Frame:
    """A mapping or list that is being read. `path` is None in a part that is refused.

    `doubled`: its `id` stood there twice.
    """

    into: dict[str, Node] | list[Node]
    path: Path | None
    start: Place
    key: str | None = None
    skip: bool = False
    is_key: bool = False
    doubled: bool = False


@dataclass(slots=True)
class Builder:
    """The values of `text`: call `build`, then read `root`, `places`, `keys`, `problems`, `refused`.

    `until`: stop reading, with success, as soon as these keys of the outermost part are read.
    """

    text: str
    until: frozenset[str] = frozenset()
    root: Node = None
    places: dict[Path, Place] = field(default_factory=dict)
    keys: dict[Path, Place] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    refused: set[Path] = field(default_factory=set)
    lines: list[str] = field(default_factory=list)
    stack: list[_Frame] = field(default_factory=list)
    nodes: int = 0
    documents: int = 0

    def build(self) -> bool:
        """Read everything; False where reading had to stop."""
        import yaml

        if outdated := library_problem():
            self.problems.append(outdated)
            return False
        self.lines = self.text.split("\n")
        takers = self._takers()
        try:
            for event in events(self.text):
                if (take := takers.get(type(event))) is not None:
                    take(event)
                if self.until and len(self.stack) == 1 and self._has_enough():
                    return True
        except _Stop:
            return False
        except yaml.MarkedYAMLError as error:
            self.problems.append(_explained(_trouble(error, self.lines)))
            return False
        except yaml.YAMLError:
            self._problem(
                "Y01", "The file cannot be read as YAML.", "Save it again as plain text in UTF-8.", Place()
            )
            return False
        return True

    def _has_enough(self) -> bool:
        return isinstance(self.root, dict) and self.until <= self.root.keys()

    def _takers(self) -> dict[type[Event], Callable[[Any], None]]:
        """What takes an event, by its type: a long file has tens of thousands of them."""
        import yaml

        return {
            yaml.ScalarEvent: self._scalar,
            yaml.MappingStartEvent: lambda event: self._open(event, {}),
            yaml.SequenceStartEvent: lambda event: self._open(event, []),
            yaml.MappingEndEvent: self._close,
            yaml.SequenceEndEvent: self._close,
            yaml.AliasEvent: self._alias,
            yaml.DocumentStartEvent: self._document,
        }

    def _document(self, event: DocumentStartEvent) -> None:
        place = _place_of(event)
        self.documents += 1
        if self.documents > 1:
            self._problem(
                "Y13",
                "A second document begins here; a file holds one procedure.",
                "Delete the line `---`, or put what follows into a file of its own.",
                place,
            )
            raise _Stop
        if event.version or event.tags:
            self.problems.append(yaml_words.directive(Place(1, 1, 1, 2)))

    def _scalar(self, event: ScalarEvent) -> None:
        place = _place_of(event)
        self._count(place)
        marked = self._marks(event, place)
        plain = not event.style
        text = event.value
        if event.style == '"':
            text = self._unescaped(text, place)
        if self.stack and isinstance(self.stack[-1].into, dict) and self.stack[-1].key is None:
            self._key(text, place, plain=plain)
            return
        value: Node = resolve(text) if plain else text
        path = self._put(value, place)
        if marked and path is not None:
            self.refused.add(path)
        elif plain and path is not None and isinstance(value, str):
            self._warn(value, place, path)

    def _key(self, text: str, place: Place, *, plain: bool) -> None:
        """A scalar where a mapping wants a key."""
        frame = self.stack[-1]
        frame.key = text
        if plain and text == "<<":
            frame.skip = True
            self._problem(
                "Y11",
                "`<<` copies keys from elsewhere, and procedure files do not have that.",
                "Delete the line and write the keys out here.",
                place,
            )
        elif plain and not isinstance(resolve(text), str):
            frame.skip = True
            self._no_word(f"`{text}`" if text else "nothing", place)
        elif frame.path is not None and (first := self.keys.get((*frame.path, text))):
            frame.skip = True
            another = text == "id" and frame.path != () and isinstance(frame.path[-1], int)
            if not frame.doubled:  # two steps run into one have most of their keys twice
                self._problem(
                    "Y12",
                    f"The key `{_short(text)}` stands here a second time.",
                    "If another entry of the list begins here, write `- id:`, with the `-` where the others "
                    "have theirs. Else delete one of the two."
                    if another
                    else "Delete one of the two, or give one of them the name that was meant.",
                    place,
                    Related(first, "first written here"),
                )
            frame.doubled = frame.doubled or another
        elif frame.path is not None:
            self.keys[(*frame.path, text)] = place

    def _no_word(self, what: str, place: Place) -> None:
        before = self.lines[place.line - 1][: place.column - 1]
        message = f"A key must be a word, and here stands {what}."
        self._problem("Y17", message, keyless.no_word(before, what), place)

    def _open(self, event: CollectionStartEvent, into: dict[str, Node] | list[Node]) -> None:
        place = _place_of(event)
        self._count(place)
        self._marks(event, place)
        if len(self.stack) >= MOST_DEEP:
            self.problems.append(yaml_words.too_deep(place))
            raise _Stop
        parent = self.stack[-1] if self.stack else None
        if parent and isinstance(parent.into, dict) and parent.key is None:
            self._no_word("a list or a group of keys", place)
            self.stack.append(_Frame(into, None, place, is_key=True))
            return
        path = self._put(into, place)
        self.stack.append(_Frame(into, path, place))

    def _close(self, event: CollectionEndEvent) -> None:
        frame = self.stack.pop()
        if frame.is_key:
            self.stack[-1].key, self.stack[-1].skip = "", True
        elif frame.path is not None:
            end = _place_of(event)
            line, column = end.end_line, end.end_column
            if end.line == line and end.column == column:
                line, column = self._last_end(frame)  # in block form the end is where the next part begins
            self.places[frame.path] = Place(frame.start.line, frame.start.column, line, column)

    def _last_end(self, frame: _Frame) -> tuple[int, int]:
        """Where a part in block form really ends: with its last value, not where the next part begins."""
        assert frame.path is not None  # noqa: S101 - the caller looked
        into = frame.into
        last = len(into) - 1 if isinstance(into, list) else next(reversed(into), None)
        if last is None or last == -1:
            return frame.start.end_line, frame.start.end_column
        place = self.places[(*frame.path, last)]
        return place.end_line, place.end_column

    def _alias(self, event: AliasEvent) -> None:
        place = _place_of(event)
        self._count(place)
        self.problems.append(yaml_words.star(place, self.lines[place.line - 1][place.column - 1 :]))
        if self.stack and isinstance(self.stack[-1].into, dict) and self.stack[-1].key is None:
            self.stack[-1].key, self.stack[-1].skip = "", True
            return
        path = self._put(None, place)
        if path is not None:
            self.refused.add(path)

    def _put(self, value: Node, place: Place) -> Path | None:
        """Put a value where it belongs; its path, or None in a part that is refused."""
        if not self.stack:
            self.root = value
            self.places[()] = place
            return ()
        frame = self.stack[-1]
        into = frame.into
        step: str | int
        if isinstance(into, list):
            step = len(into)
            into.append(value)
        else:
            assert frame.key is not None  # noqa: S101 - a value comes after its key
            step, frame.key = frame.key, None
            if frame.skip:
                frame.skip = False
                return None
            into[step] = value
        if frame.path is None:
            return None
        path = (*frame.path, step)
        self.places[path] = place
        return path

    def _count(self, place: Place) -> None:
        self.nodes += 1
        if self.nodes > MOST_NODES:
            self._problem(
                "Y15",
                f"The file holds more than {MOST_NODES:,} keys and values.",
                "Make two procedures of it, or delete what is not needed.",
                place,
            )
            raise _Stop

    def _marks(self, event: NodeEvent, place: Place) -> bool:
        """Refuse `&` and `!` before a value; True where one stands there."""
        tag = getattr(event, "tag", None)
        if event.anchor is None and tag is None:
            return False
        text = self.lines[place.line - 1][place.column - 1 :]
        word = yaml_words.ampersand if event.anchor is not None else yaml_words.exclamation
        self.problems.append(word(place, text))
        return True

    def _unescaped(self, text: str, place: Place) -> str:
        """The text of double quotes; codes in it may have made characters that a terminal would obey."""
        at = unclean(text)
        if at is not None:
            self._problem(
                "Y16",
                f"A code in this text stands for {character_name(text[at])}.",
                "Delete the code; use single quotes ('like this') where a backslash is meant.",
                place,
            )
        return clean(text)

    def _warn(self, text: str, place: Place, path: Path) -> None:
        """Warn where the author may not get what was meant."""
        row = self.lines[place.end_line - 1] if place.end_line <= len(self.lines) else ""
        rest = row[place.end_column - 1 :]
        if rest.startswith(" #") and not rest.startswith("  "):
            column = place.end_column + 1
            self.problems.append(
                Problem(
                    "Y19",
                    "warning",
                    "The text ends before the `#`: what follows a space and `#` is not read.",
                    f'If it belongs to the text, put all of it in quotes: `"{_short(text + rest)}"`. '
                    "If it is a remark, leave two spaces before the `#`.",
                    Place(place.end_line, column, place.end_line, len(row) + 1),
                    path,
                )
            )
        if is_read_elsewhere(text):
            self.problems.append(
                Problem(
                    "Y20",
                    "warning",
                    f"`{_short(text)}` is a text here, and other programs may read it as something else.",
                    f'Write it in quotes: `"{_short(text)}"`.',
                    place,
                    path,
                )
            )
        if any(line.lstrip().startswith("- ") for line in self.lines[place.line : place.end_line]):
            self.problems.append(
                Problem(
                    "Y23",
                    "warning",
                    "This text goes on over several lines, and what looks like a list in it is read as text.",
                    "If it is a list, write nothing after the key's colon and begin every entry with `- `. "
                    "If it is a text, put it in quotes.",
                    place,
                    path,
                )
            )

    def _problem(self, code: str, message: str, help_: str, place: Place, *related: Related) -> None:
        self.problems.append(Problem(code, "error", message, help_, place, (), related))


def _place_of(event: Event) -> Place:
    start, end = event.start_mark, event.end_mark
    assert start is not None  # noqa: S101 - the parser gives every event its marks
    assert end is not None  # noqa: S101 - as above
    return Place(start.line + 1, start.column + 1, end.line + 1, end.column + 1)


def _explained(trouble: yaml_words.Trouble) -> Problem:
    from trainer.procedure.open_quote import left_open  # only where something is wrong

    return left_open(trouble) or yaml_words.explain(trouble)


def _trouble(error: MarkedYAMLError, lines: list[str]) -> yaml_words.Trouble:
    mark = error.problem_mark or error.context_mark
    context = error.context_mark or mark
    return yaml_words.Trouble(
        problem=str(error.problem or ""),
        context=str(error.context or ""),
        line=mark.line if mark else 0,
        column=mark.column if mark else 0,
        context_line=min(context.line if context else 0, len(lines) - 1),
        context_column=context.column if context else 0,
        lines=lines,
    )


def _short(text: str) -> str:
    return text if len(text) <= 50 else text[:49] + "…"
