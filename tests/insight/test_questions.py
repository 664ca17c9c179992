"""Questions: their figures, remarks, reliability, and which are bad."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from insight_kit import frames
from test_items import KR20, table
from work_kit import QUESTIONS, asked_of, facts, runs

from trainer.insight import bad_questions, questions
from trainer.insight.joined import Joined, joined

ABLE = list(np.linspace(0, 2, 14))


def of_table(patterns: str) -> Joined:
    """One run a person, who answers each question once."""
    right = table(patterns)
    of_runs = runs(len(right), len(right))
    answers = [
        {
            "run": run["run"],
            "trainee": run["trainee"],
            "name": QUESTIONS[place],
            "answer": '["a"]' if hit else '["b"]',
            "right": bool(hit),
        }
        for run, row in zip(of_runs, right, strict=True)
        for place, hit in enumerate(row)
    ]
    return joined(frames(runs=of_runs, answers=answers))


def test_the_page_on_kr20_through_frames() -> None:
    """Wuensch's table: alpha and its interval by pingouin 0.7.0, correlations by scipy 1.17.1."""
    j = of_table(KR20)
    (whole,) = questions.reliabilities(j, facts())
    assert whole.alpha == pytest.approx(0.6963470320, abs=1e-9)
    assert whole.interval is not None
    assert (whole.interval.low, whole.interval.high) == pytest.approx((0.309, 0.911), abs=1e-3)
    assert whole.sem == pytest.approx(1.4036988, abs=1e-6)
    assert (whole.questions, whole.trainees, whole.provisional) == (10, 10, True)
    found = [row.discrimination for row in questions.questions(j, facts())]
    wanted = [0.7059, 0.7059, 0, 0.4736, 0.5839, 0.2861, -0.0274, 0.7059, -0.1236, 0.4759]
    assert found == pytest.approx(wanted, abs=1e-4)


def test_blanks_score_nothing() -> None:
    """Who never came to a question has it wrong in the whole."""
    full = of_table("1110 1100 1000 1111 0000")
    blanks = replace(full.frames, answers=full.frames.answers.filter(full.frames.answers["right"]))
    (whole,), (part,) = (questions.reliabilities(one, {}) for one in (full, joined(blanks)))
    # Who has no answer at all was not asked, and is left out.
    assert (whole.trainees, part.trainees) == (5, 4)
    rest = questions.reliabilities(of_table("1110 1100 1000 1111"), {})
    assert part.alpha == pytest.approx(rest[0].alpha)


def test_first_answers_count_once() -> None:
    """A trainee's second answer is in all answers and not in the first; options count first tries."""
    answers = [
        {"run": "r1", "name": "asked_1", "answer": '["b"]', "right": False},
        {"run": "r2", "name": "asked_1", "answer": '["a"]', "right": True},
        {"run": "r2", "name": "asked_1", "trainee": "T-02", "answer": '["a"]', "right": True},
        {"run": "r2", "name": "seen", "form": "judge", "answer": '["a"]', "right": True},
    ]
    (row,) = questions.questions(
        joined(frames(runs=[{"run": "r1"}, {"run": "r2"}], answers=answers)), facts()
    )
    assert (row.first_right.k, row.first_right.n) == (1, 2)
    assert (row.all_right.k, row.all_right.n) == (2, 3)
    assert [(one.key, one.right, one.taken) for one in row.options] == [
        ("a", True, 1),
        ("b", False, 1),
        ("c", False, 0),
    ]
    assert row.remarks == ("few",)
    assert row.discrimination is None


def test_an_easy_safety_question_is_as_it_should_be() -> None:
    """All right at first: remarked as such, nothing else, and never a finding."""
    known = facts()
    safe = {name: replace(one, safety=True) for name, one in known["plate"].questions.items()}
    known["plate"] = replace(known["plate"], questions=safe)
    j = of_table(" ".join(["1" + pattern for pattern in KR20.split()]))
    rows = questions.questions(j, known)
    assert rows[0].safety
    assert rows[0].remarks == ("everybody-right",)
    assert rows[0].discrimination is None
    assert all(one.keys[1] != QUESTIONS[0] for one in bad_questions.stands_out(rows, j).findings)


def test_remarks_have_words() -> None:
    """Every remark that is made has its sentence."""
    j = asked_of(runs(140, 14), ABLE, 4, 1)
    rows = questions.questions(j, facts())
    made = {remark for row in rows for remark in row.remarks}
    assert "nobody-takes" in made
    assert made <= set(questions.REMARKS)
    assert "stays-wrong" in rows[4].remarks


def test_a_bad_question_is_found() -> None:
    """One that the able get wrong more often: told, with a small chance, in five classes; and no other."""
    for seed in range(5):
        j = asked_of(runs(140, 14), ABLE, 4, seed)
        rows = questions.questions(j, facts())
        found = [
            one for one in bad_questions.stands_out(rows, j).findings if one.p is not None and one.p < 0.005
        ]
        assert [one.keys for one in found] == [("plate", QUESTIONS[4])]


def test_good_questions_are_not() -> None:
    """Ten classes with nothing planted: nothing has a chance under 1 in 500."""
    for seed in range(10):
        j = asked_of(runs(140, 14), ABLE, None, seed)
        every = bad_questions.stands_out(questions.questions(j, facts()), j)
        assert all(one.p is not None and one.p > 0.002 for one in every.findings)
        assert every.silent + len(every.findings) == len(QUESTIONS)


def test_an_answer_that_is_no_list_is_a_text() -> None:
    """A damaged answer of the record is shown as it stands."""
    answers = [{"name": "other", "answer": "not json", "right": False}]
    (row,) = questions.questions(joined(frames(runs=[{}], answers=answers)), {})
    assert [(one.key, one.words) for one in row.options] == [("not json", "not json")]
