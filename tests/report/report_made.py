"""Material of a report made by hand: a class of six in the invented workshop, and an empty one."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import TypeVar

from trainer import places
from trainer.insight.facts import ProcedureFacts, facts_of
from trainer.insight.intervals import rate
from trainer.insight.report.material import Check, Head, Kept, Material, RunLine
from trainer.insight.report.names import Names
from trainer.insight.results import (
    AgreementRow,
    ChartPoint,
    ChartRow,
    CurvePoint,
    CurveRow,
    Finding,
    HazardRow,
    Interval,
    Level,
    Option,
    QuestionRow,
    QuizDue,
    ReadyRow,
    RefreshRow,
    Reliability,
    Review,
    RunHeld,
    SkillRow,
    SkillState,
    SpoiledRow,
    Spread,
    StepRow,
    Subject,
    Wanted,
    WasteRow,
)
from trainer.procedure.load import load

Row = TypeVar("Row", SkillRow, CurveRow, ReadyRow, RefreshRow, RunLine)
PLATE = "negative-plate-two-burns"
NOW = datetime(2026, 11, 26, 16, 0, tzinfo=UTC)
TRAINEES = tuple(f"T-{n:02}" for n in range(1, 7))
SKILLS = ("contact", "exposure", "film", "developing", "safety", "register", "handling", "finishing", "order")
STATES: tuple[SkillState, ...] = ("needs help", "coming on", "steady", "too few")


def run_id(number: int) -> str:
    """The id of the run that was opened as the `number`th."""
    return f"0198{number:04x}-7c10-7000-8000-{number:012x}"


RUNS = tuple(run_id(number) for number in range(1, 41))
KEPT = Kept(
    runs=40,
    events=6123,
    openings="9f2c01ab33de" * 5 + "9f2c",
    heads=tuple(Head(n, run, 150 + n, f"{n * 7919:012x}") for n, run in enumerate(RUNS, 1)),
    check=Check(ok=True, verdict="40 runs, 6123 events: everything is as it was written.", problems=()),
)


def at(number: int) -> datetime:
    """When the `number`th run was opened."""
    return NOW - timedelta(days=80 - 2 * number, minutes=37 * number % 300)


@cache
def shipped_facts() -> dict[str, ProcedureFacts]:
    """What the shipped plate procedure says."""
    return {PLATE: facts_of(load(places.procedures_dir() / f"{PLATE}.yaml").require())}


def empty(**more: object) -> Review:
    """A review of nothing."""
    nothing = Review(
        wanted=Wanted(),
        at=NOW,
        runs=0,
        trainees=(),
        provisional=True,
    )
    return replace(nothing, **more)  # type: ignore[arg-type]


def nothing_at_all() -> Material:
    """What there is of a record in which nobody has worked."""
    kept = Kept(runs=0, events=0, openings="", heads=())
    return Material(empty(), Names(), (), kept)


def material(review: Review | None = None) -> Material:
    """The whole class, or another review of it."""
    return Material(
        review=review or a_class(),
        names=Names(shipped_facts()),
        runs=run_lines(),
        kept=KEPT,
        methods="# Methods\n\n## Intervals\n\nWilson's, without `correction`.\n\n- one\n- two\n",
        zone=UTC,
    )


def run_lines() -> tuple[RunLine, ...]:
    """The runs; the fifth is excused."""
    return tuple(
        RunLine(
            run=run,
            trainee=TRAINEES[number % 6],
            procedure=PLATE,
            rehearsal=number % 5 == 0,
            guidance=("full", "cued", "solo")[min(number // 14, 2)],
            opened_at=at(number),
            closed="done",
            plates_spoiled=number % 3 == 0,
            excused="the pump had failed" if number == 5 else "",
        )
        for number, run in enumerate(RUNS, 1)
    )


def a_class() -> Review:
    """The review of the class."""
    return empty(
        runs=39,
        trainees=TRAINEES,
        excused=(RUNS[4],),
        invented=True,
        titles={PLATE: "Negative-working plate, two burns"},
        findings=findings(),
        skills=tuple(
            skill(trainee, name, a, b) for a, trainee in enumerate(TRAINEES) for b, name in enumerate(SKILLS)
        ),
        steps=steps(),
        hazards=hazards(),
        questions=questions(),
        reliability=(Reliability(PLATE, 9, 6, 0.62, Interval(0.05, 0.94, "feldt"), 1.1, provisional=True),),
        curves=tuple(curve(n, trainee) for n, trainee in enumerate(TRAINEES)),
        ready=tuple(ready(n, trainee) for n, trainee in enumerate(TRAINEES)),
        refresh=tuple(refresh(n, trainee) for n, trainee in enumerate(TRAINEES)),
        waste=(
            WasteRow(PLATE, "plate", "each", 44, 9, 44, 9, RUNS[:9]),
            WasteRow(PLATE, "developer", "mL", 3300, 675, 44, 9, RUNS[:9]),
        ),
        spoiled=(
            SpoiledRow(PLATE, "vacuum", "draw-down", "film slipped", False, 5, ("T-01", "T-03"), RUNS[:5]),  # noqa: FBT003
            SpoiledRow(PLATE, "vacuum", "draw-down", "scratched", True, 2, ("T-02",), RUNS[5:7]),  # noqa: FBT003
        ),
        charts=(chart("sink 2", drifts=True), chart("sink 1", drifts=False), few("sink 3")),
        agreement=(
            AgreementRow("", 20, 6, 1, 9, 0.42, Interval(0.13, 0.71, "kappa"), True, RUNS),  # noqa: FBT003
            AgreementRow("I-1", 12, 0, 0, 0, None, None, True, RUNS[:12]),  # noqa: FBT003
        ),
        troubles=("Run 0198002b cannot be read: an event of it is damaged.",),
    )


def finding(level: Level, subject: Subject, keys: tuple[str, ...], words: str, kind: str = "weak") -> Finding:
    """A finding."""
    return Finding(
        kind,
        level,
        subject,
        keys,
        words,
        "Wilson's interval; others at the same steps.",
        24,
        "wilson",
        0.004,
        RUNS[:3],
    )


def findings() -> tuple[Finding, ...]:
    """One of each kind."""
    others = "the others in 181 of 214"
    return (
        finding(
            "watch",
            "question",
            (PLATE, "side"),
            "Which side is up? is answered right by 3 of 6 at first (19 to 81 %).",
        ),
        finding(
            "act",
            "skill",
            ("T-03", "contact"),
            f"T-03 gets contact right in 9 of 24 attempts (interval 21 to 57 %); {others}.",
        ),
        finding(
            "act",
            "step",
            (PLATE, "draw-down"),
            "Close the glass and start the pump: missed in 31 of 60 visits (39 to 64 %), by all six.",
        ),
        finding(
            "watch",
            "hazard",
            (PLATE, "mind-the-glass"),
            "The prompt about the glass was accepted too fast 14 of 60 times (14 to 35 %), mostly by T-05.",
            "hazard-unread",
        ),
        finding(
            "act",
            "station",
            ("sink 2", PLATE, "wedge"),
            "At sink 2 the wedge of the plate has fallen: from 6.1 steps in the first 20 to 4.6 now.",
            "drift",
        ),
        finding(
            "watch",
            "supply",
            (PLATE,),
            "9 of 44 plates were wasted in wet runs, and 675 mL of 3,300 mL developer.",
            "waste",
        ),
        finding("know", "trainee", ("T-01",), "T-01 meets the rule: 3 of 3 solo runs.", "ready"),
    )


def skill(trainee: str, name: str, a: int, b: int) -> SkillRow:
    """A trainee at a skill."""
    state = STATES[(a * 3 + b) % 4]
    hits, attempts = {"needs help": (9, 24), "coming on": (15, 21), "steady": (40, 42), "too few": (2, 3)}[
        state
    ]
    return SkillRow(
        trainee,
        name,
        rate(hits, attempts),
        rate(min(hits, 9), 10),
        rate(181, 214),
        state,
        3,
        1,
        NOW,
        RUNS[:4],
    )


def steps() -> tuple[StepRow, ...]:
    """Two steps that trouble and one that does not."""
    rows = []
    for step, misses in (("draw-down", 31), ("read-gauge", 6), ("seat-film", 0)):
        rows.append(
            StepRow(
                PLATE, "vacuum", step, 60, 6, Spread(60, 41.0, 30.5, 66.0), Spread(60, 6.2, 3.0, 12.4),
                rate(misses, 60), misses // 2, 3, misses // 3, misses // 6, RUNS[:6],
            )
        )  # fmt: skip
    return tuple(rows)


def hazards() -> tuple[HazardRow, ...]:
    """A safety prompt that is read, one that is not."""
    read = HazardRow(
        PLATE, "mind-the-sink", 60, Spread(60, 12.0, 9.0, 20.0), 6.0, rate(0, 60), 0, (), RUNS[:2]
    )
    unread = HazardRow(
        PLATE, "mind-the-glass", 60, Spread(60, 4.0, 2.0, 9.0), 5.5, rate(14, 60), 1, ("T-05",), RUNS[:5]
    )
    return (read, unread)


def questions() -> tuple[QuestionRow, ...]:
    """A bad question and an easy safety question."""
    options = (
        Option("a", "Emulsion down", True, 3),  # noqa: FBT003
        Option("b", "Emulsion up", False, 3),  # noqa: FBT003
        Option("c", "Either", False, 0),  # noqa: FBT003
    )
    bad = QuestionRow(
        PLATE, "side", "ask-side", "Which side is up?", rate(3, 6), rate(8, 12), -0.31,
        Interval(-0.86, 0.62, "fisher"), options, safety=False,
        remarks=("check-key", "nobody-takes"), runs=RUNS[:6],
    )  # fmt: skip
    easy = replace(bad, name="eyes", ask="Developer in an eye?", first_right=rate(6, 6), discrimination=None)
    return (bad, replace(easy, discrimination_interval=None, safety=True, remarks=("everybody-right",)))


def curve(number: int, trainee: str) -> CurveRow:
    """A trainee's time, falling; the last has too few runs."""
    count = 7 - number
    points = tuple(CurvePoint(n, (3000 - 90 * number) * n**-0.25, RUNS[n]) for n in range(1, count + 1))
    if count < 4:
        return CurveRow(trainee, PLATE, "active time", points, None, None, None, None)
    return CurveRow(
        trainee, PLATE, "active time", points, 2950.0, -0.25, 0.84, Interval(0.75, 0.94, "log-log")
    )


