"""The page about one trainee: nobody else is in it, neither by code nor by run nor by any figure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from report_made import NOW, material, one_trainee
from report_pages import read

from trainer.insight.frames import AT, SCHEMAS, Frames
from trainer.insight.report.gather import is_wanted, runs_of
from trainer.insight.report.material import Kept, Material, RunLine
from trainer.insight.report.names import Names
from trainer.insight.report.own_part import SOMEBODY, own_part, without
from trainer.insight.report.trainee import as_trainee_page
from trainer.insight.results import Wanted
from trainer.insight.review import review
from trainer.insight.states import RULE

START = datetime(2026, 9, 1, 9, tzinfo=UTC)


def rows(table: str, *given: Mapping[str, object]) -> pl.DataFrame:
    """A frame with these rows; what they leave out is empty, nought, false or the start."""
    usual: dict[object, object] = {
        pl.String(): "",
        pl.Int64(): 0,
        pl.Float64(): 0.0,
        pl.Boolean(): False,
        AT: START,
    }
    made = [{name: row.get(name, usual[kind]) for name, kind in SCHEMAS[table].items()} for row in given]
    return pl.DataFrame(made, schema=SCHEMAS[table])


def of_people(*trainees: str, attempts: int = 12, hits: int = 9, note: str = "") -> Frames:
    """A solo run each, attempts at contact, a plate given up, a sign-off; nobody's run is like T-03's."""
    tables: dict[str, list[dict[str, object]]] = {name: [] for name in SCHEMAS}
    for place, trainee in enumerate(trainees):
        own = trainee == "T-03"
        act = {
            "run": f"run-of-{trainee}",
            "trainee": trainee,
            "plate": 1,
            "stage": "vacuum",
            "step": "read-gauge",
        }
        opened = {
            "opened_at": START,
            "closed": "done",
            "closed_at": START,
            "guidance": "solo",
            "procedure": "plate",
        }
        tables["runs"].append({**act, **opened, "excused": note if own else "", "reason": "done"})
        for seq in range(12 if own else attempts):
            hit = seq < (9 if own else hits)
            mark = {"skill": "contact", "task": "reading", "mark": "reading", "hit": hit, "outcome": "ok"}
            tables["attempts"].append({**act, **mark, "seq": seq})
        tables["visits"].append(
            {**act, "task": "reading", "visit": 1, "ended": "finished", "active": 9.0 + place * (not own)}
        )
        tables["plates"].append({**act, "how": "spoiled", "reason": note or "scratched"})
        tables["signatures"].append({**act, "by": "I-1", "word": "passed", "note": note})
    return Frames(**{name: rows(name, *tables[name]) for name in SCHEMAS})


def page_of(frames: Frames, trainee: str = "T-03") -> str:
    """The page that `gather` and `as_trainee_page` make of a record's frames."""
    wanted = Wanted(trainees=(trainee,))
    own = own_part(frames, trainee)
    runs = tuple(runs_of(own))
    found = review(own, {}, wanted, NOW)
    return as_trainee_page(Material(found, Names(), runs, Kept(1, 30, "", ()), zone=UTC), RULE)


def test_no_row_of_anybody_else_is_left() -> None:
    """After narrowing, every trainee's column holds one code, no instructor stands there, ids are the own."""
    own = own_part(of_people("T-01", "T-03", "T-05"), "T-03")
    for table in fields(Frames):
        frame: pl.DataFrame = getattr(own, table.name)
        if "trainee" in frame.columns:
            assert set(frame["trainee"]) <= {"T-03"}
        assert set(frame["run"]) <= {"run-of-T-03"}
        assert frame.schema == SCHEMAS[table.name]
    assert set(own.signatures["by"]) == {""}
    assert (own.attempts.height, own.visits.height, own.plates.height) == (12, 1, 1)


@pytest.mark.parametrize(
    ("attempts", "hits", "others"),
    [(40, 40, ("T-01", "T-05")), (3, 0, ("T-01",)), (9, 1, ("A", "B", "T-04"))],
)
def test_the_page_is_the_same_whoever_else_is_in_the_record(
    attempts: int, hits: int, others: tuple[str, ...]
) -> None:
    """Others' rows, however many and however good, change not one character of the page."""
    alone = page_of(of_people("T-03"))
    assert page_of(of_people(*others, "T-03", attempts=attempts, hits=hits)) == alone
    assert "9 of 12" in alone


