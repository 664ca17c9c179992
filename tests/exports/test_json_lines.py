"""JSON lines: every event whole, in its canonical form; and refusals in sentences."""

from __future__ import annotations

import errno
import json
import os
import sqlite3
from contextlib import closing
from pathlib import Path
from unittest.mock import patch

import pytest
import rfc8785
from export_kit import EVERY, NAME, RUN, copied, said, shared

from trainer.record.exports.files import write_all
from trainer.run import wire
from trainer.run.ports import Trouble


@pytest.fixture
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with every kind of event; not to be changed."""
    return shared(tmp_path_factory)


@pytest.fixture
def own(kept: Path, tmp_path: Path) -> Path:
    """A copy of it, to be tampered with."""
    return copied(kept, tmp_path)


def test_every_event_stands_in_a_line_of_its_own(kept: Path) -> None:
    """Each line is a JSON object (RFC 8259) that reads as the event; its bytes are canonical (RFC 8785)."""
    written, _ = said(kept, "--as", "json-lines")
    lines = written.splitlines()
    read = [json.loads(line) for line in lines]
    assert [rfc8785.dumps(one) for one in read] == lines
    events = [wire.event_from_json(one) for one in read]
    assert [event.body for event in events if event.run == RUN][1:] == [body for _, body in EVERY]
    with closing(sqlite3.connect(kept)) as connection:
        rows = connection.execute("SELECT body FROM events WHERE body IS NOT NULL").fetchall()
    assert sorted(lines) == sorted(body.encode() for (body,) in rows)
    assert NAME.encode() not in written


def test_the_same_record_gives_the_same_bytes(kept: Path) -> None:
    """Exported twice, in every form that goes to stdout."""
    for argv in (("json-lines",), ("xapi",), ("csv", "--table", "visits"), ("json-lines", "--table", "runs")):
        assert said(kept, "--as", *argv) == said(kept, "--as", *argv)


def test_a_run_that_was_altered_is_left_out_and_named(own: Path) -> None:
    """One bad run does not hide the others; the command ends with 1 and says which it is."""
    whole = said(own, "--as", "json-lines")[0].splitlines()
    with closing(sqlite3.connect(own)) as connection:
        connection.execute("DROP TRIGGER events_never_change")
        connection.execute("UPDATE events SET body = replace(body, '17', '71') WHERE run = ?", (RUN,))
        connection.commit()
    written, told = said(own, "--as", "json-lines", code=1)
    assert written.splitlines() == [line for line in whole if RUN.encode() not in line]
    assert f"of run {RUN} was altered" in told


@pytest.mark.parametrize("argv", [("csv", "--table", "nothing"), ("csv",), ("xapi", "--table", "runs")])
def test_what_does_not_go_is_told(argv: tuple[str, ...], kept: Path) -> None:
    """A wrong table, a folder that is not named, options that the form has no use for."""
    assert said(kept, "--as", *argv, code=1)[1].startswith("sinkside: ")


@pytest.mark.parametrize(
    ("content", "words"),
    [(None, "There is no record"), (b"", "is empty"), (b"nothing of ours" * 99, "is not a Sinkside record")],
)
def test_no_record_no_export(content: bytes | None, words: str, tmp_path: Path) -> None:
    """A record that is missing, empty or foreign gives a sentence, and is neither made nor changed."""
    path = tmp_path / "record.db"
    if content is not None:
        path.write_bytes(content)
    assert words in said(path, "--as", "json-lines", code=1)[1]
    assert (path.read_bytes() if path.exists() else None) == content


def test_a_newer_record_is_told(own: Path) -> None:
    """One that a newer Sinkside wrote."""
    with closing(sqlite3.connect(own)) as connection:
        connection.execute("INSERT INTO migrations VALUES (99, 'later', 'x')")
        connection.commit()
    assert "newer Sinkside" in said(own, "--as", "json-lines", code=1)[1]


def test_a_full_disk_is_told_and_leaves_what_was_there(tmp_path: Path) -> None:
    """The file that was there stays whole, and the half that was written goes."""
    there = tmp_path / "out" / "a.csv"
    there.parent.mkdir()
    there.write_text("mine", encoding="utf-8")
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    with patch("os.fsync", side_effect=full), pytest.raises(Trouble, match="disk is full"):
        write_all({there: [b"new"]}, force=True)
    assert [file.name for file in there.parent.iterdir()] == ["a.csv"]
    assert there.read_text("utf-8") == "mine"


def test_a_second_file_that_fails_leaves_none(tmp_path: Path) -> None:
    """Files of a folder get their names when all are on the disk."""
    out = tmp_path / "out"
    out.mkdir()
    wanted = {out / "a.csv": [b"a"], out / "no" / "b.csv": [b"b"]}
    with pytest.raises(Trouble, match="cannot be written"):
        write_all(wanted, force=False)
    assert list(out.iterdir()) == []
