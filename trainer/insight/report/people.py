"""The sections about people: trainees by skill, who is ready to work alone, who should do what again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import timedelta

from trainer.insight.report.bars import interval_bar
from trainer.insight.report.material import Material
from trainer.insight.report.parts import Section, p
from trainer.insight.report.table import Cell, right, table
from trainer.insight.report.words import NONE, by_school, day, listed, number_of, of, percent, sentence
from trainer.insight.results import ReadyRow, RefreshRow, SkillRow
from trainer.procedure.paper.tags import Html, rows, tag, together

_COLUMNS = 8
_SOON = timedelta(days=30)
_READY = (
    "Trainee",
    "By the rule",
    Cell("Runs that count", "n"),
    "Good of the solo runs",
    Cell("How sure", "bar"),
    "Chance that the true rate is lower",
    "Why others do not count",
)


def skills(material: Material) -> Section:
    """Trainees by skill: a state by word and shade, with the count that it rests on."""
    by_skill: dict[str, dict[str, SkillRow]] = {}
    for row in material.review.skills:
        by_skill.setdefault(row.skill, {})[row.trainee] = row
    names = sorted(by_skill, key=lambda skill: (-sum(row.rate.n for row in by_skill[skill].values()), skill))
    if not names:
        return Section("skills", "Trainees by skill", (p("No attempt at any skill is in the record yet."),))
    told = (
        "Each cell says the state and how many of all attempts were right. The state looks at recent "
        "attempts first; the rule stands under Methods. Few attempts say little: then the cell says so."
    )
    tables = [_skills(part, by_skill, material) for part in _parts(names)]
    return Section("skills", "Trainees by skill", (p(told, class_="quiet"), *tables), new_page=True)


def _parts(names: Sequence[str]) -> Iterator[Sequence[str]]:
    """As few tables as fit the paper, of about the same width."""
    tables = -(-len(names) // _COLUMNS)
    wide = -(-len(names) // tables)
    for start in range(0, len(names), wide):
        yield names[start : start + wide]


def _skills(part: Sequence[str], by_skill: dict[str, dict[str, SkillRow]], material: Material) -> Html:
    trainees = sorted({trainee for skill in part for trainee in by_skill[skill]}, key=by_school)
    lines: list[Sequence[Cell | Html | str]] = [
        [trainee, *(_skill(by_skill[skill].get(trainee)) for skill in part)] for trainee in trainees
    ]
    meanings = [
        together((tag("b", skill), f": {words}")) for skill in part if (words := material.names.skill(skill))
    ]
    made = table(f"Trainees by skill: {', '.join(part)}", ("Trainee", *part), lines, "skills")
    return together((made, rows(meanings, class_="quiet columns")))


def _skill(row: SkillRow | None) -> Cell:
    if row is None:
        return Cell(NONE)
    inside = together((tag("b", row.state), f"{row.rate.k:,} of {row.rate.n:,}"))
    return Cell(inside, row.state.replace(" ", "-"))


def ready(material: Material) -> Section:
    """Who may work alone by the procedures' own rules, and why or why not yet."""
    by_procedure: dict[str, list[ReadyRow]] = {}
    for row in material.review.ready:
        by_procedure.setdefault(row.procedure, []).append(row)
    inside = [
        p(
            "A rule counts wet runs at guidance solo; it says what the record shows and no more. Whether "
            "somebody works alone is the instructor's decision, under local rules."
        )
    ]
    untried = []
    for procedure, lines in sorted(by_procedure.items()):
        title = material.names.procedure(procedure)
        if any(tried(row) for row in lines):
            inside += _ready(title, lines)
        else:
            untried.append(title)
    if untried:
        inside.append(p(f"Nobody has finished a solo run within the time yet: {'; '.join(untried)}."))
    if not by_procedure:
        inside.append(p("No procedure of these runs states a rule."))
    return Section("alone", "Ready to work alone, and why", tuple(inside))


def _ready(title: str, found: Sequence[ReadyRow]) -> Iterator[Html]:
    yield tag("h3", title)
    yield p(f"The rule: {sentence(found[0].rule)}")
    yield table("Held against the rule", _READY, (_ready_line(row) for row in found if tried(row)))
    without = [row.trainee for row in found if not tried(row)]
    if without:
        yield p(f"No solo run that was finished within the time: {listed(without)}.")


def tried(row: ReadyRow) -> bool:
    """Was any run at solo finished within the time?"""
    return bool(row.counted or row.good.n)


def _ready_line(row: ReadyRow) -> Sequence[Cell | Html | str]:
    chance = ""
    if row.good.chance_below is not None and row.good.line is not None:
        chance = f"than {percent(row.good.line)}: {percent(row.good.chance_below)}"
    return (
        Cell(row.trainee, "code"),
        tag("b", "meets it", class_="code") if row.met else "not yet",
        right(f"{row.counted}, {row.wanted} wanted"),
        of(row.good),
        Cell(interval_bar(row.good), "bar"),
        chance or NONE,
        why_not(row),
    )


def why_not(row: ReadyRow) -> str:
    """The reasons why runs do not count, the most frequent first."""
    reasons = Counter(held.why_not for held in row.held if held.why_not)
    return "; ".join(f"{reason} ({times})" for reason, times in reasons.most_common(2)) or NONE


def refresh(material: Material) -> Section:
    """What is past its date, or soon will be."""
    now = material.review.at
    dated = [row for row in material.review.refresh if row.due_at is not None]
    late = [row for row in dated if row.overdue]
    soon = [row for row in dated if not row.overdue and row.due_at is not None and row.due_at - now <= _SOON]
    later = len(dated) - len(late) - len(soon)
    inside = [
        table(
            "Past the date, or within 30 days of it",
            ("Trainee", "Procedure", "Last wet run", "To be done again by", "State"),
            (_refresh_line(row, material) for row in sorted([*late, *soon], key=_due)),
        )
    ]
    if not late and not soon:
        inside.append(p("Nobody is past a date, and nobody will be within 30 days."))
    if later:
        inside.append(p(f"{number_of(later, 'other date')} further ahead."))
    inside += _quizzes(material)
    return Section("again", "To do again, and when", tuple(inside))


def _due(row: RefreshRow) -> tuple[str, str]:
    return (row.due_at.isoformat() if row.due_at else "", row.trainee)


def _refresh_line(row: RefreshRow, material: Material) -> Sequence[Cell | Html | str]:
    return (
        row.trainee,
        material.names.procedure(row.procedure),
        day(row.last_at, material.zone),
        day(row.due_at, material.zone) if row.due_at else NONE,
        tag("b", "overdue") if row.overdue else "soon",
    )


def _quizzes(material: Material) -> Iterator[Html]:
    """Questions worth asking again by now: a suggestion, and no deadline."""
    due = Counter(
        row.trainee
        for row in material.review.refresh
        for quiz in row.quizzes
        if quiz.at <= material.review.at
    )
    if due:
        said = listed([f"{trainee} ({times})" for trainee, times in sorted(due.items())])
        yield p(f"Questions that it would be worth asking again by now: {said}. A suggestion, no deadline.")
