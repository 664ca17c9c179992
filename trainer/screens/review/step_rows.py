"""One step: what it takes, how often it is missed, what was done there, what was lost there, who."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from trainer.insight.at_step import AtStep, Done, Person, at_step
from trainer.insight.facts import ProcedureFacts
from trainer.insight.glance import looking
from trainer.insight.results import Rate, Review, Spread, StepRow
from trainer.screens.review import in_words
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import (
    Cell,
    Column,
    Heading,
    Item,
    Leaf,
    Opens,
    Size,
    Table,
    Words,
    rests,
    rests_on_acts,
)
from trainer.screens.review.saying import number_of
from trainer.screens.review.steps_rows import stage_name, step_name
from trainer.screens.widgets.plot import round_up, signs_here
from trainer.screens.widgets.plot_strips import bar, rate_strip, scale, spread_strip

LEAD = 12
"""Cells for the words before a strip."""
BAR = 20
"""Cells of the longest bar."""
MOST = 8
"""Lines of what was read or answered before the rest are added up."""


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The page; keys: procedure and step."""
    review = desk.found
    procedure, step = keys
    row = next((row for row in review.steps if (row.procedure, row.step) == (procedure, step)), None)
    if row is None:
        return Leaf(f"Step: {step}", (Words("Nobody has worked on this step in what is looked at now."),))
    facts = desk.facts.get(procedure)
    with looking(desk.path) as connection:
        at = at_step(connection, desk.wanted, procedure, step, facts)
    return page(row, review, facts, at, size)


def page(row: StepRow, review: Review, facts: ProcedureFacts | None, at: AtStep, size: Size) -> Leaf:
    """The whole page of a step on which somebody worked."""
    name = step_name(row, facts)
    items: list[Item] = [
        Words(name, style="bold"),
        Words(f"{stage_name(row.stage, facts)}. {_counts(row)}", style="$quiet"),
        *_misses(row, size),
        *_times(row, size),
        *_done(at, name, size),
        *_question(row, review),
        *_given_up(row, review),
        *_people(at, name, size),
    ]
    return Leaf(f"Step: {name}", tuple(items))


def _counts(row: StepRow) -> str:
    """What was counted there; what never happened is left out."""
    parts = [f"Shown {number_of(row.visits, 'time')} to {number_of(row.trainees, 'trainee')}"]
    if row.hints:
        parts.append(f"key points asked for {number_of(row.hints, 'time')}")
    if row.again:
        parts.append(f"asked again after {number_of(row.again, 'visit')}")
    if row.slips:
        parts.append(f"{number_of(row.slips, 'slip')} of the keys, which count against nobody")
    return ", ".join(parts) + "."


def _misses(row: StepRow, size: Size) -> list[Item]:
    if not row.misses.n:
        return [Heading("Misses"), Words("Nothing is marked at this step.")]
    width = min(60, size.width - LEAD - 2)
    return [
        Heading("Misses"),
        Words(
            f"Missed in {in_words.rate_words(row.misses)}.",
            opens=rests(f"Misses at {row.step}", row.runs),
        ),
        Words(strip("missed", rate_strip(row.misses, width, signs_here()))),
        Words(strip("", scale(100, "%", width))),
    ]


def strip(name: str, drawn: Content) -> Content:
    """A strip with its name before it."""
    return Content.assemble((name.ljust(LEAD), "$quiet"), drawn)


def _times(row: StepRow, size: Size) -> list[Item]:
    width = min(60, size.width - LEAD - 2)
    top = round_up(max((spread.high or 0.0) for spread in (row.active, row.hesitation)))
    items: list[Item] = [Heading("Time", "shaded: the middle half, full: the median")]
    for name, spread in (("takes", row.active), ("hesitates", row.hesitation)):
        items.append(Words(strip(name, spread_strip(spread, top, width, signs_here()))))
    if top:
        items.append(Words(strip("", scale(top, "s", width))))
    items += [
        Words(f"Takes, pauses and waits taken out: {in_words.spread_words(row.active)}."),
        Words(f"Hesitates before the first act: {in_words.spread_words(row.hesitation)}."),
    ]
    return items if _known(row.active) or _known(row.hesitation) else items[:1] + items[-2:]


