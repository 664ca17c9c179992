"""A school of any size as frames, drawn with NumPy from a seed: invented, consistent, and nothing planted."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import polars as pl
from numpy.typing import NDArray

from trainer.insight import frames as f
from trainer.insight.facts import Facts, ProcedureFacts, StepFacts, facts_of
from trainer.procedure.load import load

PROCEDURES = ("negative-plate-two-burns", "positive-plate", "screen-stencil")
FOLDER = Path(__file__).resolve().parents[2] / "procedures"
ACTS = 20
"""Acts of a run: a fixed way through each procedure."""
RUNS_EACH = 30
"""Runs of a trainee, in the mean."""
BEGIN = np.datetime64("2026-01-05T08:00:00", "ms")
_MOST = {"hazard": 4, "quiz": 4, "reading": 4, "wait": 3, "sign_off": 1}
_MARKS = {"quiz": "quiz", "reading": "reading", "wait": "window", "sign_off": "sign_off"}
_OUTCOMES = {  # hit, missed
    "none": ("done", "done"),
    "hazard": ("accepted", "accepted"),
    "quiz": ("right", "wrong"),
    "reading": ("ok", "miss"),
    "wait": ("on_time", "late"),
    "sign_off": ("passed", "not_yet"),
}

Numbers = NDArray[np.int64]
Floats = NDArray[np.float64]


def facts() -> Facts:
    """Of the procedures that the school teaches."""
    found = (facts_of(load(FOLDER / f"{name}.yaml").require()) for name in PROCEDURES)
    return {one.content_hash: one for one in found}


def way(known: ProcedureFacts) -> list[StepFacts]:
    """The acts of a run: the first few of each task, filled up with plain acts, in the order of the file."""
    kept = set(known.plate_taken[:1])
    for task, most in _MOST.items():
        kept |= {
            step.id for step in itertools.islice((s for s in known.steps.values() if s.task == task), most)
        }
    wedge = [step.id for step in known.steps.values() if step.task == "reading" and "wedge" in step.id]
    kept |= set(wedge[:1])
    plain = (step.id for step in known.steps.values() if step.task == "none" and step.id not in kept)
    kept |= set(itertools.islice(plain, ACTS - len(kept)))
    return [step for step in known.steps.values() if step.id in kept][:ACTS]


def frames(attempts: int, seed: int) -> f.Frames:
    """All frames of a school with so many attempts at steps (20 a run)."""
    return _School(attempts // ACTS, seed).frames()


def _of(names: Sequence[str | None], which: Numbers) -> pl.Series:
    """The texts at these places."""
    return pl.Series(names, dtype=pl.String).gather(which)


class _School:
    """The draws that the frames share; each array has a row for each run and a column for each act."""

    def __init__(self, runs: int, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.known = list(facts().values())
        self.ways = [way(one) for one in self.known]
        self.runs = runs
        trainees = max(14, runs // RUNS_EACH)
        self.trainee_names = [f"T-{one:02}" for one in range(1, trainees + 1)]
        self.stations = [f"sink {one}" for one in range(1, 5 * (1 + trainees // 200))]
        self.trainee = self.rng.integers(0, trainees, runs)
        self.procedure = self.rng.choice(len(self.known), runs, p=[0.6, 0.2, 0.2])
        self.station = self.rng.integers(0, len(self.stations), runs)
        self.guidance = self.rng.integers(0, 3, runs)
        self.rehearsal = self.rng.random(runs) < 0.2
        self.spoiled = self.rng.random(runs) < 0.1
        self.opened = BEGIN + np.sort(self.rng.integers(0, 400 * 86_400_000, runs)).astype("timedelta64[ms]")
        self.seconds = self.rng.lognormal(2.5, 0.6, (runs, ACTS))
        ability = self.rng.normal(1.5, 0.7, trainees)[self.trainee]
        hard = self.rng.normal(0.0, 0.5, (len(self.known), ACTS))[self.procedure]
        self.hit = self.rng.random((runs, ACTS)) < 1 / (1 + np.exp(hard - ability[:, None]))
        self.ids = pl.Series([f"018f{one:08x}-0000-7000-8000-{one:012x}" for one in range(runs)])
        self.ends = self.opened + np.cumsum(self.seconds * 1000, axis=1).max(axis=1).astype("timedelta64[ms]")

    def frames(self) -> f.Frames:
        """Made up to the schemas."""
        visits, attempts = self._acts()
        made = {
            "runs": self._runs(),
            "visits": visits,
            "attempts": attempts,
            "answers": self._answers(attempts),
            "readings": self._readings(attempts),
            "exposures": self._exposures(attempts),
            "plates": self._plates(),
            "signatures": self._signatures(attempts),
            "settings": pl.DataFrame(
                {"run": self.ids, "name": ["exposure"] * self.runs, "value": [24.0] * self.runs}
            ),
        }
        return f.Frames(**{name: _shaped(frame, f.SCHEMAS[name]) for name, frame in made.items()})

    def _runs(self) -> pl.DataFrame:
        hashes = [one.content_hash for one in self.known]
        return pl.DataFrame(
            {
                "run": self.ids,
                "trainee": _of(self.trainee_names, self.trainee),
                "procedure": _of([one.id for one in self.known], self.procedure),
                "revision": np.ones(self.runs, dtype=np.int64),
                "content_hash": _of(hashes, self.procedure),
                "guidance": _of(["full", "cued", "solo"], self.guidance),
                "rehearsal": self.rehearsal,
                "station": _of(self.stations, self.station),
                "opened_at": self.opened,
                "last_at": self.ends,
                "closed": _of(["done"], np.zeros(self.runs, dtype=np.int64)),
                "closed_at": self.ends,
                "plate": 1 + self.spoiled,
                "hints": np.zeros(self.runs, dtype=np.int64),
                "spoiled": self.spoiled.astype(np.int64),
                "handed": np.zeros(self.runs, dtype=np.bool_),
                "hazards_missed": np.zeros(self.runs, dtype=np.int64),
            }
        )

    def _acts(self) -> tuple[pl.DataFrame, pl.DataFrame]:
        """Visits and attempts: one of each for each act."""
        count = self.runs * ACTS
        run, act = np.repeat(np.arange(self.runs), ACTS), np.tile(np.arange(ACTS), self.runs)
        which = self.procedure[run] * ACTS + act
        steps = [step for one in self.ways for step in one]
        tasks = [step.task for step in steps]
        hit = self.hit.ravel()
        at = self.opened[run] + (np.cumsum(self.seconds, axis=1).ravel() * 1000).astype("timedelta64[ms]")
        head = pl.DataFrame(
            {
                "run": self.ids.gather(run),
                "seq": 2 * act + 3,
                "at": at,
                "trainee": _of(self.trainee_names, self.trainee[run]),
                "plate": 1 + (self.spoiled[run] & (act >= ACTS - 3)),
                "stage": _of([step.stage for step in steps], which),
                "step": _of([step.id for step in steps], which),
                "skill": _of([step.skill for step in steps], which),
                "task": _of(tasks, which),
            }
        )
        seconds = pl.Series(self.seconds.ravel())
        outcomes = [word for task in tasks for word in _OUTCOMES.get(task, ("done", "done"))]
        marks = [_MARKS.get(task, "") for task in tasks]
        marked = np.asarray([mark != "" for mark in marks])[which]
        attempts = head.with_columns(
            _of(outcomes, 2 * which + ~hit).alias("outcome"),
            seconds.alias("seconds"),
            _of(marks, which).alias("mark"),
            pl.Series(hit).set(pl.Series(~marked), None).alias("hit"),
        )
        visits = head.with_columns(
            pl.Series(np.ones(count, dtype=np.int64)).alias("visit"),
            _of(["finished", "again"], (~hit & marked & (which % 3 == 0)).astype(np.int64)).alias("ended"),
            seconds.alias("seconds"),
            seconds.alias("active"),
            (seconds * self.rng.uniform(0.2, 0.6, count)).alias("hesitation"),
            pl.Series((self.rng.random(count) < 0.05).astype(np.int64)).alias("hints"),
            pl.Series((self.rng.random(count) < 0.02).astype(np.int64)).alias("slips"),
        )
        return visits, attempts

    def _answers(self, attempts: pl.DataFrame) -> pl.DataFrame:
        asked = pl.DataFrame(
            [
                (one.step, one.name, one.form, _json(one.right), _json((_wrong(one.options, one.right),)))
                for known in self.known
                for one in known.questions.values()
            ],
            schema=["step", "name", "form", "is_right", "is_wrong"],
            orient="row",
        )
        return (
            attempts.filter(pl.col("task") == "quiz")
            .join(asked.unique("step"), on="step", maintain_order="left")
            .with_columns(
                pl.when("hit").then("is_right").otherwise("is_wrong").alias("answer"),
                pl.col("hit").alias("right"),
            )
        )

    def _readings(self, attempts: pl.DataFrame) -> pl.DataFrame:
        read = attempts.filter(pl.col("task") == "reading")
        wedge = pl.col("step").str.contains("wedge")
        value = 6 + np.round(self.rng.normal(0, 0.5, len(read)) * 2) / 2
        return read.with_columns(
            pl.when(wedge).then(pl.lit("wedge")).otherwise(pl.lit("vacuum")).alias("name"),
            pl.Series(value).alias("value"),
            pl.when(wedge).then(pl.lit("step")).otherwise(pl.lit("inHg")).alias("unit"),
            pl.col("outcome").alias("verdict"),
        )

    def _exposures(self, attempts: pl.DataFrame) -> pl.DataFrame:
        """The last wait of each run is its dose."""
        doses = attempts.filter(pl.col("task") == "wait").unique("run", keep="last", maintain_order=True)
        runs = pl.DataFrame({"run": self.ids, "rehearsal": self.rehearsal})
        return doses.join(runs, on="run", maintain_order="left").with_columns(
            pl.lit(24.0).alias("units"),
            pl.Series(self.rng.normal(36.0, 1.0, len(doses))).alias("seconds"),
            pl.lit(0.0).alias("unwatched"),
            pl.lit("on_time").alias("outcome"),
        )

    def _plates(self) -> pl.DataFrame:
        every = pl.DataFrame(
            {
                "run": self.ids,
                "trainee": _of(self.trainee_names, self.trainee),
                "at": self.ends,
                "spoiled": self.spoiled,
            }
        )
        lost = every.filter("spoiled").with_columns(
            pl.lit(1).alias("plate"),
            pl.lit("spoiled").alias("how"),
            pl.lit("exposure").alias("stage"),
            pl.lit("read-wedge").alias("step"),
            pl.lit("scratched").alias("reason"),
        )
        last = every.with_columns(
            (1 + pl.col("spoiled").cast(pl.Int64)).alias("plate"),
            pl.lit("passed").alias("how"),
            *(pl.lit("").alias(name) for name in ("stage", "step", "reason")),
        )
        return pl.concat([lost.cast({"plate": pl.Int64}), last]).with_columns(
            pl.lit(None, dtype=pl.Boolean).alias("passes")
        )

    def _signatures(self, attempts: pl.DataFrame) -> pl.DataFrame:
        return attempts.filter(pl.col("task") == "sign_off").with_columns(
            pl.lit("I-1").alias("by"), pl.col("outcome").alias("word"), pl.lit("").alias("note")
        )


def _json(keys: Sequence[str]) -> str:
    return "[" + ", ".join(f'"{key}"' for key in keys) + "]"


def _wrong(options: Sequence[tuple[str, str]], right: Sequence[str]) -> str:
    return next((key for key, _ in options if key not in right), "0")


def _shaped(frame: pl.DataFrame, schema: pl.Schema) -> pl.DataFrame:
    """With the columns of the schema in its order; what is missing is an empty text."""
    empty = [pl.lit("").alias(name) for name in schema if name not in frame.columns]
    utc = [
        pl.col(name).dt.replace_time_zone("UTC")
        for name, kind in frame.schema.items()
        if isinstance(kind, pl.Datetime) and kind.time_zone is None
    ]
    return frame.with_columns(*empty, *utc).select(schema.names()).cast(schema)
