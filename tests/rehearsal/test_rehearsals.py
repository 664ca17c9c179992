"""A rehearsal is a run on a bench: what is told, what is judged, what is forgotten, and how time goes."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from bench_kit import PLATE, AtBench, finished, plan_of, settings_of

from trainer.procedure.load import load_bytes
from trainer.procedure.vocabulary import CONTROLS, MEASURES
from trainer.rehearsal.rehearsal import Rehearsal
from trainer.run import events as ev
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.ports import JournalTrouble, Trouble
from trainer.run.readiness import ready
from trainer.run.refusals import Refused, TooSoon
from trainer.run.session import Run

CLONE = Path(__file__).resolve().parents[2]


def test_every_measure_is_declared_as_the_bench_gives_it() -> None:
    """What is measured on the way through both procedures is what the vocabulary declares, of its kind."""
    found: dict[str, ev.Value] = {}
    for procedure, stops in (
        (PLATE, ("look-over", "burn-two", "colour-two", "done")),
        ("exposure-test", ("done",)),
    ):
        at = AtBench.begin(procedure)
        for step in stops:
            found |= at.right_until(step).rehearsal.measures()
    assert set(found) == set(MEASURES) - {"number"}  # the run knows the plate's number
    for name, value in found.items():
        assert isinstance(value, bool) == (MEASURES[name].kind == "truth"), name


def test_what_is_left_untouched_is_recorded_as_nothing() -> None:
    """Going through without a hand on the bench sets no control, and no plate comes of it."""
    at = AtBench.begin()
    for _ in range(60):
        at.breathe()
        match at.asks:
            case "hazard":
                at.run.accept()
            case "judge" | "quiz_one":
                at.run.pick(1)
            case "quiz_number" | "reading":
                at.run.enter("21")
            case "quiz_several" | "quiz_order":
                for place in range(1, len(at.run.view().choice.options) + 1):  # type: ignore[union-attr]
                    at.breathe()
                    at.run.pick(place)
                at.press()
            case "waiting":
                at.pass_time(60)
                at.press()
            case _:
                at.run.next()
    kinds = {body.kind for body in at.bodies}
    assert "bench_set" not in kinds
    assert "plate_made" not in kinds
    assert "confirmed" in kinds


def test_a_wet_run_has_no_bench() -> None:
    """A wet run takes no control, marks no judgement and tells no plate."""
    plan, clock, journal = plan_of(PLATE), FakeClock(), FakeJournal()
    wet = Run.open(
        plan,
        run="wet",
        trainee="T-01",
        guidance="full",
        settings=settings_of(plan),
        journal=journal,
        clock=clock,
    )
    with pytest.raises(Refused, match="wet run"):
        wet.operate("pump", "on")
    assert [event.body.kind for event in journal.events("wet")][:2] == ["run_opened", "step_shown"]
    assert not wet.view().rehearsal


def test_a_wet_walk_loads_no_numbers_library() -> None:
    """A whole wet walk of a shipped procedure, in a fresh interpreter, loads neither NumPy nor SciPy."""
    code = (
        "import sys, pathlib; from trainer.rehearsal.walk import run_walk; "
        "assert run_walk(pathlib.Path('tests/walks/exposure-test-first-time.yaml')).passed; "
        "print([name for name in ('numpy', 'scipy', 'trainer.bench') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=CLONE)
    assert done.stdout.strip() == "[]"


def test_judgements_are_held_against_what_the_bench_shows() -> None:
    """On a film with pinholes the answer 'clean' is wrong, and after opaquing it is right."""
    at = AtBench.begin(conditions={"pinholes": 2}).right_until("anything-clear")
    at.pick_key("clean")
    painted = AtBench.begin(conditions={"pinholes": 2}).right_until("check-master")
    judged = [body for one in (at, painted) for body in one.bodies if isinstance(body, ev.Judged)]
    states = [(body.answer, body.right) for body in judged if body.name == "film_state"]
    assert states == [("clean", False), ("holes", True), ("clean", True)]


def test_no_instructor_is_asked_in_a_rehearsal() -> None:
    """At a sign-off the screen is told that the bench judges; it passes a good plate and not a bad one."""
    good = AtBench.begin().right_until("instructor-looks")
    sign = good.run.view().sign
    assert sign is not None
    assert sign.bench
    assert good.run.view().acts[0] == "next"
    good.press()
    bad = AtBench.begin().right_until("spread-gum")
    bad.press()  # no gum
    bad.right_until("sheen").pick_key("even")
    bad.right_until("instructor-looks").press()
    words = [
        (body.by, body.word) for one in (good, bad) for body in one.bodies if isinstance(body, ev.SignedOff)
    ]
    assert words == [("bench", "passed"), ("bench", "not_yet")]


def test_a_plate_rubbed_too_little_is_rubbed_on() -> None:
    """Nobody rubs, the background keeps a tint, and fresh developer and more rubbing make the plate good."""
    at = AtBench.begin().right_until("rub")
    at.press()
    at.pass_time(60)
    at.press()
    assert at.run.state.step == "background"
    assert float(at.rehearsal.measures()["background"]) > 10
    at.right_until("rinse-face")
    assert at.run.state.tries["rub-more"] >= 1
    at.right_until("instructor-looks")
    assert [line.ok for line in at.rehearsal.sheet().lines if line.name == "background"] == [True]


def test_a_rehearsal_changes_no_shop_value() -> None:
    """An offered value is only looked at, and the screen says so."""
    at = AtBench.begin("exposure-test", settings={"exposure": 12.0}).right_until("offer-units")
    view = at.run.view()
    assert "sign" not in view.acts
    assert "rehearsal changes nothing" in view.notice
    at.press()
    assert not [body for body in at.bodies if isinstance(body, ev.SettingChanged)]


def test_a_rehearsal_never_counts_as_a_wet_run() -> None:
    """Three right solo rehearsals make nobody ready to work alone, and the reason is said."""
    rule = plan_of(PLATE).procedure.ready
    assert rule is not None
    at = finished("solo")
    found = ready(rule, [at.events] * 3, "T-01", at.clock.now())
    assert not found.met
    assert {counted.why_not for counted in found.runs} == {"a rehearsal, not a wet run"}


def test_plates_are_told_after_each_burn_each_treatment_and_the_gum() -> None:
    """Two burns, a development, gum and buffing are told with their measures, the last as passed."""
    at = finished("full")
    made = [body for body in at.bodies if isinstance(body, ev.PlateMade)]
    assert [body.passes for body in made] == [False, False, False, False, True]
    assert set(made[0].sheet) == {"struck", "marks_struck", "stray"}
    assert made[-1].sheet["solid_step"] == 6.0


def test_a_plate_is_told_when_it_is_spoiled_and_when_the_run_is_stopped() -> None:
    """What has become of a plate is told before it is given up."""
    at = AtBench.begin().right_until("burn-one")
    for control, value in (("lamp", "on"), ("lamp", "off")):
        at.rehearsal.set(control, value)
        at.pass_time(5)
    at.run.spoil("light went off")
    at.right_until("rinse-back")
    at.run.stop("enough")
    kinds = [body.kind for body in at.bodies if body.kind in ("plate_made", "plate_spoiled", "run_closed")]
    assert kinds[:2] == ["plate_made", "plate_spoiled"]
    assert kinds[-2:] == ["plate_made", "run_closed"]


def test_time_runs_fast_only_while_something_is_waited_for() -> None:
    """At 5x a wait goes five times as fast as outside, reading does not, and a pause stands still."""
    at = AtBench.begin().right_until("draw-down")
    bench = at.rehearsal
    bench.set_speed(5)
    at.press()
    begun = bench.bench().seconds
    at.pass_time(4)
    assert bench.bench().seconds - begun == pytest.approx(20, abs=0.1)
    at.run.pause()
    still = bench.bench().seconds
    at.pass_time(60)
    assert bench.bench().seconds == still
    at.press()
    at.pass_time(20)
    bench.to_the_end()
    at.press()
    assert at.run.state.step == "read-gauge"


def test_going_on_at_once_ends_where_it_is_waited_for() -> None:
    """To the end of a countdown, of an exposure, and of the needle's way to zero; then there is nothing."""
    at = AtBench.begin().right_until("draw-down")
    at.press()
    assert at.rehearsal.to_the_end() == pytest.approx(40)
    at.right_until("burn-one")
    at.rehearsal.set("lamp", "on")
    assert at.rehearsal.to_the_end() > 30
    assert at.rehearsal.tick() == ("light_out",)
    assert "by itself at 24 units" in at.rehearsal.bench().notice
    at.press()
    at.press()
    at.rehearsal.set("pump", "off")
    assert 10 < at.rehearsal.to_the_end() < 60
    assert at.rehearsal.tick() == ("zero",)
    assert at.rehearsal.to_the_end() == 0


