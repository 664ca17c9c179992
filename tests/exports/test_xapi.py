"""Statements of the record: the five shapes of the reference and the rest, all of them conforming."""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import Any, Literal

import pytest
from export_kit import EXCUSED, HOSTILE, NAME, RUN, copied, said, shared, stated
from record_kit import Station

from trainer import places
from trainer.procedure.load import load
from trainer.procedure.model import Quiz
from trainer.record import chain
from trainer.record.exports.acts import LEFT_OUT, STATED, statements
from trainer.record.exports.naming import HOME_PAGE, Naming, home_page
from trainer.record.exports.reader import Reader
from trainer.record.exports.statement import faults
from trainer.run import events as e
from trainer.run import wire
from trainer.run.ports import Trouble

# IRIs as in the published vocabularies (learning-records reference, section 1.2)
KEY = chain.ChainKey(b"k" * 32)
FORMS: tuple[Literal["choice", "choices", "number", "order"], ...] = ("choice", "choices", "number", "order")
VERB = "http://adlnet.gov/expapi/verbs/"


@pytest.fixture
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with every kind of event; not to be changed."""
    return shared(tmp_path_factory)


@pytest.fixture
def own(kept: Path, tmp_path: Path) -> Path:
    """A copy of it, to be tampered with."""
    return copied(kept, tmp_path)


def test_every_kind_of_event_is_stated_or_left_out_for_a_reason() -> None:
    """A new kind of event has to be decided about."""
    decided = {*STATED, *LEFT_OUT, e.RunExcused}
    assert decided == set(wire.KINDS.values())
    assert len(decided) == len(STATED) + len(LEFT_OUT) + 1


def test_every_statement_conforms_and_names_nobody(kept: Path) -> None:
    """All pass the model; no code, name or free word of a person is anywhere in them."""
    written, _ = said(kept, "--as", "xapi")
    for one in stated(kept):
        assert faults(one) == []
        assert set(one["actor"]) == {"objectType", "account"}
        assert one["actor"]["account"]["homePage"] == HOME_PAGE
    for hidden in (NAME, "T-01", "T-02", "T-03", "I-1", HOSTILE, "Good contact", "dust on the glass"):
        assert hidden.encode() not in written


def test_ids_are_those_of_the_events(kept: Path) -> None:
    """An act's statement has its event's id, a UUIDv7 (RFC 9562), and no two statements have the same."""
    ids = [uuid.UUID(one["id"]) for one in stated(kept)]
    assert len(set(ids)) == len(ids)
    voiding = [one["id"] for one in stated(kept) if one["verb"]["id"].endswith("voided")]
    assert {one.version for one in ids if str(one) not in voiding} == {7}


def verbs(kept: Path, run: str) -> list[str]:
    """What is stated of a run, in order."""
    return [
        one["verb"]["id"].rpartition("/")[2] for one in stated(kept) if one["context"]["registration"] == run
    ]


def test_the_verbs_of_a_run(kept: Path) -> None:
    """One word of the published vocabulary for each act."""
    assert verbs(kept, RUN) == [
        *("initialized", "acknowledge", "answered", "answered", "completed", "answered", "experienced"),
        *("answered", "passed", "completed", "completed", "completed", "answered", "answered", "suspended"),
        *("resumed", "failed", "failed", "terminated", "answered", "failed", "failed", "completed"),
    ]


def of(kept: Path, ending: str, number: int = 0) -> dict[str, Any]:
    """The statement about an object whose IRI ends so."""
    return [one for one in stated(kept) if one["object"]["id"].endswith(ending)][number]


def test_the_shape_of_a_safety_prompt(kept: Path) -> None:
    """Acknowledged, a checklist item, with how long it was read."""
    one = of(kept, "steps/mind-the-glass/safety")
    assert one["verb"]["id"] == "http://activitystrea.ms/acknowledge"
    assert one["object"]["definition"]["type"] == "http://id.tincanapi.com/activitytype/checklist-item"
    assert one["result"] == {"response": "true", "duration": "PT2.5S"}


def test_the_shape_of_a_measurement(kept: Path) -> None:
    """Answered, numeric, with its unit; a reading that is not good is no success."""
    one = of(kept, "steps/read-gauge/vacuum")
    assert one["verb"]["id"] == f"{VERB}answered"
    assert one["object"]["definition"]["interactionType"] == "numeric"
    unit = {f"{HOME_PAGE}/extensions/unit": "inHg"}
    assert one["result"] == {"response": "17", "success": False, "extensions": unit}
    assert one["context"]["contextActivities"]["parent"] == [{"id": f"{HOME_PAGE}/procedures/invented"}]


def test_the_shape_of_an_answer(kept: Path) -> None:
    """Items of an answer stand between the standard's delimiter, and success is said beside them."""
    assert of(kept, "steps/ask/why")["result"] == {"response": "a[,]c", "success": False}
    assert of(kept, "steps/draw-down/why")["result"] == {"response": "-2.5", "success": True}
    picked = of(kept, "next/burn")
    assert picked["object"]["definition"]["correctResponsesPattern"] == ["burn"]
    assert [one["id"] for one in picked["object"]["definition"]["choices"]] == ["burn", "draw-down"]
    assert picked["result"] == {"response": "draw-down", "success": False}


