"""Lists of runs and of attempts: all of them, and what something rests on. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.insight.glance import AttemptSeen, RunSeen
from trainer.screens.review import saying
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Cell, Column, Heading, Item, Leaf, Opens, Size, Table, Words
from trainer.screens.review.missed import AtStep, by_step

ORDERS = ("newest first", "by trainee", "most plates given up first", "most key points asked for first")
MOST = 2_000
"""Rows of one list; a longer one says so."""
WIDE = 100


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """All runs that are looked at."""
    del keys
    runs = sorted_runs(desk.glance.runs, desk.order("runs"))
    if not runs:
        return Leaf("Runs", (Words("No run fits what is looked at.", gap=1),))
    return Leaf(
        "Runs",
        (Heading("Runs", f"{len(runs)}, {ORDERS[desk.order('runs')]}"), *table(desk, runs, size)),
        ORDERS,
    )


def sorted_runs(runs: Sequence[RunSeen], order: int) -> list[RunSeen]:
    """Runs in one of `ORDERS`; those that are alike stay newest first."""
    if order == 1:
        return sorted(runs, key=lambda run: run.trainee)
    if order in (2, 3):
        return sorted(runs, key=lambda run: -(run.spoiled if order == 2 else run.hints))
    return list(runs)


def table(desk: Desk, runs: Sequence[RunSeen], size: Size, *, who: bool = True) -> tuple[Item, ...]:
    """Runs in a table; who: with the trainee."""
    wide = size.width >= WIDE
    columns = [
        Column("when", 16),
        *([Column("who", 6)] if who else []),
        Column("kind", 9),
        Column("guidance", 8),
        *([Column("station", 10)] if wide else []),
        Column("plates", 6, right=True),
        *([Column("lost", 4, right=True), Column("asked", 5, right=True)] if wide else []),
        Column("ended", 14),
        Column("work", 0),
    ]
    rows = tuple(_row(desk, run, wide=wide, who=who) for run in runs[:MOST])
    more = len(runs) - len(rows)
    over = (Words(f"and {more} more: look at a shorter time (f)", style="$quiet"),) if more > 0 else ()
    return (Table(tuple(columns), rows), *over)


def _row(desk: Desk, run: RunSeen, *, wide: bool, who: bool) -> tuple[Cell, ...]:
    style = "$quiet" if run.excused else ""
    plates = "1" if run.practice else str(run.plate)
    return (
        Cell(saying.moment(run.opened_at), style, Opens("run", (run.run,))),
        *([Cell(run.trainee or "erased", style)] if who else []),
        Cell(saying.kind(run), style),
        Cell("-" if run.practice else run.guidance, style),
        *([Cell(run.station or "-", style)] if wide else []),
        Cell(plates, style),
        *([Cell(str(run.spoiled or "-"), style), Cell(str(run.hints or "-"), style)] if wide else []),
        Cell(saying.ended(run), style),
        Cell(" ".join(part for part in (desk.title(run.procedure), run.job, run.colour) if part), style),
    )


def rests_leaf(desk: Desk, keys: tuple[str, ...], size: Size, runs: Sequence[str]) -> Leaf:
    """What something rests on: the runs behind it, those too that the filters leave out now."""
    known = {run.run: run for run in desk.glance.runs}
    found = [run for name in runs if (run := known.get(name) or desk.any_run(name)) is not None]
    newest = sorted(found, key=lambda run: run.opened_at, reverse=True)
    head: list[Item] = [Words(keys[0] if keys else "", style="bold", gap=1)]
    head.append(Heading("What this rests on", saying.number_of(len(newest), "run")))
    return Leaf("What this rests on", (*head, *table(desk, newest, size)))


def acts_leaf(desk: Desk, keys: tuple[str, ...], size: Size, acts: Sequence[str]) -> Leaf:
    """What something rests on: single acts, each opening its run there."""
    pairs = [(run, int(seq)) for run, _, seq in (act.rpartition("/") for act in acts)]
    found = desk.attempts_at(pairs)
    head: tuple[Item, ...] = (
        Words(keys[0] if keys else "", style="bold", gap=1),
        Heading("What this rests on", saying.number_of(len(found), "attempt")),
    )
    return Leaf("What this rests on", (*head, *attempts_table(desk, found, size)))


def attempts_leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The attempts of a trainee at a skill."""
    trainee, skill = keys[0], keys[1]
    found = desk.attempts(trainee=trainee, skill=skill)
    title = f"{desk.person(trainee)} at {skill}"
    items: list[Item] = [Words(title, style="bold", gap=1, opens=Opens("trainee", (trainee,)))]
    if (said := desk.skill(skill)) != skill:
        items.append(Words(said, style="$quiet"))
    items += _rates(desk, trainee, skill)
    steps = by_step(found)
    items.append(Heading("By step", "those missed most first"))
    items.append(_steps(desk, steps))
    items.append(Heading("Every attempt", f"{len(found)}, newest first"))
    return Leaf(title, (*items, *attempts_table(desk, found, size)))