def test_a_held_key_passes_nothing_at_any_speed() -> None:
    """The guard goes by the wall clock: fast time does not shorten it, nor does a pause make it endless."""
    at = AtBench.begin().right_until("draw-down")
    at.rehearsal.set_speed(60)
    at.press()
    with pytest.raises(TooSoon):
        at.run.next()
    at.clock.pass_time(0.1)
    with pytest.raises(TooSoon):
        at.run.next()
    at.clock.pass_time(1)
    at.run.pause()
    at.clock.pass_time(1)
    at.run.next()
    assert not at.run.state.paused


@pytest.mark.parametrize("times", [0.0, -1.0, 1000.0, float("nan")])
def test_absurd_speeds_are_refused(times: float) -> None:
    """Time goes forwards, and not a thousand times as fast."""
    with pytest.raises(Refused):
        AtBench.begin().rehearsal.set_speed(times)


@pytest.mark.parametrize("seconds", [-1.0, float("nan"), 1e6])
def test_absurd_times_are_refused(seconds: float) -> None:
    """Time does not go back, and not for weeks at once."""
    with pytest.raises(Refused):
        AtBench.begin().rehearsal.pass_time(seconds)


def test_what_names_no_control_is_not_rehearsed() -> None:
    """A procedure without any `bench:` is not opened as a rehearsal, and the reason is said."""
    source = (CLONE / "tests" / "rehearsal" / "try_procedure.yaml").read_bytes()
    bare = load_bytes(source, "try-procedure.yaml").require()
    with pytest.raises(Trouble, match="nothing to rehearse"):
        Rehearsal.open(
            bare,
            run="r",
            trainee="T-01",
            guidance="full",
            settings={},
            journal=FakeJournal(),
            clock=FakeClock(),
        )