def test_a_code_that_somebody_wrote_is_put_out_of_sight() -> None:
    """Reasons and notes that name others by code say `somebody else`."""
    frames = of_people("T-01", "T-03", note="T-01 bumped it; I-1 saw; t-01!")
    page = page_of(frames)
    assert re.search(r"[tT]-01|I-1", page) is None
    assert f"{SOMEBODY} bumped it" in page


def test_a_run_that_was_handed_over_shows_its_own_part_alone() -> None:
    """T-03 began, T-05 ended: the run is T-03's, handed over, without how and why T-05 ended it."""
    frames = of_people("T-03")
    run = {"trainee": "T-05", "closed": "stopped", "reason": "T-05 had to go", "handed": True, "spoiled": 7}
    changed = frames.runs.with_columns(**{name: pl.lit(value) for name, value in run.items()})
    own = own_part(replace(frames, runs=changed.cast(SCHEMAS["runs"])), "T-03")
    row = own.runs.row(0, named=True)
    assert (row["trainee"], row["closed"], row["reason"], row["spoiled"]) == ("T-03", "", "", 0)
    assert row["handed"]
    assert row["closed_at"] is None
    assert next(iter(runs_of(own))).closed == "handed over"


@given(st.text(max_size=30), st.sampled_from(["T-01", "I-1", "Ab9", "X", "(.*"]))
def test_codes_go_as_words_and_nothing_else_changes(text: str, code: str) -> None:
    """A code between blanks goes; a text without it stays as it was."""
    assert without(f"{text} {code} .", [code]).endswith(f" {SOMEBODY} .")
    if code.lower() not in text.lower():
        assert without(text, [code]) == text
    assert without(f"{code}2 and a{code}", [code]) == f"{code}2 and a{code}" or not code[0].isalnum()


def test_the_page_says_what_goes_well_what_to_practise_and_what_is_next() -> None:
    """The states of the trainee's skills and the rule in the first half page; the states' rule below."""
    tree = read(as_trainee_page(one_trainee("T-03"), RULE))
    short = tree.first("short").said
    assert tree.all("h1")[0].said == "T-03: how far along"
    assert "9 of 24 attempts right; 9 of the last 10." in short
    assert "1 run counts, 3 wanted." in short
    assert "Answer 1 question again" in short
    assert RULE in " ".join(tree.first("skills").said.split())
    assert set(re.findall(r"\bT-\d\d\b", tree.said)) == {"T-03"}


def test_a_trainee_who_only_began_has_a_page_too() -> None:
    """One open run and nothing in it: the page stands, and promises nothing."""
    frames = of_people("T-03")
    begun = {"closed": pl.lit(""), "closed_at": pl.lit(None, AT)}
    empty = {name: rows(name) for name in SCHEMAS if name != "runs"}
    page = page_of(Frames(runs=frames.runs.with_columns(**begun), **empty))
    assert "No attempt is in the record yet." in page
    assert "Nothing is steady yet." in page


@pytest.mark.parametrize(
    ("wanted", "there"),
    [
        (Wanted(), True),
        (Wanted(procedures=("plate",)), True),
        (Wanted(procedures=("other",)), False),
        (Wanted(kind="wet"), True),
        (Wanted(kind="rehearsal"), False),
        (Wanted(since=START), True),
        (Wanted(until=START), False),
        (Wanted(since=START + timedelta(seconds=1)), False),
        (Wanted(until=START + timedelta(seconds=1)), True),
    ],
)
def test_runs_are_shown_as_they_were_asked_for(wanted: Wanted, there: bool) -> None:
    """By procedure, kind and the time of opening; `until` itself is no part of the time."""
    run = RunLine(
        "r",
        "T-01",
        "plate",
        rehearsal=False,
        guidance="solo",
        opened_at=START,
        closed="",
        plates_spoiled=0,
        excused="",
    )
    assert is_wanted(run, wanted) is there
    assert material().runs
