"""What may be on a disk after the power went: built from the writes and syncs that SQLite asked for.

Simulated: a write may be there or not, whole or its first half, in any order, until its file is synced; a new
or removed name until its folder is. A journal's first sync brings its name to the disk too, as SQLite's own
storage does it. Not simulated: a disk that lies about a sync, and damage to what was synced long ago.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Literal, TypeVar, cast
from unittest.mock import patch

import apsw
from faulty_disk import Connection

from trainer.record import store

if TYPE_CHECKING:
    from typing_extensions import Buffer  # of collections.abc only from Python 3.12 on

T = TypeVar("T")

ALL_OF = 4
"""Of so many changes every subset is tried."""

What = Literal["make", "write", "cut", "sync", "remove", "rename", "link", "sync_folder", "said"]


@dataclass(frozen=True)
class Entry:
    """One thing asked of the disk, or said by the writer. size: where a cut ends, or a write begins.

    to: the name that a file gets, in the place of its own or beside it.
    """

    what: What
    name: str = ""
    size: int = 0
    data: bytes = b""
    to: str = ""


class Recorder:
    """The log of what was asked. ignore: what a sabotaged storage does not do (`sync NAME`)."""

    def __init__(self, *files: Path, ignore: str = "") -> None:
        self.base = {file.name: file.read_bytes() for file in files}
        self.log: list[Entry] = []
        self.ignore = ignore

    def note(self, what: What, name: str, size: int = 0, data: bytes = b"", to: str = "") -> None:
        """One more entry."""
        if f"{what} {name}" != self.ignore:
            self.log.append(Entry(what, name, size, data, to))

    def say(self, line: str) -> None:
        """What the writer promised, in its place between the writes."""
        self.log.append(Entry("said", data=line.encode("ascii")))


class File(apsw.VFSFile):
    """A real file whose changes are written down."""

    def __init__(self, recorder: Recorder, path: str | apsw.URIFilename | None, flags: list[int]) -> None:
        self._recorder = recorder
        path_text = path.filename() if isinstance(path, apsw.URIFilename) else path or ""
        self._name = Path(path_text).name
        if not Path(path_text).exists():
            recorder.note("make", self._name)
        self._fresh = self._name.endswith("-journal")
        super().__init__("", path, flags)

    def xWrite(self, data: Buffer, offset: int) -> None:  # noqa: N802 - SQLite's name, as all below
        """Write."""
        self._recorder.note("write", self._name, offset, bytes(data))
        super().xWrite(data, offset)

    def xTruncate(self, newsize: int) -> None:  # noqa: N802
        """Cut."""
        self._recorder.note("cut", self._name, newsize)
        super().xTruncate(newsize)

    def xSync(self, flags: int) -> None:  # noqa: N802
        """Sync; the first time a journal's name too."""
        self._recorder.note("sync", self._name)
        if self._fresh:
            self._recorder.note("sync_folder", self._name)
            self._fresh = False
        super().xSync(flags)


class Storage(apsw.VFS):
    """The real storage, written down."""

    def __init__(self, recorder: Recorder) -> None:
        self._recorder = recorder
        self.name = f"recorded-{id(recorder)}"
        super().__init__(self.name, "")

    def xOpen(self, name: str | apsw.URIFilename | None, flags: list[int]) -> File:  # noqa: N802
        """Open."""
        return File(self._recorder, name, flags)

    def xDelete(self, filename: str, syncdir: bool) -> None:  # noqa: N802
        """Remove; with `syncdir` the folder is synced behind it."""
        self._recorder.note("remove", Path(filename).name)
        super().xDelete(filename, syncdir)
        if syncdir:
            self._recorder.note("sync_folder", Path(filename).name)


@contextmanager
def recorded(recorder: Recorder) -> Iterator[None]:
    """Every record opened inside is written down."""
    storage = Storage(recorder)

    def opened(path: Path) -> sqlite3.Connection:
        return cast("sqlite3.Connection", Connection(path, storage.name))

    with patch.object(store, "opened", opened):
        yield
    storage.unregister()


@dataclass
class Held:
    """One file: what is on the disk for sure, and what may be."""

    sure: bytes = b""
    maybe: list[Entry] = field(default_factory=list)


Change = dict[str, Held | None]
"""Names that came (with their file) or went, all at once."""


