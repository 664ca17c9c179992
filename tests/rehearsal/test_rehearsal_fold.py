"""The bench is the fold of the run's events: whatever is done, and wherever the program stops."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from bench_kit import AtBench
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer.bench.apparatus import NUMBERS, WORDS
from trainer.rehearsal import walk_right
from trainer.rehearsal.walk_trouble import Stumble
from trainer.run.events import Stamp
from trainer.run.ports import JournalTrouble
from trainer.run.refusals import Refused, TooSoon

Act = tuple[str, str | float]

SETTINGS = st.one_of(
    *(st.tuples(st.just(name), st.sampled_from(words)) for name, words in WORDS.items()),
    *(st.tuples(st.just(name), st.floats(low, high)) for name, (low, high, _, _) in NUMBERS.items()),
)
ACTS = st.one_of(
    st.tuples(st.just("pass"), st.floats(0, 120)),
    st.tuples(
        st.just("do"), st.sampled_from(["next", "right", "right", "right", "spoil", "pause", "let go"])
    ),
    st.tuples(st.just("speed"), st.sampled_from([1.0, 5.0])),
    st.just(("restart", 30.0)),
    SETTINGS,
)
BEGINNINGS = (
    "fetch-folder",
    "take-plate",
    "film-in-frame",
    "draw-down",
    "burn-one",
    "master-on",
    "pour",
    "rinse-back",
)


def do(at: AtBench, act: Act) -> None:
    """Do an act; one that is not taken is left."""
    name, value = act
    at.clock.pass_time(0.5)
    try:
        match name:
            case "pass":
                at.pass_time(float(value))
            case "speed":
                at.rehearsal.set_speed(float(value))
            case "restart":
                at.clock.pass_time(float(value))
                at.rehearsal = at.again()
                at.run = at.rehearsal.run
            case "do":
                DOING[str(value)](at)
            case _:
                at.rehearsal.set(name, value)
    except (Refused, TooSoon, Stumble):
        pass


DOING: dict[str, Callable[[AtBench], object]] = {
    "next": lambda at: at.run.next(),
    "right": walk_right.do_right,
    "spoil": lambda at: at.run.spoil("lost"),
    "pause": lambda at: at.run.pause(),
    "let go": lambda at: at.rehearsal.let_go(),
}


def stands(at: AtBench, stamp: Stamp) -> tuple[object, ...]:
    """Everything that the bench is at a moment."""
    bench = at.rehearsal._bench
    return (bench.at(stamp), bench.touched, bench.plate_made(stamp, always=True))


@settings(max_examples=settings().max_examples // 8, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(BEGINNINGS), st.lists(ACTS, max_size=25))
def test_folding_the_record_gives_the_bench_that_stands_there(begin: str, acts: list[Act]) -> None:
    """After any acts, a fresh fold of the record is the live run and the live bench, to the last bit."""
    at = AtBench.begin(seed=5).right_until(begin)
    for act in acts:
        do(at, act)
    last = at.events[-1].stamp
    live, state = stands(at, last), at.run.state
    folded = AtBench(at.plan, at.run, at.clock, at.journal, at.again())
    assert stands(folded, last) == live
    resumed = folded.rehearsal.run.state
    assert (resumed.step, resumed.phase, resumed.plate) == (state.step, state.phase, state.plate)
    assert resumed.values == state.values


def test_a_failing_record_changes_nothing_on_the_bench() -> None:
    """Where an act cannot be kept, the bench stands as it stood, and the act can be done again."""
    at = AtBench.begin().right_until("power-on")
    before = stands(at, at.events[-1].stamp)
    at.journal.fail()
    act = partial(at.rehearsal.set, "power", "on")
    try:
        act()
    except JournalTrouble:
        assert stands(at, at.events[-1].stamp) == before
    else:
        raise AssertionError("the record was told to fail")
    act()
    assert at.rehearsal.bench().controls[0].value == "on"


def test_an_exposure_goes_on_where_the_program_stopped() -> None:
    """Down for a minute in the middle of an exposure: it stood still, and the dose is right in the end."""
    at = AtBench.begin().right_until("burn-one")
    at.rehearsal.set("lamp", "on")
    at.press()
    at.pass_time(10)
    at.run.note("ten seconds in")
    count = next(gauge.value for gauge in at.rehearsal.bench().gauges if gauge.name == "count")
    at.clock.pass_time(60)
    again = at.again()
    assert again.run.view().wait is not None
    assert again.run.view().notice == ""
    assert next(gauge.value for gauge in again.bench().gauges if gauge.name == "count") == count
    again.to_the_end()
    assert again.work_exact().burns[0].units == 24.0