def test_absurd_days_do_not_open() -> None:
    """A day that cannot be is told in a sentence, and nothing is recorded."""
    with pytest.raises(Trouble, match="dust"):
        AtBench.begin(conditions={"dust": 4000})


def test_controls_show_where_they_stand_and_never_what_is_right() -> None:
    """Those of the step come first, untouched until operated; at solo, none while the step is picked."""
    at = AtBench.begin().right_until("film-in-frame")
    view = at.rehearsal.bench()
    assert [control.name for control in view.controls] == ["film", "film_side", "film_pins"]
    assert {control.name for control in (*view.controls, *view.others)} == set(CONTROLS)
    assert [control.touched for control in view.controls] == [False] * 3
    at.rehearsal.set("film", "image")
    assert at.rehearsal.bench().controls[0].touched
    assert at.rehearsal.bench().controls[0].shown == "image"
    solo = AtBench.begin(guidance="solo")
    solo.rehearsal.set("power", "on")
    assert solo.run.view().picking_next
    assert solo.rehearsal.bench().controls == ()


def test_thin_air_is_told_at_the_start() -> None:
    """Where the air does not give the vacuum that is asked for, the first step says so."""
    high = AtBench.begin(conditions={"air": 70.0})
    assert "inHg on this bench at most, and 20 inHg is asked for" in high.rehearsal.bench().notice
    high.press()
    assert high.rehearsal.bench().notice == ""
    assert AtBench.begin().rehearsal.bench().notice == ""


