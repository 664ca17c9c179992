"""What ten minutes need at once: findings in a line, who needs help most, where it goes wrong."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from review_desk import (
    EMPTY,
    LARGE,
    NOON,
    SMALL,
    StillDesk,
    finding,
    hand_glance,
    opening,
    said,
    skill_row,
    skill_seen,
    table_of,
)
from review_values import REVIEW, chart

from trainer.insight.glance import AttemptSeen
from trainer.insight.results import Finding, Review
from trainer.screens.review import brief, class_rows, filtering, findings_rows, missed, trainee_rows
from trainer.screens.review.leaf import Opens

CHART = chart()
ASKED = REVIEW.questions[0]
LONG = "A sentence with all its figures, as long as sentences with intervals are, cut on a narrow screen."


def review(*found: Finding) -> Review:
    """What was found, with the rows that it is about."""
    skills = (skill_row("T-01", "contact", 9, 24),)
    return replace(EMPTY, findings=found, skills=skills, charts=(CHART,), questions=(ASKED,))


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (finding(LONG), "T-01 at contact: right in 9 of 24 (21-57 %), the others in 181 of 214"),
        (
            finding(LONG, kind="drift", keys=(CHART.station, CHART.procedure, CHART.what)),
            "At sink 2 the wedge falls at the same exposure",
        ),
        (finding(LONG, kind="step-trips", keys=("two-burns", "rub")), "Nearly everybody trips at “rub”"),
        (
            finding(LONG, kind="question-bad", keys=(ASKED.procedure, ASKED.name)),
            f"A question to look at, {ASKED.first_right.k} of {ASKED.first_right.n} right at first: “",
        ),
        (
            finding(LONG, kind="hazard-missed", keys=("two-burns", "lamp")),
            "Passed by without being accepted:",
        ),
        (finding(LONG, kind="hazard-unread", keys=("two-burns", "lamp")), "accepted too fast to be read"),
        (finding(LONG, kind="waste", keys=("two-burns",)), LONG[:60]),
        (finding(LONG, keys=("T-09", "contact")), LONG[:60]),
    ],
)
def test_a_finding_says_in_a_line_what_it_comes_to(found: Finding, words: str) -> None:
    """Too long for its line, it says first what matters; where there is room, its own sentence stands."""
    desk = StillDesk(hand_glance(), review(found))
    page = said(class_rows.leaf(desk, (), SMALL))
    assert words in page
    assert Opens("finding", (found.kind, *found.keys)) in opening(class_rows.leaf(desk, (), SMALL))
    assert LONG in said(class_rows.leaf(desk, (), LARGE), LARGE.width)


def test_who_may_work_alone_is_one_line() -> None:
    """Several who meet one procedure's rule are told together, after the rest; one alone as ever."""
    ready = [
        finding(
            f"{who} meets the rule.", kind="ready", level="know", subject="trainee", keys=(who, "two-burns")
        )
        for who in ("T-01", "T-02", "T-04")
    ]
    desk = StillDesk(hand_glance(), review(*ready, finding()))
    told = [str(brief.told(desk, some, 200).text) for some in brief.together(desk.found.findings)]
    assert told == [
        finding().words,
        "3 meet the rule for working alone: T-01, T-02, T-04 (Two burns).",
    ]
    assert brief.together(ready[:1]) == [(ready[0],)]
    assert str(brief.told(desk, (ready[0],), 200).text) == "T-01 meets the rule."


def test_help_is_counted_over_all_skills_and_can_lead() -> None:
    """Skills out of sight count too; by `o` whoever needs most comes first, then who was not seen longest."""
    glance = hand_glance(4, skills=8)
    weak = {key: skill_seen(1, 10) if key[0] == "T-03" else one for key, one in glance.by.items()}
    glance = replace(glance, by=weak)
    need = {
        one.trainee: sum(
            seen.state == "needs help" for (who, _), seen in glance.by.items() if who == one.trainee
        )
        for one in glance.trainees
    }
    assert len(set(need.values())) > 1
    later = tuple(
        replace(one, last_at=one.last_at - timedelta(days=9 * number))
        for number, one in enumerate(glance.trainees)
    )
    desk = StillDesk(replace(glance, trainees=later))
    orders = []
    for _ in class_rows.ORDERS:
        rows = table_of(class_rows.leaf(desk, (), SMALL)).rows
        assert {str(row[0].text): str(row[1].text) for row in rows} == {
            who: str(number or "-") for who, number in need.items()
        }
        orders.append([str(row[0].text) for row in rows])
        assert class_rows.leaf(desk, (), SMALL).at == Opens("trainee", (orders[-1][0],))
        desk.turn_order("class", class_rows.ORDERS)
    assert orders[0] == sorted(need)
    assert orders[1] == sorted(need, key=lambda who: -need[who])
    assert orders[2] == sorted(need, reverse=True)


def attempt(step: str, *, hit: bool, mark: str = "reading", skill: str = "contact") -> AttemptSeen:
    """An attempt of T-01."""
    return AttemptSeen(
        "run-0", 3, NOON, "T-01", "two-burns", "vacuum", step, skill, mark, "miss", hit, 4.0, rehearsal=False
    )


TRIED = (
    *(attempt("read-gauge", hit=hit) for hit in (False, False, True)),
    *(attempt("find-leak", hit=hit) for hit in (False, True)),
    attempt("rings", hit=True),
    *(attempt("slip", hit=False, mark="") for _ in range(5)),
    attempt("other", hit=False, skill="film"),
)


def test_a_weak_skill_names_the_steps_that_go_wrong() -> None:
    """Most missed first, on the finding's page and under what to do next; slips, and hits alone, are none."""
    desk = StillDesk(hand_glance(), review(finding()))
    desk.tried = TRIED
    for leaf in (
        findings_rows.one_leaf(desk, ("weak-skill", "T-01", "contact"), SMALL),
        trainee_rows.leaf(desk, ("T-01",), SMALL),
    ):
        page = said(leaf)
        assert page.index("missed 2 of 3: read-gauge") < page.index("missed 1 of 2: find-leak")
        assert page.count("missed ") - page.count("steps missed") == 2
        assert Opens("step", ("two-burns", "read-gauge")) in opening(leaf)
    assert missed.misses(TRIED) == 4


@pytest.mark.parametrize(
    ("kind", "keys", "words"),
    [
        ("step-trips", (ASKED.procedure, ASKED.step), "missed 1 of 1, as nearly everybody does: "),
        ("question-bad", (ASKED.procedure, ASKED.name), "missed 1 of 1, at a question to look at first: "),
        ("step-trips", (ASKED.procedure, "another"), "missed 1 of 1: "),
    ],
)
def test_a_step_that_stands_out_itself_is_told_as_such(kind: str, keys: tuple[str, ...], words: str) -> None:
    """Steps before people: where everybody fails, or the question is bad, it is said beside the miss."""
    desk = StillDesk(hand_glance(), review(finding(), finding(kind=kind, keys=keys)))
    desk.tried = (replace(attempt(ASKED.step, hit=False), procedure=ASKED.procedure),)
    assert words in said(trainee_rows.leaf(desk, ("T-01",), SMALL))


def test_the_last_day_is_a_choice() -> None:
    """The day of the newest run, from its midnight: what was worked on today."""
    desk = StillDesk(hand_glance())
    wanted = filtering.choose(desk, "period", "day")
    newest = desk.glance.newest
    assert newest is not None
    assert wanted.since == newest.replace(hour=0, minute=0)
    assert "the last day" in said(filtering.filters_leaf(desk, (), SMALL))
