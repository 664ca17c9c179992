"""What of the record is looked at: the filters' line, their page, and what each choice comes to. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Literal

from trainer.insight.results import Wanted
from trainer.run.clock import day_begins, on_the_wall
from trainer.screens.review import saying
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Heading, Item, Leaf, Opens, Size, Words

PERIODS: Mapping[str, tuple[str, int | None]] = {
    "all": ("the whole record", None),
    "day": ("the last day", 1),
    "week": ("the last week", 7),
    "fortnight": ("the last 2 weeks", 14),
    "month": ("the last 4 weeks", 28),
    "term": ("the last 15 weeks, a term", 105),
}
"""What each period is called, and how many days it takes back from the day of the newest run."""
KINDS: Mapping[str, str] = {
    "": "wet runs and rehearsals",
    "wet": "wet runs",
    "rehearsal": "rehearsals",
}
DATES = "dates"
SEVERAL = 2
PLACES = ("school", "station")
"""What is chosen of a record by where it was worked: other rows are not read at all."""


def line(desk: Desk) -> str:
    """What is looked at, in one line."""
    wanted, found = desk.wanted, desk.glance
    parts = [
        *([_period_short(desk)] if wanted.since or wanted.until else []),
        *([", ".join(desk.path.schools)] if desk.path.schools else []),
        *([", ".join(desk.path.stations)] if desk.path.stations else []),
        *([KINDS[wanted.kind]] if wanted.kind else []),
        *([" ".join(wanted.trainees)] if wanted.trainees else []),
        *(desk.title(one) for one in wanted.procedures),
    ]
    excused = sum(bool(run.excused) for run in found.runs)
    runs = saying.number_of(len(found.runs) - excused, "run")
    count = f"{runs} of {saying.number_of(len(found.trainees), 'trainee')}"
    if excused:
        count += f", {excused} excused"
    schools = f" of {len(desk.marks)} schools" if desk.marks else ""
    return f"{count}, {'only ' + ', '.join(parts) if parts else f'whole record{schools}'}"


def _period_short(desk: Desk) -> str:
    """The period where there is little room: as it was chosen, dates where they were typed."""
    return period(desk) if desk.period == DATES else PERIODS[desk.period][0]


def period(desk: Desk) -> str:
    """The period in words, with its dates."""
    wanted = desk.wanted
    if wanted.since is None and wanted.until is None:
        return PERIODS["all"][0]
    since = f"from {saying.date(wanted.since)}" if wanted.since else ""
    until = f"to {saying.date(wanted.until - timedelta(hours=1))}" if wanted.until else ""
    return " ".join(part for part in (since, until) if part)


def filters_leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The page on which all of it is chosen; what holds now has a mark."""
    del keys, size
    wanted = desk.wanted
    items: list[Item] = [Heading("When", "counted back from the day of the newest run")]
    items += [
        _choice(words, ("period", key), chosen=desk.period == key) for key, (words, _) in PERIODS.items()
    ]
    own = f"other dates: {period(desk)}" if desk.period == DATES else "other dates …"
    items.append(_choice(own, ("period", DATES), chosen=desk.period == DATES))
    items.append(Heading("Kind"))
    items += [
        _choice(words, ("kind", key), chosen=(wanted.kind or "") == key) for key, words in KINDS.items()
    ]
    items += _places(desk)
    items.append(Heading("Work", "several can be chosen"))
    items.append(_choice("all", ("procedure", ""), chosen=not wanted.procedures))
    items += [
        _choice(desk.title(one), ("procedure", one), chosen=one in wanted.procedures)
        for one in desk.glance.procedures
    ]
    items.append(Heading("Trainees", "several can be chosen"))
    items.append(_choice("all", ("trainee", ""), chosen=not wanted.trainees))
    items += [
        _choice(desk.person(one), ("trainee", one), chosen=one in wanted.trainees)
        for one in desk.glance.everybody
    ]
    return Leaf("What is looked at", tuple(items))


def _places(desk: Desk) -> list[Item]:
    """Schools and stations, where there are several; what is not chosen is not even read."""
    items: list[Item] = []
    chosen = {"school": desk.path.schools, "station": desk.path.stations}
    for what, title, names in (("school", "Schools", desk.schools), ("station", "Stations", desk.stations)):
        if len(names) < SEVERAL:
            continue
        items.append(Heading(title, "several can be chosen"))
        own = getattr(desk.whole, f"{what}s")
        items.append(_choice("all", (what, ""), chosen=chosen[what] == own))
        items += [
            _choice(name, (what, name), chosen=name in chosen[what] and chosen[what] != own) for name in names
        ]
    return items


def choose_place(desk: Desk, what: str, key: str) -> None:
    """Look at a school or a station too, or at it no more; another school leaves the stations open."""
    schools, stations = (
        () if now == whole else now
        for now, whole in (
            (desk.path.schools, desk.whole.schools),
            (desk.path.stations, desk.whole.stations),
        )
    )
    if what == "school":
        desk.turn_to(_toggled(schools, key), ())
    else:
        desk.turn_to(schools, _toggled(stations, key))


def _choice(words: str, keys: tuple[str, str], *, chosen: bool) -> Words:
    style = "bold" if chosen else ""
    return Words(
        words, first="  ■ " if chosen else "  □ ", style=style, opens=Opens("choose", keys), short=True
    )


def choose(desk: Desk, what: str, key: str) -> Wanted:
    """What is wanted once a choice is made on the page of the filters (dates apart)."""
    wanted = desk.wanted
    match what:
        case "period":
            desk.period = key
            return replace(wanted, since=since(desk.glance.newest, PERIODS[key][1]), until=None)
        case "kind":
            kinds: Mapping[str, Literal["wet", "rehearsal"] | None] = {"wet": "wet", "rehearsal": "rehearsal"}
            return replace(wanted, kind=kinds.get(key))
        case "procedure":
            return replace(wanted, procedures=_toggled(wanted.procedures, key))
        case _:
            return replace(wanted, trainees=_toggled(wanted.trainees, key))


def with_right_code(wanted: Wanted, wrong: str, right: str) -> Wanted:
    """Where one trainee's runs were looked at, they still are once all of them are put down to another."""
    kept = {right if one == wrong else one for one in wanted.trainees}
    return replace(wanted, trainees=tuple(sorted(kept)))


def _toggled(chosen: tuple[str, ...], key: str) -> tuple[str, ...]:
    if not key:
        return ()
    return tuple(one for one in chosen if one != key) if key in chosen else tuple(sorted((*chosen, key)))


def since(newest: datetime | None, days: int | None) -> datetime | None:
    """The beginning of a period that ends with the day of the newest run; None where it has none."""
    if newest is None or days is None:
        return None
    return day_begins(on_the_wall(newest), 1 - days)


def day_typed(typed: str) -> datetime | None:
    """A day as it is typed, `2026-03-01`; None for nothing. Raises ValueError for anything else."""
    text = typed.strip()
    if not text:
        return None
    return day_begins(datetime.strptime(text, "%Y-%m-%d"))  # noqa: DTZ007 - a day here


def with_dates(wanted: Wanted, first: datetime | None, last: datetime | None) -> Wanted:
    """From the first day to the last, both taken in."""
    return replace(wanted, since=first, until=day_begins(on_the_wall(last), 1) if last else None)
