"""An invented class drawn in a moment, as attempts only: to see how often findings about people are right.

Trainees differ in what they can do, and by skill; they learn; steps differ. Weaknesses are planted or not.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import numpy as np
import polars as pl
from insight_kit import START

from trainer.insight.frames import SCHEMAS, Frames

SKILLS = ("contact", "exposure", "developing", "finishing", "register", "film", "handling", "safety")


@dataclass(frozen=True)
class Drawn:
    """What was drawn, and what was planted: (trainee, skill)."""

    frames: Frames
    weak: frozenset[tuple[str, str]]


def drawn(
    seed: int, *, weak: int = 3, trainees: int = 14, runs: int = 26, steps: int = 6, skilled: float = 0.2
) -> Drawn:
    """A class of one procedure.

    weak: so many trainees have log odds lower by 2 at one skill each. skilled: standard deviation of the log
    odds between the skills of one trainee; between trainees it is 0.7. steps: of each skill, in a run.
    """
    dice = np.random.default_rng(seed)
    able = dice.normal(0, 0.7, trainees)[:, None] + dice.normal(0, skilled, (trainees, len(SKILLS)))
    who, at = dice.permutation(trainees)[:weak], dice.permutation(len(SKILLS))[:weak]
    able[who, at] -= 2.0
    ease = dice.normal(1.4, 0.7, (len(SKILLS), steps))
    trainee, run, skill, step = (
        one.ravel() for one in np.indices((trainees, runs, len(SKILLS), steps), dtype=np.int64)
    )
    odds = able[trainee, skill] + ease[skill, step] + 0.35 * np.log2(run + 1)
    hit = dice.random(odds.size) < 1 / (1 + np.exp(-odds))
    names = np.array([f"T-{one + 1:02}" for one in range(trainees)])
    skills = np.array(SKILLS)
    number = trainee * runs + run
    guidance = np.array(["full", "cued", "solo"])[np.minimum(run // 6, 2)]
    said = pl.DataFrame(
        {
            "run": np.char.add("r", np.char.zfill(number.astype(str), 4)),
            "seq": skill * steps + step + 1,
            "trainee": names[trainee],
            "skill": skills[skill],
            "step": np.char.add(np.char.add(skills[skill], "-"), step.astype(str)),
            "hit": hit,
            "guidance": guidance,
            "nth": run,
        }
    ).with_columns(
        (pl.lit(START) + pl.duration(days="nth", minutes="seq")).dt.cast_time_unit("ms").alias("at")
    )
    opened = (
        said.group_by("run", maintain_order=True).first().with_columns(pl.lit("plate").alias("procedure"))
    )
    tables = {name: pl.DataFrame(schema=schema) for name, schema in SCHEMAS.items()}
    tables["runs"] = _filled(
        opened.with_columns(pl.col("at").alias("opened_at"), pl.lit("done").alias("closed")), "runs"
    )
    tables["attempts"] = _filled(said.with_columns(pl.lit("reading").alias("mark")), "attempts")
    tables["visits"] = _filled(said, "visits")
    planted = frozenset((str(names[one]), SKILLS[skill_]) for one, skill_ in zip(who, at, strict=True))
    return Drawn(Frames(**tables), planted)


def _filled(rows: pl.DataFrame, table: str) -> pl.DataFrame:
    """The rows with every column of the table, in its order: nothing, none or empty where none was drawn."""
    nothing = {pl.String(): "", pl.Int64(): 1, pl.Float64(): 1.0, pl.Boolean(): False}
    return rows.select(
        (pl.col(name) if name in rows.columns else pl.lit(nothing.get(kind))).cast(kind).alias(name)
        for name, kind in SCHEMAS[table].items()
    )


END = START + timedelta(days=200)
"""After the term."""
