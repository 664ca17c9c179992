"""Which keys a rehearsal names first, and how they go from control to control. Common practice, no source."""

from __future__ import annotations

from bench_stand_ins import PUMP, UNITS

from trainer.rehearsal.bench_view import BenchView
from trainer.run.view import ActName
from trainer.screens import handles

BENCH = BenchView((PUMP,), (UNITS,), (), (), "", 0.0, 1.0, "", "raw", "plate")
ALWAYS: tuple[ActName, ...] = ("back", "pause", "stop")


def test_the_key_that_answers_is_named_once_something_is_picked() -> None:
    """Where several may be picked, the key that hands them in stands beside the digits."""
    before = handles.acts(("pick", *ALWAYS), BENCH, (), "")
    after = handles.acts(("pick", "next", *ALWAYS), BENCH, (), "")
    assert before[0] == "pick"
    assert "next" not in before
    assert after[:2] == ("pick", "next")


def test_all_controls_are_closed_by_a_key_that_is_named() -> None:
    """With all controls shown the key that closes them comes before what looks at the plate."""
    names = ("pump", "units")
    few = handles.acts(("next", *ALWAYS), BENCH, names, "pump")
    every = handles.acts(("next", *ALWAYS), BENCH, names, "pump", everything=True)
    assert few.index("controls") > few.index("plate")
    assert every.index("controls") < every.index("plate")


def test_controls_are_gone_through_both_ways() -> None:
    """Before the first comes the last, as after the last comes the first."""
    names = ("pump", "units", "glass")
    assert handles.before(names, "pump") == "glass"
    assert handles.following(names, "glass") == "pump"
    assert handles.before(names, "glass") == "units"
