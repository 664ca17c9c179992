"""What keeps a plate from being good is told where an instructor would. Common practice, no source."""

from __future__ import annotations

from bench_kit import AtBench


def test_what_is_found_on_a_plate_that_is_not_good_is_told() -> None:
    """Pinholes that nobody painted out are named, once the plate was looked at and not before."""
    desk = AtBench.begin(conditions={"pinholes": 3})
    desk.right_until("anything-clear")
    desk.pass_time(1.0)
    desk.run.pick(1)  # nothing is clear that is not image
    desk.right_until("instructor-looks")
    assert desk.rehearsal.bench().notice == ""
    desk.pass_time(1.0)
    desk.run.next()
    assert desk.run.state.step == "not-yet"
    assert (
        desk.rehearsal.bench().notice == "Found on the plate: pinholes 2 (at most 0)."
    )  # one lies under the mask


def test_nothing_is_told_of_a_good_plate() -> None:
    """A plate that passes is signed, and no news is made of it."""
    desk = AtBench.begin().right_until("write-edge")
    assert desk.rehearsal.bench().notice == ""
