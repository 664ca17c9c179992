"""The frames with what every finding wants to know of a run beside each row: joined once for all topics."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import polars as pl
from numpy.typing import NDArray

from trainer.insight.frames import Frames
from trainer.insight.run_ids import RunIds

Counts = NDArray[np.int64]
_OF_RUN = ("procedure", "rehearsal", "guidance", "station")
_FEW = (
    *("trainee", "procedure", "guidance", "station", "stage", "step", "skill", "task", "mark", "outcome"),
    *("ended", "how", "form", "unit", "verdict"),
)
"""Columns with few different texts: as numbers they are quicker and take a quarter of the room."""

_SMALL = ("plate", "visit", "hints", "slips")
"""Columns of small whole numbers, which take a quarter of the room; `seq` takes half of it. What is absurdly
large in a bad row is null."""
_NOT_ASKED = {
    "visits": ("seq", "at", "visit", "seconds", "guidance", "station", "band"),
    "attempts": ("stage", "task", "outcome", "seconds", "station"),
    "answers": ("plate", "stage", "skill", "guidance", "station"),
    "readings": ("stage", "step", "skill", "guidance", "band"),
}
"""Columns that no finding asks for: a quarter of the room."""

BANDS = 5
"""Of practice, each twice as long as the one before."""


@dataclass(frozen=True)
class Joined:
    """The frames of the runs that count. Each but `runs` has, in place of `run`, the run's number `no`.

    runs: in the order in which they were opened (then by id), with `no`. The others have the procedure, kind,
    guidance and station of their run too, and its `band` of practice: its trainee's run 1 of the procedure,
    2 to 3, 4 to 7, 8 to 15, or later. What no finding asks for is left out (`_NOT_ASKED`). Text columns with
    few different texts are categorical.
    """

    frames: Frames
    runs: pl.DataFrame

    @cached_property
    def ids(self) -> tuple[str, ...]:
        """Ids of the runs, by number."""
        return tuple(self.runs["run"].to_list())

    @cached_property
    def visits(self) -> pl.DataFrame:
        """`frames.visits`, joined."""
        return self._with_run(self.frames.visits, _NOT_ASKED["visits"])

    @cached_property
    def attempts(self) -> pl.DataFrame:
        """`frames.attempts`, joined: those that were hit or missed."""
        marked = self.frames.attempts.filter(pl.col("hit").is_not_null())
        return self._with_run(marked, _NOT_ASKED["attempts"])

    @cached_property
    def accepted(self) -> pl.DataFrame:
        """Of `frames.attempts` the safety prompts that were accepted, joined."""
        prompts = (pl.col("task") == "hazard") & (pl.col("outcome") == "accepted")
        return self._with_run(self.frames.attempts.filter(prompts))

    @cached_property
    def answers(self) -> pl.DataFrame:
        """`frames.answers`, joined."""
        return self._with_run(self.frames.answers, _NOT_ASKED["answers"])

    @cached_property
    def readings(self) -> pl.DataFrame:
        """`frames.readings`, joined."""
        return self._with_run(self.frames.readings, _NOT_ASKED["readings"])

    @cached_property
    def exposures(self) -> pl.DataFrame:
        """`frames.exposures`, joined."""
        return self._with_run(self.frames.exposures.drop("rehearsal"))

    @cached_property
    def plates(self) -> pl.DataFrame:
        """`frames.plates`, joined."""
        return self._with_run(self.frames.plates)

    @cached_property
    def signatures(self) -> pl.DataFrame:
        """`frames.signatures`, joined."""
        return self._with_run(self.frames.signatures)

    @cached_property
    def _of_runs(self) -> pl.DataFrame:
        nth = pl.int_range(1, pl.len() + 1).over("trainee", "procedure")
        band = nth.log(2).floor().clip(upper_bound=BANDS - 1).cast(pl.UInt8)
        return self.runs.select("run", "no", *_OF_RUN, band.alias("band")).with_columns(
            pl.col("procedure", "guidance", "station").cast(pl.Categorical)
        )

    def _with_run(self, frame: pl.DataFrame, without: tuple[str, ...] = ()) -> pl.DataFrame:
        few = [name for name in frame.columns if name in _FEW]
        small = [name for name in frame.columns if name in _SMALL]
        return (
            frame.lazy()
            .with_columns(
                pl.col(few).cast(pl.Categorical),
                pl.col(small).cast(pl.Int16, strict=False),
                pl.col("^seq$").cast(pl.Int32, strict=False),
            )
            .join(self._of_runs.lazy(), on="run", how="inner", maintain_order="left")
            .drop("run", *without)
            .collect()
        )

    def run_ids(self, places: pl.Series) -> list[RunIds]:
        """For each list of run numbers in `places`, the ids. They stand in one block, not copied."""
        lengths = places.list.len().fill_null(0).to_numpy()
        flat = np.ascontiguousarray(places.explode().drop_nulls().to_numpy(), dtype=np.uint32)
        return list(self._cut(flat, np.cumsum(lengths), lengths))

    def _cut(self, flat: NDArray[np.uint32], ends: Counts, lengths: Counts) -> Iterator[RunIds]:
        block = flat.data
        for end, length in zip(ends.tolist(), lengths.tolist(), strict=True):
            yield RunIds(self.ids, block[end - length : end])


def joined(frames: Frames) -> Joined:
    """Join. `frames`: of the runs that count and no others need be asked: rows of runs not in it are left."""
    runs = frames.runs.sort("opened_at", "run").with_row_index("no")
    return Joined(frames, runs)


def run_numbers() -> pl.Expr:
    """In a grouping: the numbers of the runs of the group, each once, in order."""
    return pl.col("no").unique().sort().alias("runs")