def ready(number: int, trainee: str) -> ReadyRow:
    """How far a trainee is with the rule."""
    good = rate(max(3 - number, 0), 3 if number < 4 else 0, line=0.8)
    held = tuple(
        RunHeld(RUNS[n], at(n), "" if n > number else "at guidance cued, not solo") for n in range(1, 4)
    )
    rule = "3 wet runs at solo within 60 days, every safety prompt accepted, the plate passed"
    return ReadyRow(trainee, PLATE, rule, 3, max(3 - number, 0), number == 0, good, held)


def refresh(number: int, trainee: str) -> RefreshRow:
    """When a trainee should do the plate again."""
    due = NOW + timedelta(days=20 * (number - 1))
    quizzes = (QuizDue(PLATE, "side", NOW - timedelta(days=1)),) if number == 2 else ()
    return RefreshRow(trainee, PLATE, due - timedelta(days=180), due, due < NOW, quizzes, RUNS[:1])


def chart(station: str, *, drifts: bool) -> ChartRow:
    """A station's wedge; falling where it drifts."""
    values = [6 + ((n * 7) % 3 - 1) * 0.5 - (0.045 * max(n - 20, 0) if drifts else 0) for n in range(1, 61)]
    points = tuple(
        ChartPoint(
            NOW - timedelta(days=90 - n),
            value,
            abs(value - values[n - 1]) if n else None,
            RUNS[n % 40],
            value < 4.6,
        )
        for n, value in enumerate(values)
    )
    return ChartRow(station, PLATE, "wedge", "step", points, 20, 6.0, 4.6, 7.4, 1.7, drifts)


def few(station: str) -> ChartRow:
    """A station with too few values for limits."""
    points = chart(station, drifts=False).points[:4]
    return ChartRow(station, PLATE, "wedge", "step", points, 4, None, None, None, None, drifts=False)


def one_trainee(trainee: str) -> Material:
    """What there is of one trainee alone."""

    def own(rows: tuple[Row, ...]) -> tuple[Row, ...]:
        return tuple(row for row in rows if row.trainee == trainee)

    made = material()
    review = replace(
        made.review,
        wanted=Wanted(trainees=(trainee,)),
        trainees=(trainee,),
        findings=(),
        skills=own(made.review.skills),
        curves=own(made.review.curves),
        ready=own(made.review.ready),
        refresh=own(made.review.refresh),
        charts=(),
        agreement=(),
        troubles=(),
    )
    return replace(made, review=review, runs=own(made.runs))
