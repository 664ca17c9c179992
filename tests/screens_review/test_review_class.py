"""The class at a glance, findings and trainees: what the pages say and open, from values by hand."""

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
    laid,
    opening,
    run_seen,
    said,
    skill_row,
    table_of,
)

from trainer.insight.glance import Glance
from trainer.insight.intervals import rate
from trainer.insight.results import CurvePoint, CurveRow, Interval, QuizDue, ReadyRow, RefreshRow, RunHeld
from trainer.screens.review import class_rows, findings_rows, trainee_rows
from trainer.screens.review.atop import looked_line
from trainer.screens.review.leaf import Opens, Size

NONE = ()


@pytest.mark.parametrize("size", [SMALL, LARGE])
def test_findings_come_in_without_moving_anything(size: Size) -> None:
    """The table stands on the same line while findings are worked out, with none, with few and with many."""
    desk = StillDesk(hand_glance(14, skills=8))
    many = tuple(finding(keys=(f"T-{number:02}", "contact")) for number in range(40))
    lines = set()
    for review in (None, EMPTY, replace(EMPTY, findings=many[:1]), replace(EMPTY, findings=many)):
        desk.review = review
        lines.add(laid(class_rows.leaf(desk, NONE, size), size.width).headings[1])
    assert len(lines) == 1


def test_fourteen_trainees_and_what_stands_out_fit_a_small_terminal() -> None:
    """At 80x24 the last of fourteen trainees is on the first screen, with the findings above."""
    desk = StillDesk(hand_glance(14, skills=8), EMPTY)
    lines = said(class_rows.leaf(desk, NONE, SMALL)).split("\n")
    assert next(number for number, line in enumerate(lines) if line.startswith("T-14")) < SMALL.height


def test_a_state_is_told_by_word_and_shade() -> None:
    """Each state has a shade and a word of its own in the table, and stands in the legend."""
    lines = said(class_rows.leaf(StillDesk(hand_glance()), NONE, SMALL))
    for word in ("█ HELP", "▒ coming", "░ steady", "· few"):
        assert word in lines
    assert "█ needs help" in lines


def test_every_cell_opens_what_it_is_made_of() -> None:
    """The code opens the trainee, the count the runs, a state the attempts, a title the skill."""
    found = opening(class_rows.leaf(StillDesk(hand_glance()), NONE, SMALL))
    assert Opens("trainee", ("T-01",)) in found
    assert Opens("rests", ("Runs of T-01",)) in found
    assert Opens("attempts", ("T-01", "contact")) in found
    assert Opens("skill", ("contact",)) in found
    runs = next(one.runs for one in found if one.keys == ("Runs of T-01",))
    assert runs == ["run-0"]


def test_skills_that_do_not_fit_are_counted_and_come_by_shifting() -> None:
    """The heading says which of how many; shifted, the table begins with a later skill."""
    desk = StillDesk(hand_glance(3, skills=8))
    assert "skills 1 to 5 of 8" in said(class_rows.leaf(desk, NONE, SMALL))
    desk.turn_shift("class", 5)
    shifted = class_rows.leaf(desk, NONE, SMALL)
    assert "skills 6 to 8 of 8" in said(shifted)
    assert table_of(shifted).columns[5].title == "finishing"


def test_a_class_without_runs_says_why() -> None:
    """An empty record and filters that leave nothing are two things, each with its sentence."""
    bare = Glance((), (), (), {}, (), (), None, None, "", {})
    assert "holds no run" in said(class_rows.leaf(StillDesk(bare), NONE, SMALL))
    none = replace(bare, everybody=("T-01",))
    assert "No run fits" in said(class_rows.leaf(StillDesk(none), NONE, SMALL))


def test_what_could_not_be_read_is_said_on_the_first_page() -> None:
    """Runs that cannot be read are counted there, and the rest is shown; opened, each has its sentence."""
    desk = StillDesk(hand_glance(), replace(EMPTY, troubles=("Run r9 cannot be read.",)))
    leaf = class_rows.leaf(desk, NONE, SMALL)
    assert "1 part of the record could not be read" in said(leaf)
    assert "T-01" in said(leaf)
    assert "Run r9 cannot be read." in said(findings_rows.troubles_leaf(desk, NONE, SMALL))


def test_findings_stand_by_what_is_to_be_done() -> None:
    """What to act on comes first; an empty part has no heading; a small class has its caveat."""
    both = (
        finding(),
        finding("T-02 is ready.", level="know", kind="ready", subject="trainee", keys=("T-02",)),
    )
    page = said(findings_rows.leaf(StillDesk(hand_glance(), replace(EMPTY, findings=both)), NONE, SMALL))
    assert page.index("To do something about") < page.index("T-01 gets") < page.index("Good to know")
    assert "To look at again" not in page
    assert "first impression" in page


