"""The class at a glance: what stands out, then trainees by skill. Pure."""

from __future__ import annotations

from collections import Counter

from textual.content import Content

from trainer.insight.glance import Glance, TraineeSeen
from trainer.insight.results import Finding
from trainer.screens.review import brief, door, saying
from trainer.screens.review.desk import Desk
from trainer.screens.review.laying import LEAST
from trainer.screens.review.leaf import Cell, Column, Heading, Item, Leaf, Opens, Size, Table, Words, rests
from trainer.screens.review.schools import place_of, shortened

NAME, HELP, RUNS, SEEN, SPOILED, SKILL = 6, 4, 4, 6, 4, 8
FIXED = NAME + HELP + RUNS + SEEN + SPOILED + 5
"""Cells before the skills, with the gaps."""
SHORT, LONG = 3, 9
"""Findings on the first page: on a low screen, and where there is room."""
LOW = 30
FEW = 20
"""Under so many runs hardly anything can stand out from what chance gives."""
NOTHING = "Nothing stands out in what is looked at."
ORDERS = ("by code", "most help first", "longest not seen first")


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The first page."""
    del keys
    if not desk.glance.trainees:
        return Leaf("The class at a glance", (Words(_nobody(desk), gap=1),))
    most = SHORT if size.height < LOW else LONG
    items = (*stands_out(desk, most, size.width), *_troubles(desk), *_table(desk, size), *_open_to_all(desk))
    first = ordered(desk)[0].trainee
    return Leaf("The class at a glance", items, ORDERS, Opens("trainee", (first,)))


def _nobody(desk: Desk) -> str:
    if desk.glance.everybody:
        return "No run fits what is looked at. Press f to look at more, u to look at everything."
    return "Nobody has worked here yet: the record holds no run."


def stands_out(desk: Desk, most: int, width: int) -> tuple[Item, ...]:
    """The findings that come first, in exactly `most` lines, so that nothing moves when they come in."""
    head = "What stands out"
    found = desk.review.findings if desk.review else ()
    if not found:
        said = desk.state if desk.review is None else _nothing(desk.review.runs)
        taken = len(Content(said).wrap(max(LEAST, width)))
        return (Heading(head), Words(said, style="$quiet"), *_blank(most - taken))
    lines = brief.together(found)
    shown = [brief.told(desk, some, width) for some in lines[:most]]
    more = f"the first {most} of {len(lines)}: 2 shows all" if len(lines) > most else "most important first"
    return (Heading(head, more), *shown, *_blank(most - len(shown)))


def _nothing(runs: int) -> str:
    """Silence of a few runs is no good news, and is not told as such."""
    return "Nothing stands out: so few runs tell little yet." if runs < FEW else NOTHING


def line(found: Finding, *, short: bool = True) -> Words:
    """A finding; opened, it says what it rests on. short: in one line."""
    lead, style = saying.LEVELS[found.level]
    opens = Opens("finding", (found.kind, *found.keys))
    return Words(found.words, first=lead, style=style, opens=opens, short=short)


def _blank(lines: int) -> tuple[Item, ...]:
    return tuple(Words("") for _ in range(max(0, lines)))


def _troubles(desk: Desk) -> tuple[Item, ...]:
    troubles = desk.review.troubles if desk.review else ()
    if not troubles:
        return ()
    said = f"{saying.number_of(len(troubles), 'part')} of the record could not be read; the rest is shown."
    return (Words(said, first="! ", style="bold $warning", opens=Opens("troubles")),)


def _open_to_all(desk: Desk) -> tuple[Item, ...]:
    """What there is to say where trainees can look at each other's marks; an invented class has no such."""
    if not desk.is_open_to_all or desk.glance.invented:
        return ()
    return (Words(door.OPEN, first="! ", style="$warning", gap=1),)


def _table(desk: Desk, size: Size) -> tuple[Item, ...]:
    found = desk.glance
    marks = desk.marks
    trainees = ordered(desk)
    wide = max([NAME, *(len(shortened(one.trainee, marks)) for one in trainees if marks)])
    room = max(1, (size.width - FIXED - wide + NAME + 1) // (SKILL + 1))
    first = min(desk.shift("class"), max(0, len(found.skills) - 1))
    skills = found.skills[first : first + room]
    columns = (
        Column("", wide),
        Column("help", HELP, right=True),
        Column("runs", RUNS, right=True),
        Column("last", SEEN, right=True),
        Column("lost", SPOILED, right=True),
        *(Column(skill, SKILL, opens=Opens("skill", (skill,))) for skill in skills),
    )
    need = helps(found)
    rows = tuple(_row(desk, trainee, skills, need[trainee.trainee]) for trainee in trainees)
    said = ", ".join(part for part in (_order(desk), _more(found, first, len(skills))) if part)
    return (Heading("Trainees by skill", said), Table(columns, rows), *_foot())


def ordered(desk: Desk) -> list[TraineeSeen]:
    """The trainees as the table has them: by code (school by school), or by one of the other `ORDERS`."""
    marks, trainees = desk.marks, list(desk.glance.trainees)
    if marks:
        trainees.sort(key=lambda one: place_of(one.trainee, marks))
    match desk.order("class") % len(ORDERS):
        case 1:
            need = helps(desk.glance)
            trainees.sort(key=lambda one: -need[one.trainee])
        case 2:
            trainees.sort(key=lambda one: one.last_at)
    return trainees


def helps(found: Glance) -> Counter[str]:
    """By trainee, at how many skills help is needed, whether they are in sight or not."""
    return Counter(who for (who, _), one in found.by.items() if one.state == "needs help")


def _order(desk: Desk) -> str:
    """How the rows stand, where it is not as ever."""
    order = desk.order("class") % len(ORDERS)
    return ORDERS[order] if order else ""


def _more(found: Glance, first: int, shown: int) -> str:
    if shown == len(found.skills):
        return ""
    return f"skills {first + 1} to {first + shown} of {len(found.skills)}: < > for more"


def _row(desk: Desk, trainee: TraineeSeen, skills: tuple[str, ...], need: int) -> tuple[Cell, ...]:
    code, found = trainee.trainee, desk.glance
    own = [run.run for run in found.runs if run.trainee == code and not run.excused]
    lost = [run.run for run in found.runs if run.trainee == code and not run.excused and run.spoiled]
    cells = [
        Cell(code, "bold", Opens("trainee", (code,))),
        Cell(str(need or "-"), "bold $error" if need else "$quiet"),
        Cell(str(trainee.runs), "", rests(f"Runs of {code}", own)),
        Cell(saying.day(trainee.last_at, desk.now), ""),
        Cell(str(trainee.spoiled or "-"), "", rests(f"Plates given up by {code}", lost)),
    ]
    for skill in skills:
        seen = found.by.get((code, skill))
        if seen is None:
            cells.append(Cell("", ""))
        else:
            style = saying.STATES[seen.state][2]
            cells.append(Cell(saying.state(seen.state), style, Opens("attempts", (code, skill))))
    return tuple(cells)


def _foot() -> tuple[Item, ...]:
    words = ("needs help", "coming on", "steady", "too few attempts to say")
    states = "  ".join(
        f"{shade} {said}" for (shade, _, _), said in zip(saying.STATES.values(), words, strict=True)
    )
    more = "help: at how many skills, in sight or not.  lost: plates given up in wet runs"
    return (Words(f"{states}.  {more}", style="$quiet", gap=1),)
