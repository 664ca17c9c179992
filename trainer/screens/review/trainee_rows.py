"""A trainee: what to do next, skills, who may work alone, deadlines, curves, the timeline of runs. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from trainer.insight.results import CurveRow, Finding, ReadyRow, RefreshRow, SkillRow
from trainer.screens.review import missed, saying
from trainer.screens.review.class_rows import line
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import (
    Cell,
    Column,
    Drawing,
    Heading,
    Item,
    Leaf,
    Opens,
    Size,
    Table,
    Words,
    rests,
)
from trainer.screens.review.runs_rows import table as runs_table

CURVE_ROWS, WIDEST = 9, 76
WIDE = 100
MANY = 3
"""Of more weak skills than so many a step each is named: enough to begin with."""
UNSURE = 3.0
"""A curve whose ends lie further apart than so many times says nothing that anybody could use."""


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """Everything about the trainee `keys[0]`."""
    who = keys[0]
    items: list[Item] = [Words(_head(desk, who), style="bold", gap=1)]
    items += next_things(desk, who)
    items += skills(desk, who, size)
    items += alone(desk, who)
    items += deadlines(desk, who)
    items += curves(desk, who, size)
    runs = [run for run in desk.glance.runs if run.trainee == who]
    items.append(Heading("Runs", f"{len(runs)}, newest first"))
    items += runs_table(desk, runs, size, who=False) if runs else (Words("None in what is looked at."),)
    return Leaf(desk.person(who), tuple(items))


def _head(desk: Desk, who: str) -> str:
    seen = next((one for one in desk.glance.trainees if one.trainee == who), None)
    if seen is None:
        return f"{desk.person(who)}   no run that counts in what is looked at"
    others = seen.runs - seen.wet
    parts = (
        saying.number_of(seen.runs, "run"),
        f"{seen.wet} wet, {saying.number_of(others, 'rehearsal')}",
        f"{saying.number_of(seen.spoiled, 'plate')} given up",
        f"last seen {saying.day(seen.last_at, desk.now)}",
    )
    return "   ".join((desk.person(who), *parts))


def about(desk: Desk, who: str) -> list[Finding]:
    """Findings about the trainee."""
    found = desk.review.findings if desk.review else ()
    return [one for one in found if one.subject in ("trainee", "skill") and one.keys[:1] == (who,)]


def next_things(desk: Desk, who: str) -> list[Item]:
    """What to do next, from the findings, and from the skills where nothing stands out."""
    items: list[Item] = [Heading("What to do next")]
    if desk.review is None:
        return [*items, Words(desk.state, style="$quiet")]
    found = about(desk, who)
    weak = [row for row in desk.review.skills if row.trainee == who and row.state == "needs help"]
    weak.sort(key=lambda row: row.recent.interval.high)  # the surest first
    most = missed.MOST if len(weak) <= MANY else 1
    told = {key for one in found for key in one.keys[1:]}
    where = missed.by_skill(desk.attempts(trainee=who)) if weak or told else {}
    for one in found:
        items.append(line(one, short=False))
        if one.subject == "skill":
            items += missed.told(desk, where.get(one.keys[-1], ()), most)
    for row in weak:
        if row.skill not in told:
            said = f"Show {row.skill} again: {saying.rate(row.recent)} of the last attempts right."
            items.append(Words(said, first="!  ", opens=Opens("attempts", (who, row.skill))))
            items += missed.told(desk, where.get(row.skill, ()), most)
    if len(items) == 1:
        items.append(Words("Nothing stands out. Go on as planned.", style="$quiet"))
    return items


def skills(desk: Desk, who: str, size: Size) -> list[Item]:
    """Weakest first: state, rates with intervals, the others."""
    order = ("needs help", "coming on", "too few", "steady")
    if desk.review is None:
        return [Heading("Skills"), *_plain_skills(desk, who)]
    rows = [row for row in desk.review.skills if row.trainee == who]
    rows.sort(key=lambda row: (order.index(row.state), row.rate.share or 0.0, row.skill))
    if not rows:
        return [Heading("Skills"), Words("No attempt in what is looked at.", style="$quiet")]
    wide = size.width >= WIDE
    columns = (
        Column("skill", 10),
        Column("state", 9),
        Column("right, all (interval)", 22),
        Column("last", 8),
        Column("the others", 24),
        *((Column("asked", 5, right=True), Column("what it is", 0)) if wide else ()),
    )
    made = tuple(
        (
            Cell(row.skill, "", Opens("attempts", (who, row.skill))),
            Cell(saying.state(row.state), saying.STATES[row.state][2]),
            Cell(saying.rate_short(row.rate)),
            Cell(saying.of(row.recent.k, row.recent.n)),
            Cell(saying.rate_short(row.peers), "$quiet"),
            *(_wide(desk, row) if wide else ()),
        )
        for row in rows
    )
    return [Heading("Skills", "weakest first"), Table(columns, made)]


def _wide(desk: Desk, row: SkillRow) -> tuple[Cell, ...]:
    """What stands of a skill where there is room: how often key points were asked for, and what it is."""
    said = desk.skill(row.skill)
    asked = Cell(str(row.hints or "-"), "", rests(f"{row.trainee} at {row.skill}", row.runs))
    return asked, Cell(said if said != row.skill else "", "$quiet")


def _plain_skills(desk: Desk, who: str) -> list[Item]:
    columns = (Column("skill", 11), Column("state", 9), Column("right", 0))
    rows = tuple(
        (
            Cell(skill, "", Opens("attempts", (who, skill))),
            Cell(saying.state(seen.state), saying.STATES[seen.state][2]),
            Cell(saying.of(seen.k, seen.n)),
        )
        for (code, skill), seen in sorted(desk.glance.by.items())
        if code == who
    )
    return [Table(columns, rows)] if rows else [Words("No attempt in what is looked at.", style="$quiet")]


def alone(desk: Desk, who: str) -> list[Item]:
    """Who may work alone, by each procedure's own rule; opened, each run held against it."""
    rows = [row for row in desk.review.ready if row.trainee == who] if desk.review else []
    rows.sort(key=lambda row: (not row.met, -row.counted, desk.title(row.procedure)))
    if not rows:
        return []
    columns = (Column("", 7), Column("runs", 6), Column("work", 0))
    made = tuple(
        (
            Cell("+ met" if row.met else "· not", "bold" if row.met else "", _held(row)),
            Cell(saying.of(row.counted, row.wanted)),
            Cell(desk.title(row.procedure), "bold" if row.met else ""),
        )
        for row in rows
    )
    head = Heading("Ready to work alone", "by each procedure's own rule; Enter: its runs, and why")
    return [head, Table(columns, made)]