def test_a_finding_opens_what_it_is_about_and_what_it_rests_on() -> None:
    """One finding: its sentence, why, n, method, how likely by chance; the attempts and runs behind it."""
    desk = StillDesk(hand_glance(), replace(EMPTY, findings=(finding(),)))
    leaf = findings_rows.one_leaf(desk, ("weak-skill", "T-01", "contact"), SMALL)
    page = said(leaf)
    for part in ("9 of 24", "181 of 214", "weak-skill", "on 24 in all", "fewer than 1 in 1000"):
        assert part in page
    assert Opens("attempts", ("T-01", "contact")) in opening(leaf)
    assert [one.runs for one in opening(leaf) if one.page == "rests"] == [("run-0",)]
    gone = findings_rows.one_leaf(desk, ("weak-skill", "T-09", "contact"), SMALL)
    assert "no longer" in said(gone)


@pytest.mark.parametrize(("p", "words"), [(0.03, "30 in 1000"), (0.4, "40 in 100")])
def test_chance_is_told_as_frequencies(p: float, words: str) -> None:
    """A p value is said as so many classes in so many."""
    desk = StillDesk(hand_glance(), replace(EMPTY, findings=(finding(p=p),)))
    assert words in said(findings_rows.one_leaf(desk, ("weak-skill", "T-01", "contact"), SMALL))


def test_a_trainee_before_the_findings() -> None:
    """Runs and states stand at once; what waits for the findings says so."""
    page = said(trainee_rows.leaf(StillDesk(hand_glance()), ("T-01",), SMALL))
    assert "T-01   1 run" in page
    assert "Working out what stands out" in page
    assert "2026-03-02 12:00" in page


READY = ReadyRow(
    "T-01",
    "two-burns",
    "3 solo runs within 60 days",
    3,
    1,
    met=False,
    good=rate(1, 2, 0.8),
    held=(RunHeld("run-0", NOON, ""), RunHeld("run-7", NOON, "excused: the lamp failed")),
)


def whole_trainee() -> StillDesk:
    """A desk that knows all about T-01."""
    due = RefreshRow(
        "T-01",
        "two-burns",
        NOON,
        NOON + timedelta(days=10),
        overdue=True,
        quizzes=(QuizDue("two-burns", "why_contact", NOON),),
        runs=("run-0",),
    )
    review = replace(
        EMPTY,
        findings=(finding(), finding("T-02 needs care.", keys=("T-02", "contact"))),
        skills=(
            skill_row("T-01", "exposure", 10, 10),
            skill_row("T-01", "contact", 2, 10),
            skill_row("T-01", "film", 3, 10),
            skill_row("T-02", "contact", 2, 10),
        ),
        ready=(READY,),
        refresh=(due,),
    )
    return StillDesk(hand_glance(), review)


def test_a_trainee_with_all_that_was_found() -> None:
    """What to do next from findings and weak skills, skills weakest first, the rule, deadlines, no others.

    Source of 6 to 51 for 2 of 10: Wilson's formula (1927) at z = 1.959964, worked by hand: 0.0567, 0.5098.
    """
    leaf = trainee_rows.leaf(whole_trainee(), ("T-01",), SMALL)
    page = said(leaf)
    assert page.index("T-01 gets contact right") < page.index("Show film again") < page.index("weakest first")
    assert "Show contact again" not in page  # the finding says it already
    assert page.index("contact    █ HELP") < page.index("exposure   ░ steady")
    assert "2 of 10 (6-51 %)" in page
    assert "· not   1 of 3 Two burns" in page
    assert "OVERDUE since 2026-03-12" in page
    assert "why contact" in page
    assert "T-02" not in page
    assert {Opens("ready", ("T-01", "two-burns")), Opens("attempts", ("T-01", "film"))} <= set(opening(leaf))


def test_the_rule_with_the_runs_held_against_it() -> None:
    """Which runs count, why others do not, the rate with its interval, the chance to be under the line."""
    leaf = trainee_rows.ready_leaf(whole_trainee(), ("T-01", "two-burns"), SMALL)
    page = said(leaf)
    for part in ("3 solo runs within 60 days", "counts", "excused: the lamp failed", "1 of 2", "under 80 %"):
        assert part in page
    assert opening(leaf) == [Opens("run", ("run-7",)), Opens("run", ("run-0",))]
    none = trainee_rows.ready_leaf(whole_trainee(), ("T-02", "two-burns"), SMALL)
    assert "states no rule" in said(none)


def test_a_trainee_of_whom_nothing_is_looked_at() -> None:
    """A trainee whom the filters leave out is said to be so; nothing fails."""
    page = said(trainee_rows.leaf(StillDesk(hand_glance(), EMPTY), ("T-99",), SMALL))
    assert "no run that counts" in page
    assert "No attempt" in page


