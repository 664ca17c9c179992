"""What all fuzzed targets share: where they write, and how they see that something can be shown."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from trainer import places
from trainer.procedure.problems import Problem
from trainer.procedure.render import as_json, as_text
from trainer.procedure.text import unclean

Target = Callable[[bytes], None]
"""Takes any bytes, and raises only where something is wrong."""
TWO_BURNS = "negative-plate-two-burns"


def shipped(name: str = TWO_BURNS) -> Path:
    """A shipped procedure's file."""
    return places.procedures_dir() / f"{name}.yaml"


def folder() -> Path:
    """A folder that goes with the process's temporary files."""
    return Path(tempfile.mkdtemp(prefix="fuzz-"))


@contextmanager
def written(where: Path, data: bytes) -> Iterator[Path]:
    """Inside, `data` lies at `where`."""
    where.write_bytes(data)
    try:
        yield where
    finally:
        where.unlink(missing_ok=True)


def can_be_shown(problems: tuple[Problem, ...], text: str) -> None:
    """Every problem has words, a place in the file, and nothing a terminal would obey."""
    assert unclean(as_text(problems, text, "x.yaml")) is None
    assert unclean(as_json(problems, "x.yaml")) is None
    for problem in problems:
        assert problem.message
        assert problem.help
        assert problem.place.line >= 1
        assert problem.place.column >= 1


def can_be_said(said: object) -> None:
    """What is said to a person is there, and nothing a terminal would obey."""
    assert str(said)
    assert unclean(str(said)) is None