def _rates(desk: Desk, trainee: str, skill: str) -> list[Item]:
    from trainer.insight.intervals import rate

    seen = desk.glance.by.get((trainee, skill))
    if seen is None:
        return [Words("No attempt in what is looked at.", gap=1)]
    own = saying.rate(rate(seen.k, seen.n))
    last = saying.of(seen.recent_k, seen.recent_n)
    said = f"{saying.state(seen.state)}   right in {own} attempts, in {last} of the last ones"
    others = [one for (who, what), one in desk.glance.by.items() if what == skill and who != trainee]
    peers = rate(sum(one.k for one in others), sum(one.n for one in others))
    items: list[Item] = [Words(said, gap=1)]
    if peers.n:
        items.append(Words(f"The others: right in {saying.rate(peers)} attempts.", style="$quiet"))
    return [*items, Words(BRACKETS, style="$quiet")]


BRACKETS = "In brackets: between which the true rate lies in 95 of 100 such cases."


def _steps(desk: Desk, steps: Sequence[AtStep]) -> Table:
    columns = (Column("right", 9, right=True), Column("step", 16), Column("act", 0))
    rows = tuple(
        (
            Cell(saying.of(sum(one.hit for one in tries), len(tries)), "", Opens("step", step)),
            Cell(step[1]),
            Cell(desk.step(*step)),
        )
        for step, tries in steps
    )
    return Table(columns, rows)


MARKS = {
    "quiz": "question",
    "reading": "reading",
    "window": "wait",
    "judge": "judgement",
    "pick": "next act",
    "sign_off": "sign-off",
    "fault": "fault",
}
"""What each kind of mark is called."""


def attempts_table(desk: Desk, found: Sequence[AttemptSeen], size: Size) -> tuple[Item, ...]:
    """Attempts in a table; each opens its run at that act. Who it was stands there where they are several."""
    wide = size.width >= WIDE
    who = wide or len({one.trainee for one in found}) > 1
    columns = (
        Column("when", 16),
        Column("", 1),
        Column("what", 9),
        Column("came of it", 10),
        Column("after", 8, right=True),
        *((Column("who", 6),) if who else ()),
        *((Column("kind", 9),) if wide else ()),
        Column("step", 0),
    )
    rows = tuple(_attempt(desk, one, wide=wide, who=who) for one in found[:MOST])
    more = len(found) - len(rows)
    over = (Words(f"and {more} more: look at a shorter time (f)", style="$quiet"),) if more > 0 else ()
    return (Table(columns, rows), *over)


def _attempt(desk: Desk, one: AttemptSeen, *, wide: bool, who: bool) -> tuple[Cell, ...]:
    sign, style = ("+", "") if one.hit else ("!", "bold")
    if not one.mark:  # a slip of the keys, or what nobody marks
        sign, style = "·", "$quiet"
    seconds = "" if one.seconds is None else saying.span(one.seconds)
    step = f"{one.step}  {desk.step(one.procedure, one.step)}" if wide else one.step
    return (
        Cell(saying.moment(one.at), style, Opens("run", (one.run, str(one.seq)))),
        Cell(sign, style),
        Cell(MARKS.get(one.mark, one.mark), style),
        Cell(one.outcome.replace("_", " "), style),
        Cell(seconds, style),
        *((Cell(one.trainee, style),) if who else ()),
        *((Cell("rehearsal" if one.rehearsal else "wet", style),) if wide else ()),
        Cell(step, style),
    )


def skill_leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """One skill, over all trainees."""
    from trainer.insight.intervals import rate

    del size
    skill = keys[0]
    order = ("needs help", "coming on", "too few", "steady")
    seen = [(who, one) for (who, what), one in desk.glance.by.items() if what == skill]
    seen.sort(key=lambda item: (order.index(item[1].state), item[1].k / max(1, item[1].n), item[0]))
    columns = (Column("", 6), Column("state", 9), Column("right, all (interval)", 28), Column("last ones", 0))
    rows = tuple(
        (
            Cell(who, "bold", Opens("attempts", (who, skill))),
            Cell(saying.state(one.state), saying.STATES[one.state][2]),
            Cell(saying.rate(rate(one.k, one.n))),
            Cell(saying.of(one.recent_k, one.recent_n)),
        )
        for who, one in seen
    )
    said = desk.skill(skill)
    head: tuple[Item, ...] = (Words(skill, style="bold", gap=1),)
    head += (Words(said, style="$quiet"),) if said != skill else ()
    if not rows:
        return Leaf(skill, (*head, Words("No attempt in what is looked at.", gap=1)))
    return Leaf(skill, (*head, Heading("By trainee", "who needs help first"), Table(columns, rows)))
