"""One trainee's part of a record: rows of nobody else, and no other code in what people wrote."""

from __future__ import annotations

import re
from collections.abc import Collection

import polars as pl

from trainer.insight.frames import Frames

SOMEBODY = "somebody else"
_LONG = 3
"""A shorter code is put out of sight only as it is written: `a` is a word too."""


def own_part(frames: Frames, trainee: str) -> Frames:
    """The part of `frames` that `trainee` did. A run that was handed over counts with the own acts in it."""
    mine = pl.col("trainee") == trainee
    acted = frames.visits.filter(mine)["run"].unique()
    runs = frames.runs.filter(mine | pl.col("run").is_in(acted.implode()))
    ids = runs["run"].implode()
    codes = {*frames.runs["trainee"], *frames.visits["trainee"], *frames.signatures["by"]} - {trainee}
    return Frames(
        runs=_hidden(_own_end(runs, trainee), codes, "excused", "reason", "job"),
        visits=frames.visits.filter(mine),
        attempts=frames.attempts.filter(mine),
        answers=frames.answers.filter(mine),
        readings=frames.readings.filter(mine),
        exposures=frames.exposures.filter(mine),
        plates=_hidden(frames.plates.filter(mine), codes, "reason"),
        signatures=_hidden(frames.signatures.filter(mine), codes, "note").with_columns(by=pl.lit("")),
        settings=frames.settings.filter(pl.col("run").is_in(ids)),
    )


def _own_end(runs: pl.DataFrame, trainee: str) -> pl.DataFrame:
    """A run that somebody else took over: how that one ended it is not told."""
    own = pl.col("trainee") == trainee
    return runs.with_columns(
        trainee=pl.lit(trainee),
        handed=pl.col("handed") | ~own,
        closed=pl.when(own).then("closed").otherwise(pl.lit("")),
        closed_at=pl.when(own).then("closed_at"),
        reason=pl.when(own).then("reason").otherwise(pl.lit("")),
        hints=pl.when(own).then("hints").otherwise(0),
        spoiled=pl.when(own).then("spoiled").otherwise(0),
        hazards_missed=pl.when(own).then("hazards_missed").otherwise(0),
    )


def _hidden(frame: pl.DataFrame, codes: Collection[str], *columns: str) -> pl.DataFrame:
    """The same with every code of somebody else in the named columns put out of sight."""
    texts = {text for name in columns for text in frame[name].unique() if text}
    changed = {text: without(text, codes) for text in texts}
    new = {text: said for text, said in changed.items() if said != text}
    if not new:
        return frame
    return frame.with_columns(pl.col(name).replace(new) for name in columns)


def without(text: str, codes: Collection[str]) -> str:
    """`text` without the codes: each, where it stands as a word of its own, becomes `somebody else`."""
    for code in sorted((code for code in codes if code), key=len, reverse=True):
        flags = re.IGNORECASE if len(code) >= _LONG else re.NOFLAG
        text = re.sub(rf"(?<![\w]){re.escape(code)}(?![\w])", SOMEBODY, text, flags=flags)
    return text