def _held(row: ReadyRow) -> Opens:
    return Opens("ready", (row.trainee, row.procedure))


def _ready(desk: Desk, row: ReadyRow) -> str:
    word = "met" if row.met else "not met"
    return f"{desk.title(row.procedure)}: {word}, {row.counted} of the {row.wanted} runs that it wants"


def ready_leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """A trainee held against a procedure's rule: the runs that count, and why others do not."""
    del size
    rows = desk.review.ready if desk.review else ()
    row = next((one for one in rows if (one.trainee, one.procedure) == keys), None)
    if row is None:
        return Leaf("Ready to work alone", (Words("The procedure states no rule, or nothing fits.", gap=1),))
    items: list[Item] = [
        Words(f"{desk.person(row.trainee)}   {desk.title(row.procedure)}", style="bold", gap=1),
        Words(f"The rule: {row.rule}"),
        Words(_ready(desk, row), first="+ " if row.met else "· ", style="bold"),
    ]
    if row.good.n:
        said = f"Of the wet runs at solo that ended within the time, {saying.rate(row.good)} were good."
        if row.good.line is not None and row.good.chance_below is not None:
            below = f"{100 * row.good.chance_below:.0f} in 100"
            said += f" The chance that the true rate is under {100 * row.good.line:.0f} %: {below}."
        items.append(Words(said, style="$quiet"))
    items.append(
        Words("Whether somebody works alone is your decision, under your local rules.", style="$quiet")
    )
    columns = (Column("when", 16), Column("", 8), Column("why not", 0))
    held = tuple(
        (
            Cell(saying.moment(one.at), "", Opens("run", (one.run,))),
            Cell("counts" if not one.why_not else "-", "bold" if not one.why_not else ""),
            Cell(one.why_not),
        )
        for one in reversed(row.held)
    )
    items += [Heading("Runs held against it", f"{len(held)}, newest first"), Table(columns, held)]
    return Leaf("Ready to work alone", tuple(items))


def deadlines(desk: Desk, who: str) -> list[Item]:
    """When to do a procedure again; questions worth asking earlier."""
    rows = [row for row in desk.review.refresh if row.trainee == who] if desk.review else []
    rows.sort(key=lambda row: (row.due_at is None, row.due_at or row.last_at))
    told = [item for row in rows for item in _refresh(desk, row)]
    return [Heading("To be done again"), *told] if told else []