def test_news_is_news_at_one_step_only() -> None:
    """What a step's bench has told, and the control that a refusal named, are gone at the next step."""
    at = AtBench.begin().right_until("burn-one")
    with pytest.raises(Refused):
        at.rehearsal.set("glass", "open")
    assert at.rehearsal.bench().controls[-1].name == "pump"
    at.rehearsal.set("lamp", "on")
    at.press()
    at.pass_time(120)
    assert "gone out" in at.rehearsal.bench().notice
    at.press()
    view = at.rehearsal.bench()
    assert view.notice == ""
    assert [control.name for control in view.controls] == ["pump"]


def test_a_refusal_brings_the_control_that_comes_first() -> None:
    """Where the pump has no power, the power switch stands beside the step's own controls."""
    at = AtBench.begin().right_until("draw-down")
    with pytest.raises(Refused) as told:
        at.rehearsal.set("glass", "open")
    assert told.value.control == "pump"
    assert [control.name for control in at.rehearsal.bench().controls] == ["pump"]


def test_a_record_without_its_bench_is_not_taken_up() -> None:
    """A rehearsal whose day is not in the record, or not of this version, is told in a sentence."""
    at = AtBench.begin()
    kept = list(at.events)
    at.journal.runs[kept[0].run] = [kept[0]]
    with pytest.raises(JournalTrouble, match="what its bench was like"):
        Rehearsal.take_up(at.plan, kept[0].run, journal=at.journal, clock=at.clock)


KEY, THINKING = 1.2, 1.35
"""Seconds for a key by somebody who does not know the keyboard, and to think of what comes (Card, Moran and
Newell, The keystroke-level model, Communications of the ACM 23, 1980; from memory)."""


def test_a_right_rehearsal_takes_ten_minutes_at_most() -> None:
    """Every act by hand, a moment's thought a step, and the bench's time at five times the speed."""
    at = finished("full")
    bodies = at.bodies
    keys = sum(_keys(body) for body in bodies)
    steps = sum(isinstance(body, ev.StepShown) for body in bodies)
    first, last = at.events[0].stamp.ticks_ms, at.events[-1].stamp.ticks_ms
    waits = (last - first) / 1000 / 5
    assert KEY * keys + THINKING * steps + waits <= 600
    assert sum(isinstance(body, ev.BenchSet) for body in bodies) >= 40


def _keys(body: ev.Body) -> int:
    """Keys pressed for what an event records: a digit a pick, the digits of a number and the primary key."""
    match body:
        case ev.BenchSet(_, value):
            return 1 if isinstance(value, str) else len(f"{value:g}") + 1
        case ev.ReadingTaken():
            return len(body.typed) + 1
        case ev.QuizAnswered():
            return len(body.answer) + 2
        case ev.Confirmed() | ev.WaitBegun() | ev.WaitEnded() | ev.HazardAccepted() | ev.Judged():
            return 1
        case ev.NextPicked() | ev.SignedOff():
            return 1
    return 0


@pytest.mark.long
@pytest.mark.parametrize("seed", range(30))
def test_right_work_makes_a_good_plate_on_any_day(seed: int) -> None:
    """Whatever day is drawn, and whichever colour is burned, right acts make a plate that passes."""
    at = AtBench.begin(seed=seed, colour=("Black", "Blue")[seed % 2]).right_until("done")
    assert [line.name for line in at.rehearsal.sheet().lines if line.ok is False] == []
    assert at.run.state.closed == "done"
    assert at.run.state.plate == 1
