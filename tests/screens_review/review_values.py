"""A class found out about, by hand: invented values of every kind that the pages of the review show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from textual.content import Content

from trainer.insight.at_step import AtStep, Done, Person
from trainer.insight.facts import HazardFacts, ProcedureFacts, QuestionFacts, StepFacts
from trainer.insight.intervals import rate
from trainer.insight.results import (
    AgreementRow,
    ChartPoint,
    ChartRow,
    CurvePoint,
    CurveRow,
    HazardRow,
    Interval,
    Option,
    QuestionRow,
    Reliability,
    Review,
    SpoiledRow,
    Spread,
    StepRow,
    Wanted,
    WasteRow,
)
from trainer.screens.review.laying import lay
from trainer.screens.review.leaf import Cell, Leaf, Opens, Size, Table, Words

PLATES = "two-burns"
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
RUNS = ("r1", "r2", "r3")
SMALL, LARGE = Size(78, 20), Size(118, 36)


def step(name: str, missed: tuple[int, int], pauses: float, takes: float, spoiled: int = 0) -> StepRow:
    """A step. missed: how many of how many. pauses, takes: medians."""
    return StepRow(
        procedure=PLATES,
        stage="vacuum" if name in ("draw-down", "read-gauge") else "development",
        step=name,
        visits=60,
        trainees=14,
        active=Spread(60, takes, takes * 0.8, takes * 1.5),
        hesitation=Spread(60, pauses, pauses * 0.6, pauses * 2),
        misses=rate(*missed),
        hints=4,
        slips=2,
        again=3,
        spoiled=spoiled,
        runs=RUNS,
    )


STEPS = (
    step("draw-down", (0, 0), 2.0, 41.0),
    step("read-gauge", (21, 60), 9.0, 14.0),
    step("rub", (12, 58), 3.5, 96.0, 5),
    step("rinse", (1, 2), 30.0, 20.0, 1),
)
HAZARDS = (
    HazardRow(
        PLATES, "mind-the-glass", 60, Spread(60, 6.5, 4.0, 9.0), 3.2, rate(9, 60), 0, ("T-02", "T-09"), RUNS
    ),
    HazardRow(
        PLATES, "mind-the-developer", 58, Spread(58, 8.0, 6.0, 12.0), 4.1, rate(1, 58), 2, ("T-09",), RUNS
    ),
)
QUESTIONS = (
    QuestionRow(
        procedure=PLATES,
        name="why_vacuum",
        step="ask-vacuum",
        ask="Why must film and plate touch all over?",
        first_right=rate(11, 14),
        all_right=rate(30, 35),
        discrimination=0.41,
        discrimination_interval=Interval(0.02, 0.75, "point-biserial"),
        options=(
            Option("a", "Light creeps under the edges where they do not", right=True, taken=11),
            Option("b", "The glass would break", right=False, taken=3),
            Option("c", "The pump would stop", right=False, taken=0),
        ),
        safety=False,
        remarks=("nobody-takes",),
        runs=RUNS,
    ),
    QuestionRow(
        procedure=PLATES,
        name="when_rinse",
        step="ask-rinse",
        ask="When is the plate rinsed?",
        first_right=rate(4, 14),
        all_right=rate(4, 14),
        discrimination=-0.35,
        discrimination_interval=Interval(-0.7, 0.2, "point-biserial"),
        options=(
            Option("a", "As soon as the coating is gone", right=True, taken=4),
            Option("b", "When the developer is dry", right=False, taken=10),
        ),
        safety=False,
        remarks=("check-key", "wrong-one-popular"),
        runs=RUNS,
    ),
    QuestionRow(
        procedure=PLATES,
        name="eyes",
        step="ask-eyes",
        ask="Developer got into an eye. What first?",
        first_right=rate(14, 14),
        all_right=rate(14, 14),
        discrimination=None,
        discrimination_interval=None,
        options=(),
        safety=True,
        remarks=("everybody-right",),
        runs=RUNS,
    ),
)
RELIABILITY = Reliability(PLATES, 3, 14, 0.52, Interval(0.1, 0.8, "feldt"), 0.7, provisional=True)


def chart(
    what: str = "wedge", station: str = "sink 2", count: int = 34, slide: float = 0.12, *, baseline: int = 20
) -> ChartRow:
    """A chart whose values slide by so much a value after the baseline; of no limits under ten values."""
    levels = [
        6.0 + 0.4 * ((place * 7) % 5 - 2) / 2 - slide * max(0, place - baseline) for place in range(count)
    ]
    low, high = (5.0, 7.0) if count >= 10 else (None, None)
    points = tuple(
        ChartPoint(
            NOON + timedelta(days=2 * place),
            level,
            None if not place else abs(level - levels[place - 1]),
            f"r{place}",
            low is not None and high is not None and not low <= level <= high,
        )
        for place, level in enumerate(levels)
    )
    centre = None if low is None else 6.0
    drifts = low is not None and slide != 0
    if what == "wedge":
        return ChartRow(station, PLATES, "wedge", "step", points, baseline, centre, low, high, 1.2, drifts)
    return ChartRow(station, "", "seconds per unit", "s", points, baseline, centre, low, high, 1.2, drifts)


def curve_row(count: int = 9, what: str = "active time") -> CurveRow:
    """A curve of 80 % that every value lies on; of no fit under four runs."""
    points = tuple(CurvePoint(nth, 6000 * nth**-0.3219280949, f"r{nth}") for nth in range(1, count + 1))
    fitted = count >= 4
    interval = Interval(0.75, 0.85, "t") if fitted else None
    slope = -0.3219280949 if fitted else None
    if what == "active time":
        return CurveRow(
            "T-03",
            PLATES,
            "active time",
            points,
            6000 if fitted else None,
            slope,
            0.8 if fitted else None,
            interval,
        )
    few = tuple(CurvePoint(point.nth, 1.0 + (point.nth < 3), point.run) for point in points)
    return CurveRow("T-03", PLATES, "plates used", few, None, None, None, None)


WASTE = (
    WasteRow(PLATES, "plate", "each", 72, 12, 72, 12, RUNS),
    WasteRow(PLATES, "developer", "mL", 5400, 900, 72, 12, RUNS),
)
SPOILED = (
    SpoiledRow(
        PLATES,
        "development",
        "rub",
        "scratched",
        rehearsal=False,
        plates=5,
        trainees=("T-02", "T-09"),
        runs=RUNS,
    ),
    SpoiledRow(
        PLATES, "development", "rinse", "dried up", rehearsal=False, plates=1, trainees=("T-04",), runs=RUNS
    ),
    SpoiledRow(
        PLATES, "development", "rub", "scratched", rehearsal=True, plates=2, trainees=("T-02",), runs=RUNS
    ),
)
AGREEMENT = (
    AgreementRow("", 30, 6, 2, 8, 0.55, Interval(0.28, 0.82, "kappa"), provisional=True, runs=RUNS),
    AgreementRow("I-1", 30, 6, 0, 0, None, None, provisional=True, runs=RUNS),
    AgreementRow("I-2", 0, 0, 2, 8, None, None, provisional=True, runs=RUNS),
)
FACTS = ProcedureFacts(
    id=PLATES,
    revision=1,
    content_hash="0" * 64,
    title="Plate, two burns",
    skills={"contact": "Gets film and plate into contact"},
    stages={"vacuum": "Vacuum", "development": "Development"},
    steps={
        "mind-the-glass": StepFacts("mind-the-glass", "vacuum", None, "hazard", ""),
        "draw-down": StepFacts(
            "draw-down", "vacuum", "contact", "none", "Close the glass and start the pump."
        ),
        "read-gauge": StepFacts("read-gauge", "vacuum", "contact", "reading", "Read the gauge."),
        "mind-the-developer": StepFacts("mind-the-developer", "development", None, "hazard", ""),
        "rub": StepFacts("rub", "development", None, "wait", "Rub all over until the coating is gone."),
        "rinse": StepFacts("rinse", "development", None, "none", "Rinse both sides."),
    },
    hazards={
        "mind-the-glass": HazardFacts("mind-the-glass", "The frame can crush fingers.", 12, ("draw-down",)),
        "mind-the-developer": HazardFacts("mind-the-developer", "Developer burns eyes.", 14, ("rub",)),
    },
    questions={
        "why_vacuum": QuestionFacts(
            "why_vacuum",
            "ask-vacuum",
            "Why?",
            "choice",
            (("a", "Light creeps"), ("b", "Glass breaks")),
            ("a",),
            safety=False,
        )
    },
    supplies=(),
    plate_taken=(),
    ready=None,
    refresh_after=None,
)
AT_STEP = AtStep(
    (
        Done("20 to 24 inHg, median 22", (("r1", 9), ("r2", 9)), good=True),
        Done("17 inHg", (("r1", 7),), good=False),
        Done("slips of the keys, asked again", (("r3", 8),)),
    ),
    (
        Person("T-02", rate(6, 9), 1, 2, (("r1", 7), ("r1", 9))),
        Person("T-09", rate(0, 4), 0, 0, (("r2", 9),)),
    ),
)
REVIEW = Review(
    wanted=Wanted(),
    at=NOON,
    runs=3,
    trainees=("T-02", "T-04", "T-09"),
    excused=(),
    invented=True,
    findings=(),
    skills=(),
    steps=STEPS,
    hazards=HAZARDS,
    questions=QUESTIONS,
    reliability=(RELIABILITY,),
    curves=(curve_row(),),
    ready=(),
    refresh=(),
    waste=WASTE,
    spoiled=SPOILED,
    charts=(
        chart(),
        chart("seconds per unit", slide=-0.12),
        chart(station="sink 1", slide=0),
        chart(station="sink 3", count=4),
    ),
    agreement=AGREEMENT,
    provisional=True,
    titles={PLATES: "Plate, two burns"},
)


@dataclass
class HandDesk:
    """As much of a desk as pages ask for that read nothing themselves."""

    found: Review = REVIEW
    facts: Mapping[str, ProcedureFacts] = field(default_factory=lambda: {PLATES: FACTS})
    orders: Mapping[str, int] = field(default_factory=dict)

    @property
    def review(self) -> Review:
        """The findings."""
        return self.found

    def order(self, page: str) -> int:
        """The order chosen."""
        return self.orders.get(page, 0)

    def step(self, procedure: str, step: str) -> str:
        """The act of a step."""
        return self.facts[procedure].step_words(step)


def shown(leaf: Leaf, width: int = SMALL.width) -> str:
    """A leaf as it stands in a width, without styles."""
    return "\n".join(line.plain.rstrip() for line in lay(leaf, width).lines)


def opened(leaf: Leaf) -> list[Opens]:
    """All that a leaf opens, in reading order."""
    return [spot.opens for spot in lay(leaf, SMALL.width).spots]


def cells(leaf: Leaf, column: int) -> list[str]:
    """The texts of a column of the first table."""
    table = next(item for item in leaf.items if isinstance(item, Table))
    return [_plain(row[column]) for row in table.rows]


def _plain(cell: Cell) -> str:
    return cell.text.plain if isinstance(cell.text, Content) else cell.text


def paragraphs(leaf: Leaf) -> Sequence[str]:
    """The texts of its paragraphs."""
    return [
        item.text.plain if isinstance(item.text, Content) else item.text
        for item in leaf.items
        if isinstance(item, Words)
    ]
