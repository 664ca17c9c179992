"""A rehearsal in lines of text: what is typed at the bench, and what is said."""

from __future__ import annotations

from pathlib import Path

import pytest
from bench_kit import PLATE, AtBench

from trainer.rehearsal.bench_view import ControlView
from trainer.run.fakes import FakeClock
from trainer.run.refusals import Refused
from trainer.screens.bench_typed import control_of, position
from trainer.screens.plain_bench import PlainRehearsal
from trainer.screens.station import NotHere, Station


class Typed:
    """Lines that are typed one after the other; the input ends after the last."""

    def __init__(self, *lines: str) -> None:
        self.lines = list(lines)
        self.said: list[str] = []

    def read(self, timeout: float | None) -> str | None:
        """The next line, whatever goes on."""
        del timeout
        return self.lines.pop(0) if self.lines else "q"

    def secret(self, ask: str) -> str:
        """Nothing is secret in a rehearsal."""
        raise AssertionError(ask)

    def say(self, text: str) -> None:
        """Keep what is said."""
        self.said.append(text)


@pytest.fixture
def station(tmp_path: Path) -> Station:
    """A station with an empty record and no shop file."""
    return Station.open(record=tmp_path / "record.db", shop=tmp_path / "shop.yaml", clock=FakeClock())


def typed(at: AtBench, station: Station, *lines: str) -> str:
    """Everything said while these lines were typed."""
    typing = Typed(*lines)
    assert PlainRehearsal(station, at.rehearsal, typing, at.clock.pass_time).go() == 0
    return "\n".join(typing.said)


def test_controls_are_set_in_words(station: Station) -> None:
    """A name and where to: it is recorded, the new position is said, and a refusal in its sentence."""
    at = AtBench.begin().right_until("film-in-frame")
    said = typed(
        at, station, "film image", "Film side = emulsion up", "film pins seated", "pump on", "glass wide"
    )
    assert "film side (emulsion down, emulsion up): emulsion up" in said
    assert "REHEARSAL" in said
    assert "! Glass takes: open, closed, locked" in said
    kept = [(body.control, body.value) for body in at.bodies if body.kind == "bench_set"]  # type: ignore[attr-defined]
    assert kept[-4:] == [
        ("film", "image"),
        ("film_side", "emulsion-up"),
        ("film_pins", "seated"),
        ("pump", "on"),
    ]


def test_time_is_let_go_by(station: Station) -> None:
    """`wait` goes to the end of what goes on, `wait 10` for ten seconds, and the instruments are said."""
    at = AtBench.begin().right_until("burn-one")
    said = typed(at, station, "lamp on", "wait 10", "wait", "speed 5", "speed 500", "")
    assert "The light has gone out." in said
    assert "24.0 units" in said
    assert "! Time can go from 0.1 to 60 times as fast." in said
    assert at.run.state.step == "let-air-in"


def test_a_line_typed_ahead_starts_its_clock_too(station: Station) -> None:
    """Rubbing that is begun in the moment in which its step comes runs under the clock of that step."""
    at = AtBench.begin().right_until("rub")
    assert at.run.view().wait is not None
    came = at.clock.now()
    typed(at, station, "rubbing all-over")
    wait = at.run.view().wait
    assert at.clock.now() != came, "it was waited until the step could be begun"
    assert wait is not None
    assert wait.state == "running"


def test_what_is_seen_is_said(station: Station) -> None:
    """Where something is judged, what a picture would show is said in words."""
    at = AtBench.begin(conditions={"pinholes": 3}).right_until("anything-clear")
    assert "the black has 3 places" in typed(at, station)
    burned = AtBench.begin().right_until("colour-one")
    assert "Of the image, all has changed colour." in typed(burned, station, "look")
    done = AtBench.begin().right_until("read-wedge")
    assert "The wedge is solid up to step 6" in typed(done, station)


def test_help_names_the_words_of_the_bench(station: Station) -> None:
    """The help has the words that a rehearsal takes, and leaves out the keys of a screen."""
    said = typed(AtBench.begin(), station, "h", "bench")
    assert "let go" in said
    assert "Arrows" not in said
    assert "developer temperature (5 to 40 °C)" in said


def test_a_longer_name_is_not_taken_for_a_shorter_one() -> None:
    """`film side` is not `film`, and a sentence is no control."""
    bench = AtBench.begin().rehearsal.bench()
    found = control_of("film side emulsion-up", bench)
    assert found is not None
    assert (found[0].name, found[1]) == ("film_side", "emulsion-up")
    assert control_of("filmy", bench) is None


def test_numbers_are_taken_with_or_without_their_unit() -> None:
    """`units 24`, `units 24,5` and `units 24 units` are numbers; a word is refused."""
    units = ControlView("units", "Units", "", "number", 0.0, "0 units", unit="units", most=500.0)
    assert [position(units, said) for said in ("24", "24,5", "24 units")] == [24.0, 24.5, 24.0]
    with pytest.raises(Refused):
        position(units, "many")


def test_rehearsals_and_wet_runs_are_kept_apart(station: Station) -> None:
    """A rehearsal is found and taken up as one, marked in the list, and never goes on as a wet run."""
    opened = station.open_rehearsal(PLATE, "T-01", seed=3)
    run = opened.run.state.run
    assert [one.rehearsal for one in station.open_runs()] == [True]
    assert station.to_go_on(PLATE, "T-01") is None
    assert station.to_go_on(PLATE, "T-01", rehearsal=True) == run
    assert station.is_rehearsal(run)
    with pytest.raises(NotHere, match="is a rehearsal"):
        station.take_up(run)
    wet = station.open_run(PLATE, "T-01")
    with pytest.raises(NotHere, match="is a wet run"):
        station.take_up_rehearsal(wet.state.run)
    again = station.take_up_rehearsal(run)
    assert again.conditions == opened.conditions
    assert again.seed == 3


def test_a_rehearsal_ends_with_what_its_plate_shows(station: Station) -> None:
    """Once the run is closed, what the plate shows and the act that made it so are said, then the summary."""
    at = AtBench.begin().right_until("spread-gum")
    at.rehearsal.set("gum", "thick")
    at.press()
    at.right_until("sheen").run.stop("the bell rang")
    station.journal.append(at.events)
    typing = Typed()
    assert PlainRehearsal(station, at.rehearsal, typing).go() == 0
    assert "What made it so:" in typing.said
    assert any(line.startswith("--- Stopped") for line in typing.said)


def test_a_step_is_said_once(station: Station) -> None:
    """Where only the bench has changed, the act and its key points are not read out again; Enter is named."""
    said = typed(AtBench.begin().right_until("rub"), station, "", "rubbing part")
    assert said.count("Rub lightly in circles") == 2  # the clock's words changed once
    assert said.count("rubbing (part, all over)") == 3
    assert "hands off, while the clock runs" in said
    soft = typed(AtBench.begin().right_until("soften"), station)
    assert "Press Enter as you begin." in soft
    assert "Space" not in soft