@dataclass
class Model:
    """The disk at one moment: names for sure, names as programs see them, and the changes between."""

    names: dict[str, Held]
    seen: dict[str, Held]
    changes: list[Change] = field(default_factory=list)

    def take(self, entry: Entry) -> None:
        """Follow one entry of the log."""
        match entry.what:
            case "make":
                self.seen[entry.name] = Held()
                self.changes.append({entry.name: self.seen[entry.name]})
            case "remove":
                self.seen.pop(entry.name)
                self.changes.append({entry.name: None})
            case "rename":
                self.seen[entry.to] = self.seen.pop(entry.name)
                self.changes.append({entry.name: None, entry.to: self.seen[entry.to]})
            case "link":
                self.seen[entry.to] = self.seen[entry.name]
                self.changes.append({entry.to: self.seen[entry.to]})
            case "write" | "cut":
                self.seen[entry.name].maybe.append(entry)
            case "sync":
                held = self.seen[entry.name]
                held.sure, held.maybe = applied(held.sure, held.maybe), []
            case "sync_folder":
                self.names, self.changes = dict(self.seen), []

    def states(self, random: Random) -> Iterator[dict[str, bytes]]:
        """Contents by name that may be found after the power went now."""
        for changes in choices(self.changes, random):
            yield from _contents(self.named(changes), random)

    def named(self, changes: list[Change]) -> dict[str, Held]:
        """The names for sure, and those of some changes."""
        names = dict(self.names)
        for change in changes:
            for name, held in change.items():
                if held is None:
                    names.pop(name, None)
                else:
                    names[name] = held
        return names

    def killed(self) -> dict[str, bytes]:
        """Contents by name where the program alone was killed: all that was asked for is there."""
        return {name: applied(held.sure, held.maybe) for name, held in self.seen.items()}

    def some(self, random: Random) -> dict[str, bytes]:
        """Contents by name of one state, drawn by lot, after the power went now."""
        names = self.named(one_of(self.changes, random))
        return {name: applied(held.sure, one_of(held.maybe, random)) for name, held in names.items()}


def one_of(made: list[T], random: Random) -> list[T]:
    """Which of what was asked may have happened: the first ones, or any."""
    if random.random() < 0.5:
        return made[: random.randint(0, len(made))]
    share = random.random()
    return [one for one in made if random.random() < share]


def _contents(names: dict[str, Held], random: Random) -> Iterator[dict[str, bytes]]:
    """One file's choices at a time, the others with all or none of what may be there."""
    for others in (True, False):
        usual = {name: applied(held.sure, held.maybe if others else []) for name, held in names.items()}
        yield usual
        for name, held in names.items():
            for chosen in choices(held.maybe, random):
                yield usual | {name: applied(held.sure, chosen)}
            if held.maybe and held.maybe[-1].what == "write":
                last = held.maybe[-1]
                torn = Entry("write", name, last.size, last.data[: len(last.data) // 2])
                yield usual | {name: applied(held.sure, [*held.maybe[:-1], torn])}


def choices(made: list[T], random: Random) -> Iterator[list[T]]:
    """Which of what was asked may have happened: all subsets of a few, else prefixes, all but one, some."""
    if len(made) <= ALL_OF:
        for bits in range(2 ** len(made)):
            yield [one for place, one in enumerate(made) if bits >> place & 1]
        return
    for end in range(len(made) + 1):
        yield made[:end]
        yield made[: max(end - 1, 0)] + made[end:]
    for _ in range(len(made)):
        yield [one for one in made if random.random() < random.random()]


def applied(content: bytes, made: list[Entry]) -> bytes:
    """A file's content after some writes and cuts; a gap is zeros."""
    held = bytearray(content)
    for entry in made:
        if entry.what == "cut":
            del held[entry.size :]
            continue
        held.extend(b"\0" * (entry.size - len(held)))
        held[entry.size : entry.size + len(entry.data)] = entry.data
    return bytes(held)


@dataclass(frozen=True)
class Crash:
    """What may be on the disk after the power went, and how many of the writer's lines were said by then."""

    files: dict[str, bytes]
    said: int


def crashes(recorder: Recorder, seed: int) -> Iterator[Crash]:
    """Every state that differs from the others, at every moment of the log."""
    random = Random(seed)  # noqa: S311 - which orders to try, not secrets
    names = {name: Held(content) for name, content in recorder.base.items()}
    model = Model(dict(names), dict(names))
    known: set[tuple[int, int]] = set()
    said = 0
    for entry in recorder.log:
        said += entry.what == "said"
        model.take(entry)
        for files in model.states(random):
            print_of = (said, hash(tuple(sorted(files.items()))))
            if print_of not in known:
                known.add(print_of)
                yield Crash(files, said)
