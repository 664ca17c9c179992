"""The sections about the work: steps where the class stalls, safety prompts, questions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer.insight.questions import REMARKS
from trainer.insight.report.bars import interval_bar
from trainer.insight.report.material import Material
from trainer.insight.report.parts import Section, codes, p
from trainer.insight.report.table import Cell, right, table
from trainer.insight.report.words import NONE, duration, listed, number, number_of, of, spread
from trainer.insight.results import HazardRow, QuestionRow, Reliability, Review, StepRow
from trainer.procedure.paper.tags import Html, Piece, rows, tag, together

_MOST = 10
_MOST_QUESTIONS = 6
_MOST_ANSWERS = 4
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
        Cell("Step", "wide"),
        Cell("Visits", "n"),
        "Active time",
        "First act after",
        "Misses",
        Cell("How sure", "bar"),
        Cell("Hints", "n"),
        Cell("Spoiled", "n"),
    )
    made = table(
        f"{len(shown)} steps of {len(material.review.steps)}",
        heads,
        (_step(row, material, named) for row in shown),
    )
    more = f"{number_of(len(rest), 'other step')} with fewer." if rest else ""
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
        Cell("Safety prompt", "wide"),
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
    more = [f"{number_of(left, 'other prompt')} with fewer"] if left else []
    more += [f"{number_of(fine, 'prompt')} always on the screen long enough to be read"] if fine else []
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
        Cell(codes(row.trainees_fast, 3) if row.trainees_fast else NONE, "by"),
    )


def questions(material: Material) -> Section:
    """Questions: how hard, how well they tell, what was answered; the whole and its caveat."""
    review = material.review
    if not review.questions:
        return Section("questions", "Questions", (p("No question was answered in these runs."),))
    order = sorted(review.questions, key=lambda row: (*_rank(row, review), row.procedure, row.name))
    shown, rest = order[:_MOST_QUESTIONS], order[_MOST_QUESTIONS:]
    heads = (
        Cell("Question", "wide"),
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
        table("Questions to look at first", heads, (_question(row, material) for row in shown), "loose")
    )
    meant = [remark for remark in REMARKS if any(remark in row.remarks for row in shown)]
    inside.append(
        rows((together((tag("b", _short(one)), f": {REMARKS[one]}")) for one in meant), class_="quiet")
    )
    if rest:
        inside.append(p(f"{number_of(len(rest), 'other question')} with less to say.", class_="quiet"))
    return Section("questions", "Questions", (*inside, *reliabilities(material)))


def _rank(row: QuestionRow, review: Review) -> tuple[bool, int, float]:
    """What stands out first, then what asks for something to be done, then the hardest."""
    named = any(
        one.subject == "question" and one.keys == (row.procedure, row.name) for one in review.findings
    )
    share = row.first_right.share
    return (not named, -len(_SERIOUS & set(row.remarks)), 1.0 if share is None else share)


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
    """How often each answer was given at first, and the remarks in a word each."""
    order = sorted(row.options, key=lambda one: (not one.right, -one.taken))
    lines = [f"{one.taken}: {one.words}{' (right)' if one.right else ''}" for one in order]
    yield rows(lines[:_MOST_ANSWERS], class_="plain")
    marked = [tag("b", _short(one)) if one in _SERIOUS else _short(one) for one in row.remarks]
    if marked:
        yield tag("div", marked[0], *(piece for one in marked[1:] for piece in ("; ", one)))


def _short(remark: str) -> str:
    """A remark's id as words."""
    return remark.replace("-", " ")


def reliabilities(material: Material) -> Iterator[Html]:
    """How far the questions of each procedure can be relied upon, with the caveat a small class needs."""
    found = material.review.reliability
    heads = (
        "Procedure",
        Cell("Questions", "n"),
        Cell("Trainees", "n"),
        Cell("KR-20", "n"),
        Cell("Interval", "n"),
        Cell("Standard error of a score", "n"),
    )
    yield table(
        "How reliable the questions of a procedure are together",
        heads,
        (_reliable(row, material) for row in found),
    )
    if any(row.provisional for row in found):
        yield p(
            "All of it is provisional: under 30 trainees the interval says more than the figure.",
            class_="quiet",
        )


def _reliable(row: Reliability, material: Material) -> Sequence[Cell | Piece]:
    bounds = row.interval
    return (
        material.names.procedure(row.procedure),
        right(str(row.questions)),
        right(str(row.trainees)),
        right(NONE if row.alpha is None else number(row.alpha, 2)),
        right(NONE if bounds is None else f"{number(bounds.low, 2)} to {number(bounds.high, 2)}"),
        right(NONE if row.sem is None else f"{number(row.sem, 2)} of {row.questions}"),
    )