def test_the_shape_of_a_step_a_word_and_an_end(kept: Path) -> None:
    """Completed with duration; passed or failed with the instructor; the whole completed or abandoned."""
    step = of(kept, "steps/sign", 0)
    assert (step["verb"]["id"], step["result"]) == (
        f"{VERB}completed",
        {"completion": True, "duration": "PT0.2S"},
    )
    word = next(one for one in stated(kept) if "instructor" in one["context"])
    assert word["verb"]["id"] == f"{VERB}passed"
    assert word["context"]["instructor"] != word["actor"]
    ends = [one for one in stated(kept) if one["verb"]["id"].endswith(("/abandoned", "/completed"))]
    done = [one for one in ends if one["object"]["id"] == f"{HOME_PAGE}/procedures/invented"]
    assert [one["result"]["completion"] for one in done] == [True, False]
    assert done[1]["verb"]["id"] == "https://w3id.org/xapi/adl/verbs/abandoned"


def test_an_excused_run_is_voided_statement_by_statement(kept: Path) -> None:
    """Each statement of it is referred to by one that voids it, and none of those by another."""
    all_of = [one for one in stated(kept) if one["context"]["registration"] == EXCUSED]
    voiding = [one for one in all_of if one["verb"]["id"] == f"{VERB}voided"]
    acts = [one for one in all_of if one not in voiding]
    assert [one["object"] for one in voiding] == [
        {"objectType": "StatementRef", "id": one["id"]} for one in acts
    ]
    assert verbs(kept, EXCUSED) == ["initialized", "suspended", "abandoned", *["voided"] * 3]


def test_one_person_alone(kept: Path) -> None:
    """Only what that trainee did, and the same account as in the export of all."""
    mine = stated(kept, "--trainee", "T-02")
    (account,) = {one["actor"]["account"]["name"] for one in mine}
    assert mine == [one for one in stated(kept) if one["actor"]["account"]["name"] == account]
    assert account != of(kept, "steps/ask/why")["actor"]["account"]["name"]
    assert len(account) == 32


def test_names_when_asked_for(kept: Path) -> None:
    """With --names an agent is called by the name that is kept; the others stay without."""
    named = {one["actor"].get("name") for one in stated(kept, "--names")}
    assert named == {NAME, None}


def test_a_home_page_of_ones_own(kept: Path) -> None:
    """Accounts and our own IRIs stand under it; one that is none is refused."""
    for one in stated(kept, "--home-page", "https://school.example/x/"):
        assert one["actor"]["account"]["homePage"] == "https://school.example/x"
        assert faults(one) == []
    for wrong in ("school", "ftp://school.example", "https://school.example/?a", "https://a b/", ""):
        with pytest.raises(Trouble, match="no home page"):
            home_page(wrong)


def test_without_the_key_nobody_is_named(own: Path) -> None:
    """Opaque names are made with the record's key: without it the export ends with a sentence."""
    chain.key_path(own).unlink()
    assert "opaque names" in said(own, "--as", "xapi", code=1)[1]


def test_a_run_without_its_beginning_is_told_and_no_failure(own: Path) -> None:
    """Who began a run was erased after handing it over: the rest cannot be stated."""
    from trainer.record.people import People
    from trainer.run.fakes import FakeClock

    with People.at(own, FakeClock()) as people:
        people.erase("T-01")
    written, told = said(own, "--as", "xapi")
    assert RUN.encode() not in written
    assert f"Run {RUN} is left out" in told


def right_answer(quiz: Quiz) -> tuple[e.QuizAnswered, str]:
    """The right answer to a quiz as an event, and as a response."""
    form = next(one for one in FORMS if getattr(quiz, one) is not None)
    items = quiz.right if isinstance(quiz.right, tuple) else (str(quiz.right),)
    return e.QuizAnswered(quiz.name, form, items, right=True), "[,]".join(items)


@pytest.mark.parametrize("file", sorted(places.procedures_dir().glob("*.yaml")), ids=lambda file: file.stem)
def test_questions_of_the_shipped_procedures_are_defined_by_the_standard(file: Path, tmp_path: Path) -> None:
    """Every quiz and judgement makes a statement that conforms, and a right answer is in its pattern.

    Patterns: items between `[,]`, a range as `least[:]most` (Data 2.4.4.1 and appendix C).
    """
    plan = load(file).require()
    opened = e.RunOpened(
        "T-01", plan.procedure.id, 1, plan.content_hash, "full", rehearsal=False, settings={}
    )
    station = Station(tmp_path)
    events, right = [station.event("r1", opened)], [""]
    for step in plan.steps.values():
        if step.quiz is not None:
            answered, said_then = right_answer(step.quiz)
            events.append(station.event("r1", answered, step.id))
            right.append(said_then)
        if step.judge is not None:
            events.append(station.event("r1", e.Judged(step.judge.name, step.judge.right), step.id))
            right.append("")
    said_of: list[dict[str, Any]] = list(statements(Reader(Naming(HOME_PAGE, KEY), plan), events))
    for one, answer in zip(said_of, right, strict=True):
        assert faults(one) == []
        definition = one["object"]["definition"]
        if answer and definition["interactionType"] == "numeric":
            least, most = map(float, definition["correctResponsesPattern"][0].split("[:]"))
            assert least <= float(answer) <= most
        elif answer:
            assert definition["correctResponsesPattern"] == [answer]
            assert {part["id"] for part in definition["choices"]} >= set(answer.split("[,]"))