def _known(spread: Spread) -> bool:
    return spread.median is not None


def _done(at: AtStep, name: str, size: Size) -> list[Item]:
    """What was answered or read, most often first."""
    if not at.done:
        return []
    shown = at.done if len(at.done) <= MOST + 1 else at.done[:MOST]
    most = max(done.times for done in at.done)
    label = min(size.width - BAR - 14, max(len(done.what) for done in shown))
    items: list[Item] = [Heading("What was done there", "Enter: each of them")]
    items += [
        Words(_bar(done, most, label), opens=rests_on_acts(f"{name}: {done.what}", done.acts))
        for done in shown
    ]
    rest = at.done[len(shown) :]
    if rest:
        acts = [act for done in rest for act in done.acts]
        said = f"{len(rest)} other ones, {number_of(len(acts), 'time')} in all"
        items.append(Words(said, opens=rests_on_acts(f"{name}: other ones", acts)))
    return items


def _bar(done: Done, most: int, label: int) -> Content:
    words = {True: "good", False: "a miss", None: ""}[done.good]
    style = "bold $warning" if done.good is False else "$quiet"
    text = Content(done.what).truncate(label, ellipsis=True)
    return Content.assemble(
        text.pad_right(max(0, label - text.cell_length)),
        "  ",
        bar(done.times, most, BAR, signs_here()),
        f" {done.times}  ",
        (words, style),
    )


def _question(row: StepRow, review: Review) -> list[Item]:
    return [
        Words(
            f"The question asked here: {question.ask}",
            gap=1,
            opens=Opens("question", (question.procedure, question.name)),
        )
        for question in review.questions
        if (question.procedure, question.step) == (row.procedure, row.step)
    ]


def _given_up(row: StepRow, review: Review) -> list[Item]:
    found = [one for one in review.spoiled if (one.procedure, one.step) == (row.procedure, row.step)]
    if not found:
        return []
    items: list[Item] = [Heading("Plates given up here")]
    for one in sorted(found, key=lambda one: (one.rehearsal, -one.plates, one.reason)):
        where = ", in rehearsals" if one.rehearsal else ""
        said = f"{number_of(one.plates, 'plate')}: {one.reason}{where} ({', '.join(one.trainees)})"
        items.append(Words(said, opens=rests(f"Given up at {row.step}: {one.reason}", one.runs)))
    return items


def _people(at: AtStep, name: str, size: Size) -> list[Item]:
    """Those of whom there is anything to say in a table, the others by their codes."""
    telling = [one for one in at.people if one.misses.n or one.hints or one.spoiled]
    others = [one.trainee for one in at.people if one not in telling]
    rest = f"{'Nothing more of' if telling else 'Done by'} {', '.join(others)}."
    if not telling:
        return [Heading("Who"), Words(rest)] if others else []
    wide = min(40, size.width - 44)
    columns = (
        Column("trainee", 12),
        Column("missed", 10, right=True),
        Column("0" + "100 %".rjust(wide - 1), wide),
        Column("key points", 10, right=True),
        Column("plates", 6, right=True),
    )
    return [
        Heading("Who", "most missed first; Enter: every attempt"),
        Table(columns, tuple(_person(person, name, wide) for person in _by_misses(telling))),
        *([Words(rest, style="$quiet")] if others else []),
    ]


def _by_misses(people: Sequence[Person]) -> list[Person]:
    return sorted(people, key=lambda person: (-person.misses.interval.low, -person.misses.n, person.trainee))


def _person(person: Person, name: str, wide: int) -> tuple[Cell, ...]:
    rate: Rate = person.misses
    return (
        Cell(person.trainee, opens=rests_on_acts(f"{person.trainee} at {name}", person.acts)),
        Cell(in_words.of(rate)),
        Cell(rate_strip(rate, wide, signs_here())),
        Cell(str(person.hints or in_words.NONE)),
        Cell(str(person.spoiled or in_words.NONE)),
    )
