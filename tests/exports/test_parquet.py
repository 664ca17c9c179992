"""Parquet: the very columns and types of the frames that findings are made of."""

from __future__ import annotations

import io
from pathlib import Path

import polars as pl
import pytest
from export_kit import said, shared

from trainer.insight.frames import SCHEMAS


@pytest.fixture
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with every kind of event; not to be changed."""
    return shared(tmp_path_factory)


@pytest.mark.parametrize("name", SCHEMAS)
def test_a_table_has_the_schema_of_its_frame(name: str, kept: Path) -> None:
    """Columns begin with those of `insight.frames`, in its order and types, and the rows are those of CSV."""
    frame = pl.read_parquet(io.BytesIO(said(kept, "--as", "parquet", "--table", name)[0]))
    wanted = SCHEMAS[name]
    assert dict(list(frame.schema.items())[: len(wanted)]) == dict(wanted)
    assert list(frame.columns)[: len(wanted)] == list(wanted)
    rows = said(kept, "--as", "csv", "--table", name)[0].decode().split("\r\n")
    assert frame.height == len(rows) - 2


def test_the_kinds_of_an_event_are_those_of_the_record(kept: Path) -> None:
    """Times are times, and a number that is none stays out of sums as null."""
    frame = pl.read_parquet(io.BytesIO(said(kept, "--as", "parquet", "--table", "events")[0]))
    assert frame.schema["at"] == pl.Datetime("ms", "UTC")
    assert frame["seq"].dtype == pl.Int64
    assert frame.filter(pl.col("kind") == "run_opened").height == 2
