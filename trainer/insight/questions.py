"""Quiz questions: how hard, whether they tell the able from the others, and what is taken for right.

First answers only, one a trainee, but for `all_right`: later ones come after the reason was read.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import polars as pl

from trainer.insight import items
from trainer.insight.facts import ProcedureFacts, QuestionFacts
from trainer.insight.intervals import rate
from trainer.insight.joined import Joined, run_numbers
from trainer.insight.later import later
from trainer.insight.reliability import PROVISIONAL, alpha, feldt, standard_error
from trainer.insight.results import Interval, Option, QuestionRow, Reliability
from trainer.procedure.text import one_line

Values = items.Values

REMARKS: Mapping[str, str] = {
    "few": "Too few first answers to say anything of the question itself.",
    "everybody-right": "Everybody gets it right at first. Of a safety question that is the aim.",
    "nobody-takes": "An answer that nobody takes tells nothing; it could be another.",
    "wrong-one-popular": "A wrong answer is taken more often than the right one. Read both once more.",
    "check-key": "The abler half get it right less often than the others. Check its key and its words.",
    "stays-wrong": "It stays wrong after the reason was read. Read question and reason once more.",
}
"""What can be remarked of a question, in words."""
LEAST = 8
"""With fewer first answers only `few` is remarked."""
LAST = 999
"""The place of what the newest revision does not have."""
_SHOWN = 5
"""So many different numbers or orders are listed."""

Row = Mapping[str, Any]  # a row of polars


def answered(j: Joined) -> pl.LazyFrame:
    """The answers to quiz questions."""
    return (
        j.answers.lazy()
        .filter(pl.col("form") != "judge", pl.col("right").is_not_null())
        .with_columns(pl.col("name").cast(pl.Categorical))
    )


def asked(j: Joined) -> pl.DataFrame:
    """The answers to quiz questions, in the order given; `first`: of the trainee to that question."""
    key = ["procedure", "name", "trainee"]
    return (
        answered(j)
        .sort("no", "seq")
        .with_columns((pl.int_range(pl.len()).over(key) == 0).alias("first"))
        .collect()
    )


def questions(j: Joined, facts: Mapping[str, ProcedureFacts]) -> tuple[QuestionRow, ...]:
    """A row for each question that was asked, by procedure, in the order of its file."""
    answers = asked(j)
    rows = _counted(answers)
    runs = j.run_ids(rows["runs"])
    taken = _taken(answers)
    told = {key: one for procedure in _tables(answers) for key, one in _told(*procedure).items()}
    found = []
    for row, own in zip(rows.drop("runs").iter_rows(named=True), runs, strict=True):
        key = (row["procedure"], row["name"])
        known = facts.get(key[0])
        question = known.questions.get(key[1]) if known is not None else None
        options = _options(question, taken.get(key, {}))
        r, interval, abler = told.get(key, (None, None, None))
        first = rate(row["first_right"], row["first"])
        found.append(
            QuestionRow(
                procedure=key[0],
                name=key[1],
                step=row["step"] if question is None else question.step,
                ask=key[1] if question is None else question.ask,
                first_right=first,
                all_right=rate(row["right"], row["n"]),
                discrimination=r,
                discrimination_interval=interval,
                options=options,
                safety=question is not None and question.safety,
                remarks=_remarks(row, options, question, abler),
                runs=own,
            )
        )
    places = {(one.id, name): place for one in facts.values() for place, name in enumerate(one.questions)}
    found.sort(key=lambda row: (row.procedure, places.get((row.procedure, row.name), LAST), row.name))
    after = later(found)
    staying = {key for key, one in after.items() if one.stays}
    return tuple(
        replace(row, remarks=(*row.remarks, "stays-wrong")) if (row.procedure, row.name) in staying else row
        for row in found
    )


def _counted(answers: pl.DataFrame) -> pl.DataFrame:
    """First answers and all, right and in all; later ones, after the reason was read, apart."""
    first = pl.col("first")
    return (
        answers.lazy()
        .group_by("procedure", "name")
        .agg(
            pl.col("step").last(),
            first.sum().alias("first"),
            (first & pl.col("right")).sum().alias("first_right"),
            pl.len().alias("n"),
            pl.col("right").sum(),
            run_numbers(),
        )
        .collect()
    )


def _taken(answers: pl.DataFrame) -> dict[tuple[str, str], dict[tuple[str, ...], tuple[int, bool]]]:
    """By question, each answer that was given at first: how often, and whether it is right."""
    rows = (
        answers.lazy()
        .filter("first")
        .group_by("procedure", "name", "answer")
        .agg(pl.len(), pl.col("right").last())
        .sort("len", "answer", descending=[True, False])
        .collect()
    )
    found: dict[tuple[str, str], dict[tuple[str, ...], tuple[int, bool]]] = {}
    for procedure, name, answer, count, right in rows.iter_rows():
        found.setdefault((procedure, name), {})[_given(answer)] = (count, right)
    return found


def _given(answer: str) -> tuple[str, ...]:
    """An answer as the record keeps it: a JSON list of texts. Anything else is one text, as it stands.

    The texts in the list are cleaned once more: JSON can write a control character with clean ones.
    """
    try:
        found = json.loads(answer)
    except (ValueError, RecursionError):
        return (answer,)
    return tuple(one_line(str(one)) for one in found) if isinstance(found, list) else (answer,)


def _options(
    question: QuestionFacts | None, taken: Mapping[tuple[str, ...], tuple[int, bool]]
) -> tuple[Option, ...]:
    """What can be taken, or for numbers and orders what mostly was."""
    if question is None or question.form not in ("choice", "choices"):
        words = dict(question.options) if question is not None else {}
        return tuple(
            Option(" ".join(given), ", ".join(words.get(key, key) for key in given), right, count)
            for given, (count, right) in list(taken.items())[:_SHOWN]
        )
    return tuple(
        Option(key, words, key in question.right, sum(n for given, (n, _) in taken.items() if key in given))
        for key, words in question.options
    )


def _remarks(
    row: Row, options: Sequence[Option], question: QuestionFacts | None, abler: bool | None
) -> tuple[str, ...]:
    if row["first"] < LEAST:
        return ("few",)
    found = []
    if row["first_right"] == row["first"]:
        found.append("everybody-right")
    if question is not None and question.form == "choice":
        right = sum(option.taken for option in options if option.right)
        if any(option.taken > right for option in options if not option.right):
            found.append("wrong-one-popular")
        some_wrong = row["first"] > row["first_right"]
        if some_wrong and any(not option.taken for option in options if not option.right):
            found.append("nobody-takes")
    if abler is False:
        found.append("check-key")
    return tuple(found)


Table = tuple[str, tuple[str, ...], Values, Values]
"""A procedure, its questions, and by trainee and question: right (1), and whether it was answered at all."""


def _tables(answers: pl.DataFrame) -> list[Table]:
    """First answers of each procedure as a table of 0 and 1. Blanks score 0."""
    found = []
    first = answers.filter("first").sort(pl.col("procedure", "trainee", "name").cast(pl.String))
    for (procedure,), of_one in first.group_by("procedure", maintain_order=True):
        people, who = np.unique(of_one["trainee"].cast(pl.String).to_numpy(), return_inverse=True)
        names, which = np.unique(of_one["name"].cast(pl.String).to_numpy(), return_inverse=True)
        right, given = np.zeros((len(people), len(names))), np.zeros((len(people), len(names)))
        given[who, which] = 1
        right[who, which] = of_one["right"].to_numpy()
        found.append((str(procedure), tuple(map(str, names)), right, given))
    return found


def _told(
    procedure: str, names: Sequence[str], right: Values, given: Values
) -> dict[tuple[str, str], tuple[float | None, Interval | None, bool | None]]:
    """By question: discrimination, its interval, and whether the abler half do no worse at it.

    Of those who answered it; able by the other questions, where blanks score 0. None where nobody can tell.
    """
    found: dict[tuple[str, str], tuple[float | None, Interval | None, bool | None]] = {}
    for column, name in enumerate(names):
        there = given[:, column] > 0
        item, others = right[there, column], items.others(right, column)[there]
        r = items.correlation(item, others) if len(item) >= items.LEAST else None
        interval = None if r is None else items.fisher_interval(r, len(item))
        abler = None if r is None else items.upper_lower(item, others) >= 0
        found[(procedure, name)] = (r, interval, abler)
    return found


def reliabilities(j: Joined, facts: Mapping[str, ProcedureFacts]) -> tuple[Reliability, ...]:
    """Of each procedure's questions together; of first answers, a blank scoring 0."""
    del facts
    found = []
    for procedure, names, right, _ in _tables(asked(j)):
        value = alpha(right)
        people = len(right)
        found.append(
            Reliability(
                procedure=procedure,
                questions=len(names),
                trainees=people,
                alpha=value,
                interval=None if value is None else feldt(value, people, len(names)),
                sem=None if value is None else standard_error(float(right.sum(axis=1).std(ddof=1)), value),
                provisional=people < PROVISIONAL,
            )
        )
    return tuple(found)
