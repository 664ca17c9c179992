"""All pages of the review: ids, digits, and who makes them. Each is imported when it is opened."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Leaf, Opens, Size

Make = Callable[[Desk, Opens, Size], Leaf]


@dataclass(frozen=True, slots=True)
class Page:
    """A page. title: in the top row, for those with a digit; `short` where that row is narrow.

    finds: it is made of findings alone.
    """

    id: str
    title: str
    make: Make
    digit: str = ""
    short: str = ""
    finds: bool = True


def _class(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.class_rows import leaf

    return leaf(desk, opens.keys, size)


def _findings(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.findings_rows import leaf

    return leaf(desk, opens.keys, size)


def _finding(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.findings_rows import one_leaf

    return one_leaf(desk, opens.keys, size)


def _troubles(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.findings_rows import troubles_leaf

    return troubles_leaf(desk, opens.keys, size)


def _runs(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.runs_rows import leaf

    return leaf(desk, opens.keys, size)


def _rests(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.runs_rows import rests_leaf

    return rests_leaf(desk, opens.keys, size, opens.runs)


def _acts(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.runs_rows import acts_leaf

    return acts_leaf(desk, opens.keys, size, opens.runs)


def _attempts(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.runs_rows import attempts_leaf

    return attempts_leaf(desk, opens.keys, size)


def _skill(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.runs_rows import skill_leaf

    return skill_leaf(desk, opens.keys, size)


def _trainee(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.trainee_rows import leaf

    return leaf(desk, opens.keys, size)


def _ready(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.trainee_rows import ready_leaf

    return ready_leaf(desk, opens.keys, size)


def _curve(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.trainee_rows import curve_leaf

    return curve_leaf(desk, opens.keys, size)


def _due(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.trainee_rows import due_leaf

    return due_leaf(desk, opens.keys, size)


def _run(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.run_rows import leaf

    return leaf(desk, opens.keys, size)


def _act(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.run_rows import act_leaf

    return act_leaf(desk, opens.keys, size)


def _filters(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.filtering import filters_leaf

    return filters_leaf(desk, opens.keys, size)


def _help(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.help_rows import leaf

    return leaf(desk, opens.keys, size)


def _steps(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.steps_rows import leaf

    return leaf(desk, opens.keys, size)


def _step(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.step_rows import leaf

    return leaf(desk, opens.keys, size)


def _hazards(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.hazards_rows import leaf

    return leaf(desk, opens.keys, size)


def _hazard(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.hazards_rows import one

    return one(desk, opens.keys, size)


def _questions(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.questions_rows import leaf

    return leaf(desk, opens.keys, size)


def _question(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.question_rows import leaf

    return leaf(desk, opens.keys, size)


def _stations(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.stations_rows import leaf

    return leaf(desk, opens.keys, size)


def _station(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.station_rows import leaf

    return leaf(desk, opens.keys, size)


def _waste(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.waste_rows import leaf

    return leaf(desk, opens.keys, size)


def _agreement(desk: Desk, opens: Opens, size: Size) -> Leaf:
    from trainer.screens.review.agreement_rows import leaf

    return leaf(desk, opens.keys, size)


ALL: tuple[Page, ...] = (
    Page("class", "Class", _class, "1", finds=False),
    Page("findings", "Findings", _findings, "2"),
    Page("runs", "Runs", _runs, "3", finds=False),
    Page("steps", "Steps", _steps, "4"),
    Page("hazards", "Safety", _hazards, "5"),
    Page("questions", "Questions", _questions, "6", "Quiz"),
    Page("stations", "Stations", _stations, "7"),
    Page("waste", "Waste", _waste, "8"),
    Page("agreement", "Sign-offs", _agreement, "9", "Signed"),
    Page("step", "A step", _step),
    Page("hazard", "A safety prompt", _hazard),
    Page("question", "A question", _question),
    Page("station", "A station", _station),
    Page("finding", "A finding", _finding),
    Page("troubles", "What could not be read", _troubles),
    Page("trainee", "A trainee", _trainee, finds=False),
    Page("skill", "A skill", _skill, finds=False),
    Page("attempts", "Attempts", _attempts, finds=False),
    Page("ready", "Ready to work alone", _ready),
    Page("curve", "With practice", _curve),
    Page("due", "To be done again", _due),
    Page("run", "A run", _run, finds=False),
    Page("act", "An act", _act, finds=False),
    Page("rests", "What this rests on", _rests, finds=False),
    Page("acts", "What this rests on", _acts, finds=False),
    Page("filters", "What is looked at", _filters, finds=False),
    Page("help", "Keys", _help, finds=False),
)
"""Those with a digit stand in the top row, in the order of their digits."""

PAGES = {page.id: page for page in ALL}
TOP = tuple(sorted((page for page in ALL if page.digit), key=lambda page: page.digit))
FIRST = Opens("class")