def test_excused_runs_are_seen_and_not_counted() -> None:
    """An excused run stands in the timeline as such, and not among the runs that a count opens."""
    glance = hand_glance()
    both = replace(glance, runs=(*glance.runs, run_seen(9, "T-01", excused="The lamp failed")))
    desk = StillDesk(both, EMPTY)
    assert "done, excused" in said(trainee_rows.leaf(desk, ("T-01",), SMALL))
    counted = next(
        one for one in opening(class_rows.leaf(desk, NONE, SMALL)) if one.keys == ("Runs of T-01",)
    )
    assert counted.runs == ["run-0"]


def test_a_deadline_over_all_trainees() -> None:
    """A procedure's deadlines, the earliest first, those that are over marked; each opens its trainee."""
    desk = whole_trainee()
    assert desk.review is not None
    first = desk.review.refresh[0]
    later = replace(first, trainee="T-02", due_at=NOON + timedelta(days=40), overdue=False)
    none = replace(first, trainee="T-03", due_at=None, overdue=False)
    desk.review = replace(desk.review, refresh=(later, none, first))
    leaf = trainee_rows.due_leaf(desk, ("two-burns",), SMALL)
    assert [one.keys for one in opening(leaf) if one.page == "trainee"] == [("T-01",), ("T-02",)]
    assert said(leaf).count("OVERDUE") == 1
    assert "No deadline" in said(trainee_rows.due_leaf(desk, ("other",), SMALL))


def test_learning_curves() -> None:
    """A line for each curve, the one of most runs drawn; opened, every run of it with its value."""
    points = tuple(CurvePoint(number, 600.0 / number, f"run-{number}") for number in range(1, 6))
    between = Interval(0.4, 0.6, "unit-curve")
    row = CurveRow("T-01", "two-burns", "active time", points, 600.0, -1.0, 0.5, between)
    few = replace(row, points=points[:2], slope=None, rate=None, rate_interval=None)
    short = replace(few, procedure="exposure-test")
    desk = whole_trainee()
    assert desk.review is not None
    desk.review = replace(desk.review, curves=(short, row))
    leaf = trainee_rows.leaf(desk, ("T-01",), SMALL)
    page = said(leaf)
    assert "active time, Two burns, 5 runs: 50 % (40 to 60 %)" in page
    assert "Exposure test, 2 runs" not in page
    keys = ("T-01", "two-burns", "active time")
    assert Opens("curve", keys) in opening(leaf)
    one = trainee_rows.curve_leaf(desk, keys, SMALL)
    assert [spot.keys[0] for spot in opening(one)] == [point.run for point in points]
    assert "10 min" in said(one)
    assert "Nothing to draw" in said(trainee_rows.curve_leaf(desk, ("T-09", "", ""), SMALL))


@pytest.mark.parametrize(
    ("ends", "words"), [((0.7, 2.2), "too few to say"), ((0.7, 0.9), "80 % (70 to 90 %)")]
)
def test_few_runs_make_no_figure(ends: tuple[float, float], words: str) -> None:
    """A rate whose ends lie more than three times apart is of no use: it says that the runs are too few."""
    points = tuple(CurvePoint(number, 600.0, f"run-{number}") for number in (1, 2, 3))
    between = Interval(*ends, "unit-curve")
    row = CurveRow("T-01", "two-burns", "active time", points, 600.0, -0.3, 0.8, between)
    desk = whole_trainee()
    assert desk.review is not None
    desk.review = replace(desk.review, curves=(row,))
    assert f"3 runs: {words}" in said(trainee_rows.leaf(desk, ("T-01",), SMALL))


@pytest.mark.parametrize(("runs", "words"), [(3, "so few runs tell little"), (40, "in what is looked at")])
def test_nothing_found_in_a_few_runs_is_no_good_news(runs: int, words: str) -> None:
    """Nothing stands out: of a few runs it says that they tell little."""
    desk = StillDesk(hand_glance(), review=replace(EMPTY, runs=runs, findings=()))
    assert f"Nothing stands out{':' if runs < 20 else ''} {words}" in said(class_rows.leaf(desk, (), SMALL))


def test_what_is_looked_at_is_not_cut_while_fewer_words_do() -> None:
    """At 80 columns the rows in sight, then the mark of an invented record, are said in fewer words."""
    looked = "79 runs of 14 trainees, 1 excused, whole record"
    rows = "rows 1 to 21 of 24"
    assert looked_line(looked, rows, 110, invented=True).plain == (
        f" INVENTED RECORD  {looked}{' ' * 27}{rows}"
    )
    narrow = looked_line(looked, rows, 78, invented=True).plain
    assert narrow == f" INVENTED RECORD  {looked}{' ' * 3}1-21 of 24"
    narrower = looked_line(looked, rows, 74, invented=True).plain
    assert narrower.startswith(f" INVENTED  {looked} ")
    assert narrower.endswith("1-21 of 24")
    assert "…" in looked_line(looked, rows, 40, invented=True).plain
