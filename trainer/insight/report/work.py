"""The sections about the work: steps where the class stalls, safety prompts, questions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer.insight.questions import REMARKS
from trainer.insight.report.bars import interval_bar
from trainer.insight.report.material import Material
from trainer.insight.report.parts import Section, codes, p
from trainer.insight.report.table import Cell, right, table
from trainer.insight.report.words import NONE, counted, duration, listed, number, of, percent, spread
from trainer.insight.results import HazardRow, QuestionRow, Reliability, StepRow
from trainer.procedure.paper.tags import Html, Piece, rows, tag, together

_MOST = 12
_SERIOUS = frozenset({"check-key", "wrong-one-popular", "stays-wrong"})
"""Remarks that ask for something to be done about a question."""


def steps(material: Material) -> Section:
    """Where the class stalls."""
    named = {finding.keys for finding in material.review.findings if finding.subject == "step"}
    troubled = sorted(
        (row for row in material.review.steps if trouble(row)),
        key=lambda row: ((row.procedure, row.step) not in named, -trouble(row), row.procedure, row.step),
    )
    shown, rest = troubled[:_MOST], troubled[_MOST:]
    if not shown:
        return Section(
            "steps", "Steps where the class stalls", (p("No step had a miss, a hint or a spoiled plate."),)
        )
    told = (
        "Steps that stand out come first, then those with the most misses, hints and spoiled plates "
        "together. Active time leaves out pauses, waits and time that nobody watched; times are medians with "
        "quartiles."
    )
    heads = (
        "Step",
        Cell("Visits", "n"),
        "Active time",
        "Before the first act",
        "Misses",
        Cell("How sure", "bar"),
        Cell("Hints", "n"),
        Cell("Asked again", "n"),
        Cell("Spoiled", "n"),
    )
    made = table(
        f"{len(shown)} steps of {len(material.review.steps)}",
        heads,
        (_step(row, material, named) for row in shown),
    )
    more = f"{counted(len(rest), 'other step')} with fewer." if rest else ""
    return Section(
        "steps", "Steps where the class stalls", (p(told, class_="quiet"), made, p(more, class_="quiet"))
    )


def trouble(row: StepRow) -> int:
    """What a step is ranked by: misses, hints and spoiled plates together."""
    return row.misses.k + row.hints + row.spoiled


def _step(row: StepRow, material: Material, named: set[tuple[str, ...]]) -> Sequence[Cell | Piece]:
    place = f"{material.names.procedure(row.procedure)}, {material.names.stage(row.procedure, row.stage)}"
    stands = tag("b", "stands out: ") if (row.procedure, row.step) in named else Html("")
    said = together((stands, material.names.step(row.procedure, row.step), tag("div", place, class_="quiet")))
    return (
        said,
        right(f"{row.visits:,}"),
        spread(row.active),
        duration(row.hesitation.median) if row.hesitation.median is not None else NONE,
        of(row.misses),
        Cell(interval_bar(row.misses), "bar"),
        right(f"{row.hints:,}"),
        right(f"{row.again:,}"),
        right(f"{row.spoiled:,}"),
    )


def hazards(material: Material) -> Section:
    """Whether safety prompts were read: passed by, or accepted in less time than it takes to read them."""
    known = [row for row in material.review.hazards if row.shown]
    if not known:
        return Section("safety-prompts", "Safety prompts", (p("No safety prompt was shown in these runs."),))
    marked = sorted(
        (row for row in known if row.missed or row.fast.k), key=lambda row: (-row.missed, -_low(row))
    )
    heads = (
        "Safety prompt",
        Cell("Shown", "n"),
        Cell("Passed by", "n"),
        "On the screen",
        Cell("Takes to read", "n"),
        "Accepted too fast",
        Cell("How sure", "bar"),
        "By",
    )
    told = (
        "Accepted too fast: in less time than it takes to read the words at the quick reading speed that "
        "stands under Methods. It tells that a prompt was not read, not that one was understood."
    )
    inside = [
        p(told, class_="quiet"),
        table(
            "Safety prompts passed by, or accepted too fast",
            heads,
            (_hazard(row, material) for row in marked[:_MOST]),
        ),
    ]
    if not marked:
        inside.append(p("None was passed by, and none accepted faster than it can be read."))
    fine, left = len(known) - len(marked), len(marked[_MOST:])
    more = [f"{counted(left, 'other prompt')} with fewer"] if left else []
    more += [f"{counted(fine, 'prompt')} always on the screen long enough to be read"] if fine else []
    if more:
        inside.append(p(f"{listed(more)}."))
    return Section("safety-prompts", "Safety prompts", tuple(inside))


def _low(row: HazardRow) -> float:
    return row.fast.interval.low if row.fast.n else 0.0


def _hazard(row: HazardRow, material: Material) -> Sequence[Cell | Piece]:
    said = together(
        (
            material.names.step(row.procedure, row.step),
            tag("div", material.names.procedure(row.procedure), class_="quiet"),
        )
    )
    return (
        said,
        right(f"{row.shown:,}"),
        right(tag("b", f"{row.missed:,}") if row.missed else "0"),
        spread(row.seconds),
        right(duration(row.needed)),
        of(row.fast),
        Cell(interval_bar(row.fast), "bar"),
        codes(row.trainees_fast) if row.trainees_fast else NONE,
    )


def questions(material: Material) -> Section:
    """Questions: how hard, how well they tell, what was answered; the whole and its caveat."""
    review = material.review
    if not review.questions:
        return Section("questions", "Questions", (p("No question was answered in these runs."),))
    order = sorted(
        review.questions, key=lambda row: (_rank(row), -row.first_right.n, row.procedure, row.name)
    )
    shown, rest = order[:_MOST], order[_MOST:]
    heads = (
        "Question",
        "Right at first",
        Cell("How sure", "bar"),
        "Tells apart",
        "Answers at first, and remarks",
    )
    told = (
        "First answers only, one a trainee. Tells apart: the correlation of a question with all the others "
        "(from minus 1 to 1); near nought or below it the question may be bad. An easy safety question is "
        "meant to be easy."
    )
    inside = [p(told, class_="quiet")]
    inside.append(
        table("Questions, those with a remark first", heads, (_question(row, material) for row in shown))
    )
    if rest:
        inside.append(p(f"{counted(len(rest), 'other question')} without more to say."))
    inside.append(rows(reliable(row, material) for row in review.reliability))
    return Section("questions", "Questions", tuple(inside))


def _rank(row: QuestionRow) -> int:
    return 0 if _SERIOUS & set(row.remarks) else 1 if row.remarks and not row.safety else 2


def _question(row: QuestionRow, material: Material) -> Sequence[Cell | Piece]:
    place = material.names.procedure(row.procedure) + (", safety" if row.safety else "")
    return (
        together((row.ask, tag("div", place, class_="quiet"))),
        of(row.first_right),
        Cell(interval_bar(row.first_right), "bar"),
        _tells(row),
        together(_answers(row)),
    )


def _tells(row: QuestionRow) -> str:
    if row.discrimination is None:
        return NONE
    said = number(row.discrimination, 2)
    bounds = row.discrimination_interval
    return f"{said} ({number(bounds.low, 2)} to {number(bounds.high, 2)})" if bounds else said


def _answers(row: QuestionRow) -> Iterator[Piece]:
    taken = [f"{one.words}{' (right)' if one.right else ''}: {one.taken}" for one in row.options]
    yield "; ".join(taken)
    for remark in row.remarks:
        said = REMARKS.get(remark, remark)
        yield tag("div", tag("b", said)) if remark in _SERIOUS else tag("div", said, class_="quiet")


def reliable(row: Reliability, material: Material) -> str:
    """How far the questions of a procedure can be relied upon, with the caveat a small class needs."""
    title = material.names.procedure(row.procedure)
    whole = f"{title}, {counted(row.questions, 'question')}, {counted(row.trainees, 'trainee')}"
    if row.alpha is None:
        return f"{whole}: how reliable they are together cannot be told yet."
    said = f"{whole}: reliability (KR-20) {number(row.alpha, 2)}"
    if row.interval is not None:
        said += f", interval {number(row.interval.low, 2)} to {number(row.interval.high, 2)}"
        said += f" at {percent(row.interval.level)}"
    if row.sem is not None:
        said += f"; standard error of a score {number(row.sem, 2)} of {row.questions}"
    caveat = (
        " Provisional: under 30 trainees the interval says more than the figure." if row.provisional else ""
    )
    return f"{said}.{caveat}"