def _refresh(desk: Desk, row: RefreshRow) -> list[Item]:
    items: list[Item] = []
    title = desk.title(row.procedure)
    opens = rests(f"{row.trainee}: {title}", row.runs)
    soon = [quiz.name.replace("_", " ") for quiz in row.quizzes if quiz.at <= desk.now]
    many = saying.number_of(len(soon), "question")
    ask = f"{many} worth asking again already: {', '.join(soon)}" if soon else ""
    if row.due_at is not None:
        word = "OVERDUE since" if row.overdue else "by"
        said = f"{title}: {word} {saying.date(row.due_at)}, last done {saying.date(row.last_at)}"
        items.append(
            Words(said, first="! " if row.overdue else "· ", style="bold" if row.overdue else "", opens=opens)
        )
        if ask:
            items.append(Words(ask, first="    ", style="$quiet", opens=opens, short=True))
    elif ask:
        items.append(Words(f"{title}: {ask}", first="· ", style="$quiet", opens=opens, short=True))
    return items


def due_leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """A procedure's deadlines, over all trainees, the earliest first."""
    del size
    rows = [row for row in desk.review.refresh if row.procedure == keys[0]] if desk.review else []
    dated = [(row.due_at, row) for row in rows if row.due_at is not None]
    dated.sort(key=lambda one: (one[0], one[1].trainee))
    columns = (Column("", 6), Column("to be done by", 13), Column("", 9), Column("last done", 0))
    made = tuple(
        (
            Cell(row.trainee, "bold", Opens("trainee", (row.trainee,))),
            Cell(saying.date(due), "", rests(f"{row.trainee}: {desk.title(row.procedure)}", row.runs)),
            Cell("OVERDUE" if row.overdue else "", "bold reverse" if row.overdue else ""),
            Cell(saying.date(row.last_at)),
        )
        for due, row in dated
    )
    items: list[Item] = [Words(desk.title(keys[0]), style="bold", gap=1)]
    if not made:
        return Leaf("To be done again", (*items, Words("No deadline in what is looked at.", gap=1)))
    head = Heading("To be done again", "a deadline of the procedure, earliest first")
    return Leaf("To be done again", (*items, head, Table(columns, made)))


def curves(desk: Desk, who: str, size: Size) -> list[Item]:
    """How time and plates used fall with practice: a line each, and the one that most runs tell of, drawn."""
    found = desk.review.curves if desk.review else ()
    rows = [row for row in found if row.trainee == who and row.slope is not None]
    if not rows:
        return []
    rows.sort(key=lambda row: (-len(row.points), row.what, row.procedure))
    head = Heading("With practice", "what twice as many runs leave of time and plates")
    return [head, *(_falls(desk, row, opens=True) for row in rows), *_drawn(rows[0], size)]


def _falls(desk: Desk, row: CurveRow, *, opens: bool) -> Words:
    said = f"{row.what}, {desk.title(row.procedure)}, {saying.number_of(len(row.points), 'run')}: "
    ends = row.rate_interval
    if row.rate is None or ends is None or ends.high > UNSURE * ends.low:
        said += "too few to say"
    else:
        said += f"{100 * row.rate:.0f} % ({saying.percents(ends.low, ends.high)})"
    if not opens:
        return Words(f"{desk.person(row.trainee)}   {said}", style="bold", gap=1)
    return Words(said, first="> ", opens=Opens("curve", (row.trainee, row.procedure, row.what)))


def _drawn(row: CurveRow, size: Size) -> list[Item]:
    from trainer.screens.widgets.plot_curve import curve

    def draw(width: int) -> Sequence[Content]:
        return curve(row, min(width, WIDEST), CURVE_ROWS).lines

    words = curve(row, min(size.width, WIDEST), CURVE_ROWS).words
    return [Drawing(draw), Words(words, style="$quiet")]


def curve_leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """One learning curve, drawn, with its runs."""
    found = desk.review.curves if desk.review else ()
    row = next((one for one in found if (one.trainee, one.procedure, one.what) == keys), None)
    if row is None:
        return Leaf("With practice", (Words("Nothing to draw in what is looked at.", gap=1),))
    columns = (Column("nth", 4, right=True), Column(row.what, 12), Column("when", 0))
    runs = {run.run: run for run in desk.glance.runs}
    made = tuple(
        (
            Cell(str(point.nth), "", Opens("run", (point.run,))),
            Cell(saying.span(point.value) if row.what == "active time" else f"{point.value:.0f}"),
            Cell(saying.moment(runs[point.run].opened_at) if point.run in runs else ""),
        )
        for point in row.points
    )
    items = (_falls(desk, row, opens=False), *_drawn(row, size), Heading("Run by run"), Table(columns, made))
    return Leaf("With practice", items)
