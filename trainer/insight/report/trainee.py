"""One trainee's report: made from that trainee's part of the record alone, so nobody else can be in it.

No figure of the class stands here either: in a small class a median tells of somebody.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer.insight.report.bars import interval_bar
from trainer.insight.report.curves import curves
from trainer.insight.report.material import Material, RunLine
from trainer.insight.report.page import CAUTION, asked, contents, framed, made
from trainer.insight.report.parts import Section, code, p
from trainer.insight.report.people import tried, why_not
from trainer.insight.report.record import excused, heads, held, verdict
from trainer.insight.report.table import Cell, right, table
from trainer.insight.report.words import (
    NONE,
    day,
    listed,
    minute,
    number_of,
    of,
    percent,
    sentence,
    short,
    spread,
)
from trainer.insight.results import HazardRow, ReadyRow, SkillRow
from trainer.procedure.paper.tags import Html, Piece, rows, tag, together

_MOST = 12


def as_trainee_page(material: Material, rule: str) -> str:
    """The page about the one trainee of `material`. rule: the rule of the states, in words."""
    (trainee,) = material.review.wanted.trainees
    sections = [
        _skills(material, rule),
        _ready(material),
        _again(material),
        _plates(material),
        _prompts(material),
        _questions(material),
        curves(material),
        _runs(material),
        _record(material),
    ]
    counting = [run for run in material.runs if not run.excused]
    wet = sum(not run.rehearsal for run in counting)
    kinds = f"{number_of(wet, 'wet run')}, {number_of(len(counting) - wet, 'rehearsal')}"
    said = f"{number_of(len(counting), 'run')}: {kinds}."
    when = f"{asked(material)} {made(material)}".strip()
    head = (tag("h1", f"{trainee}: how far along"), p(said, class_="under"), p(when, class_="quiet"))
    return framed(
        trainee, head, (_short(material), p(CAUTION, class_="quiet"), contents(sections)), sections, material
    )


def _short(material: Material) -> Html:
    """The first half page: what goes well, what to practise, what comes next."""
    groups = (
        ("Goes well", _in_state(material, "steady"), "Nothing is steady yet."),
        ("Coming on", _in_state(material, "coming on"), "Nothing stands between."),
        ("To practise", _to_practise(material), "Nothing stands out as weak."),
        ("Working alone", _alone(material), "No rule to hold runs against."),
        ("To do next", _next(material), "Go on as planned."),
    )
    inside = [
        tag("div", tag("h3", title), tag("div", _said(said, nothing)), class_="group")
        for title, said, nothing in groups
    ]
    heading = tag("h2", "In short", id="short-title")
    return tag("section", heading, *inside, class_="summary", id="short", aria_labelledby="short-title")


def _said(said: Sequence[Piece], nothing: str) -> Html:
    return rows(said, class_="plain") if said else p(nothing)


def _in_state(material: Material, state: str) -> list[Piece]:
    """The skills in a state, in one sentence with their counts."""
    found = [row for row in material.review.skills if row.state == state]
    said = listed([f"{row.skill} ({row.rate.k:,} of {row.rate.n:,})" for row in found])
    return [sentence(said)] if said else []


def _to_practise(material: Material) -> list[Piece]:
    return [
        f"{_called(row, material)}: {row.rate.k:,} of {number_of(row.rate.n, 'attempt')} right; "
        f"{row.recent.k:,} of the last {row.recent.n:,}."
        for row in material.review.skills
        if row.state == "needs help"
    ]


def _alone(material: Material) -> list[Piece]:
    """The rules that runs were held against, in a sentence each."""
    found = material.review.ready
    said: list[Piece] = [_ready_words(row, material) for row in found if tried(row)]
    if left := sum(not tried(row) for row in found):
        said.append(f"{number_of(left, 'procedure')} without a finished solo run within the time.")
    return said


def _called(row: SkillRow, material: Material) -> str:
    words = material.names.skill(row.skill)
    return f"{row.skill} ({words[0].lower()}{words[1:]})" if words else row.skill


def _ready_words(row: ReadyRow, material: Material) -> str:
    title = material.names.procedure(row.procedure)
    state = "meets the rule" if row.met else "not yet"
    return f"{title}: {state}; {number_of(row.counted, 'run counts', 'runs count')}, {row.wanted} wanted."


def _next(material: Material) -> list[Piece]:
    review = material.review
    said: list[Piece] = [
        f"{material.names.procedure(row.procedure)}: due {day(row.due_at, material.zone)}. Do it first."
        for row in review.refresh
        if row.overdue and row.due_at is not None
    ]
    weak = [row.skill for row in review.skills if row.state == "needs help"]
    if weak:
        said.append(f"Have {listed(weak)} shown once more, then do it beside the instructor.")
    due = sum(quiz.at <= review.at for row in review.refresh for quiz in row.quizzes)
    if due:
        said.append(f"Answer {number_of(due, 'question')} again: it has been a while.")
    return said


def _skills(material: Material, rule: str) -> Section:
    lines = [
        (
            together((row.skill, tag("div", material.names.skill(row.skill), class_="quiet"))),
            Cell(tag("b", row.state), row.state.replace(" ", "-")),
            of(row.rate),
            Cell(interval_bar(row.rate), "bar"),
            of(row.recent),
            right(f"{row.hints:,}"),
        )
        for row in material.review.skills
    ]
    columns = (
        "Skill",
        "State",
        "All attempts right",
        Cell("How sure", "bar"),
        "Recent attempts right",
        Cell("Key points asked for", "n"),
    )
    made = table("Each skill", columns, lines, "skills") if lines else p("No attempt is in the record yet.")
    bounds = (
        "The figures in brackets say how sure: with so many attempts the true share lies between them in "
        "95 of 100 such cases. Asking for key points is no fault."
    )
    return Section("skills", "Skills", (made, p(rule, class_="quiet"), p(bounds, class_="quiet")))


def _ready(material: Material) -> Section:
    found = material.review.ready
    inside = [piece for row in found if tried(row) for piece in _rule(row, material)]
    told = p("Whether somebody works alone is the instructor's decision, under local rules.")
    untried = [material.names.procedure(row.procedure) for row in found if not tried(row)]
    if untried:
        inside.append(p(f"No solo run was finished within the time yet: {'; '.join(untried)}."))
    return Section("alone", "Working alone", (told, *inside))


def _rule(row: ReadyRow, material: Material) -> Iterator[Html]:
    counts = number_of(row.counted, "run counts", "runs count")
    yield tag("h3", material.names.procedure(row.procedure))
    yield p(f"The rule: {sentence(row.rule)} {counts}, {row.wanted} wanted.")
    if row.good.chance_below is not None and row.good.line is not None and row.good.n:
        yield p(
            f"Good: {of(row.good)} of the solo runs. The chance that the true rate is under "
            f"{percent(row.good.line)} is {percent(row.good.chance_below)}."
        )
    if not row.counted:
        yield p(f"Why runs do not count: {why_not(row)}.") if row.held else Html("")
        return
    lines = [
        (
            code(short(one.run)),
            day(one.at, material.zone),
            tag("bdi", one.why_not) if one.why_not else tag("b", "counts"),
        )
        for one in row.held
    ]
    yield table("Runs held against the rule", ("Run", "When", "Counts"), lines)


def _again(material: Material) -> Section:
    lines = [
        (
            material.names.procedure(row.procedure),
            day(row.last_at, material.zone),
            day(row.due_at, material.zone) if row.due_at else NONE,
            tag("b", "overdue") if row.overdue else "",
            right(str(sum(quiz.at <= material.review.at for quiz in row.quizzes))),
        )
        for row in material.review.refresh
    ]
    columns = (
        "Procedure",
        "Last wet run",
        "To be done again by",
        "State",
        Cell("Questions worth asking again", "n"),
    )
    made = table("Dates", columns, lines) if lines else p("No wet run is finished yet.")
    return Section("again", "To do again, and when", (made,))


def _plates(material: Material) -> Section:
    review = material.review
    used = [
        f"{material.names.procedure(row.procedure)}: {number_of(row.plates, 'plate')} in wet runs, "
        f"{row.plates_wasted} wasted."
        for row in {(row.procedure, row.plates, row.plates_wasted): row for row in review.waste}.values()
    ]
    lines = [
        (
            together(
                (
                    material.names.step(row.procedure, row.step),
                    tag("div", material.names.procedure(row.procedure), class_="quiet"),
                )
            ),
            tag("bdi", row.reason) if row.reason else NONE,
            "rehearsal" if row.rehearsal else "wet run",
            right(f"{row.plates:,}"),
        )
        for row in review.spoiled
    ]
    made = table("Plates given up", ("Where", "Why", "Kind", Cell("Plates", "n")), lines)
    nothing = p("No plate was given up.") if not lines else Html("")
    return Section("plates", "Plates", (rows(used), made, nothing))


def _prompts(material: Material) -> Section:
    marked = [row for row in material.review.hazards if row.missed or row.fast.k]
    order = sorted(marked, key=lambda row: (-row.missed, -row.fast.k, row.procedure, row.step))
    columns = (
        Cell("Safety prompt", "wide"),
        Cell("Shown", "n"),
        Cell("Passed by", "n"),
        "On the screen",
        Cell("Takes to read", "n"),
        Cell("Accepted too fast", "n"),
    )
    lines = (_prompt(row, material) for row in order[:_MOST])
    inside = [table("Passed by, or accepted faster than they can be read", columns, lines)]
    if not marked:
        inside.append(p("Every safety prompt was on the screen long enough to be read."))
    if left := len(marked) - _MOST if len(marked) > _MOST else 0:
        inside.append(p(f"{number_of(left, 'other prompt')} less often.", class_="quiet"))
    return Section("safety-prompts", "Safety prompts", tuple(inside))


def _prompt(row: HazardRow, material: Material) -> Sequence[Cell | Piece]:
    place = material.names.procedure(row.procedure)
    return (
        together((material.names.step(row.procedure, row.step), tag("div", place, class_="quiet"))),
        right(f"{row.shown:,}"),
        right(f"{row.missed:,}"),
        spread(row.seconds),
        right(f"{row.needed:.0f} s"),
        right(f"{row.fast.k:,} of {row.fast.n:,}"),
    )


def _questions(material: Material) -> Section:
    asked_at_all = material.review.questions
    wrong = [row for row in asked_at_all if row.first_right.k < row.first_right.n]
    if not asked_at_all:
        return Section("questions", "Questions", (p("No question was answered."),))
    right_at_first = len(asked_at_all) - len(wrong)
    said = f"{right_at_first} of {number_of(len(asked_at_all), 'question')} right at the first answer."
    inside = [p(said)]
    if wrong:
        inside += [p("Wrong at the first answer:"), rows(row.ask for row in wrong)]
    return Section("questions", "Questions", tuple(inside))


def _runs(material: Material) -> Section:
    lines = [_run(run, material) for run in reversed(material.runs) if not run.excused]
    columns = ("Run", "Opened", "Procedure", "Kind", "Guidance", "Ended", Cell("Plates given up", "n"))
    return Section(
        "runs",
        "Runs, the newest first",
        (table("Every run that counts", columns, lines), *excused(material, whose=False)),
    )


def _run(run: RunLine, material: Material) -> Sequence[Cell | Piece]:
    return (
        code(short(run.run)),
        minute(run.opened_at, material.zone),
        material.names.procedure(run.procedure),
        "rehearsal" if run.rehearsal else "wet run",
        run.guidance,
        run.closed or "open",
        right(f"{run.plates_spoiled:,}"),
    )


def _record(material: Material) -> Section:
    kept = material.kept
    inside = [p(held(kept, *material.review.wanted.trainees)), *verdict(kept), *heads(kept)]
    return Section("record", "What this rests on", tuple(inside))
