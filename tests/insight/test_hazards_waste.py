"""Safety prompts and time to read; plates and supplies; stations' charts from frames."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest
from insight_kit import START, frames
from work_kit import Row, facts, runs

from trainer.insight import charts, hazards, waste
from trainer.insight.joined import joined
from trainer.insight.results import ChartRow


def prompts(seconds: list[float]) -> tuple[list[Row], list[Row]]:
    """Visits to the safety prompt and its acceptances."""
    head: list[Row] = [
        {"step": "mind", "task": "hazard", "seconds": one, "trainee": f"T-{place % 3 + 1:02}"}
        for place, one in enumerate(seconds)
    ]
    return head, [row | {"outcome": "accepted", "mark": "", "hit": None} for row in head]


def test_who_reads_quickly_is_not_blamed() -> None:
    """Forty words take 8 s at the upper end of most adults (Brysbaert 2019); under half of it is fast."""
    assert hazards.needed(40) == pytest.approx(40 / 300 * 60 / 2)
    shown, accepted = prompts([8.0, 4.1, 3.9, 10.0])
    (row,) = hazards.hazards(joined(frames(runs=[{}], visits=shown, attempts=accepted)), facts())
    assert (row.fast.k, row.fast.n, row.shown, row.missed) == (1, 4, 4, 0)
    assert row.trainees_fast == ("T-03",)
    assert row.seconds.median == pytest.approx(6.05)
    assert not hazards.stands_out([row], facts()).findings


def test_a_prompt_passed_by_is_always_said() -> None:
    """Shown, and something else came: said whatever the numbers. Stopping at it is not passing by."""
    shown, accepted = prompts([9.0, 9.0, 9.0])
    shown[2]["ended"] = "spoiled"
    shown.append({"step": "mind", "task": "hazard", "ended": "closed"})
    j = joined(frames(runs=[{}], visits=shown, attempts=accepted[:2]))
    rows = hazards.hazards(j, facts())
    (found,) = hazards.stands_out(rows, facts()).findings
    assert (rows[0].missed, found.kind, found.level, found.p) == (1, "hazard-missed", "act", None)


def test_prompts_that_are_not_read_make_one_sentence() -> None:
    """Half of forty in a second: one finding for the procedure, with its chance by the binomial."""
    shown, accepted = prompts([1.0, 9.0] * 20)
    rows = hazards.hazards(joined(frames(runs=[{}], visits=shown, attempts=accepted)), facts())
    (found,) = hazards.stands_out(rows, facts()).findings
    assert (found.kind, found.n) == ("hazard-unread", 40)
    assert "20 of 40 times" in found.words
    assert found.p is not None
    assert found.p < 1e-6


def test_plates_in_hand_and_lost() -> None:
    """Used once the act after the beginning was reached; lost: given up, not yet, or left when stopped."""
    hows = ["passed", "spoiled", "not_yet", "stopped", "done", "spoiled"]
    of_runs = [*runs(6, 3), {"run": "dry", "rehearsal": True}]
    plates: list[Row] = [
        {"run": f"r{place:03}", "how": how, "step": "take", "stage": "vacuum", "reason": "torn"}
        for place, how in enumerate(hows)
    ]
    plates.append({"run": "dry", "how": "spoiled", "step": "take", "stage": "vacuum", "reason": "torn"})
    visits = [{"run": row["run"], "step": "take"} for row in plates if row["run"] != "r005"]
    j = joined(frames(runs=of_runs, visits=visits, plates=plates))
    plate, developer = waste.waste(j, facts())
    assert (plate.plates, plate.plates_wasted, plate.used, plate.wasted) == (5, 3, 5, 3)
    assert (developer.item, developer.used, developer.wasted, developer.unit) == ("developer", 375, 225, "mL")
    wet, dry = waste.spoiled(j)
    assert (wet.rehearsal, wet.plates, wet.reason) == (False, 2, "torn")
    assert (dry.rehearsal, dry.plates) == (True, 1)
    assert wet.runs == ("r001", "r005")


def test_waste_is_told_with_its_interval() -> None:
    """Six of twenty plates lost: counts, interval and developer, and where most often."""
    of_runs = runs(20, 5)
    plates: list[Row] = [
        {
            "run": run["run"],
            "how": "spoiled" if place < 6 else "passed",
            "step": "take" if place < 6 else "",
            "reason": "torn",
        }
        for place, run in enumerate(of_runs)
    ]
    visits = [{"run": row["run"], "step": "take"} for row in plates]
    j = joined(frames(runs=of_runs, visits=visits, plates=plates))
    (found,) = waste.stands_out(waste.waste(j, facts()), waste.spoiled(j), facts()).findings
    assert "6 of 20 plates were lost (interval 15 to 52 %), and with them 450 mL developer" in found.words
    assert "“Take.” (6: torn)" in found.words


def wedges(values: list[float], units: list[float]) -> ChartRow:
    """The chart of wet wedge readings, one a day, each after so many units."""
    of_runs = [row | {"station": "sink 1"} for row in runs(len(values), 5)]
    at = [START + timedelta(days=place) for place in range(len(values))]
    readings = [
        {"run": run["run"], "at": when, "value": value, "unit": "step", "name": "wedge", "seq": 9}
        for run, when, value in zip(of_runs, at, values, strict=True)
    ]
    exposures = [
        {"run": run["run"], "at": when, "units": one, "seconds": 1.5 * one, "outcome": "on_time", "seq": 5}
        for run, when, one in zip(of_runs, at, units, strict=True)
    ]
    found = charts.charts(joined(frames(runs=of_runs, readings=readings, exposures=exposures)), {})
    assert [row.what for row in found] == ["wedge", "seconds per unit"]
    assert found[1].points[0].value == pytest.approx(1.5)
    return found[0]


def test_two_steps_double_the_dose() -> None:
    """Plates of 24 and 48 units that read 6 and 8 had the same light (steps of 0.15; common practice)."""
    row = wedges([6.0, 6.5, 5.5] * 4 + [8.0, 8.5, 7.5] * 4, [24.0] * 12 + [48.0] * 12)
    values = np.asarray([point.value for point in row.points])
    assert values[:12].mean() == pytest.approx(values[12:].mean(), abs=0.02)
    assert values[-1] == 7.5
    assert not row.drifts


def test_the_handbooks_chart_through_frames() -> None:
    """The flow rates of NIST/SEMATECH 6.3.2.2 as if they were wedges: 45.8159, 50.81, 55.8041."""
    flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
    row = wedges(flow, [24.0] * 10)
    assert (row.low, row.centre, row.high) == pytest.approx((45.8159, 50.81, 55.8041), abs=5e-5)
    assert row.points[1].moving_range == pytest.approx(2.0)
    assert (row.points[0].moving_range, row.baseline, row.drifts) == (None, 10, False)


def test_a_falling_wedge_is_told() -> None:
    """1.75 steps over the last half of sixty plates: one finding, its station named, at the same exposure."""
    drawn = np.random.default_rng(11)
    values = drawn.normal(6, 0.4, 60) - np.r_[np.zeros(30), np.linspace(0, 1.75, 30)]
    row = wedges((np.round(values * 2) / 2).tolist(), [24.0] * 60)
    (found,) = charts.stands_out([row], {}).findings
    assert found.keys == ("sink 1", "plate", "wedge")
    assert found.p is not None
    assert found.p < 1e-4
    assert "has fallen" in found.words


def test_few_plates_have_no_limits() -> None:
    """Five plates: shown, and nothing said."""
    row = wedges([6.0] * 5, [24.0] * 5)
    assert (row.centre, row.low, len(row.points)) == (None, None, 5)
    assert charts.stands_out([row], {}).findings == ()


def test_exposures_nobody_watched_tell_no_rate() -> None:
    """Unwatched, said, or a rehearsal: the seconds are not the lamp's."""
    head: Row = {"units": 24.0, "seconds": 36.0, "outcome": "on_time"}
    of_runs: list[Row] = [{"run": "r1"}, {"run": "r2"}, {"run": "r3", "rehearsal": True}]
    exposures = [
        head | {"run": "r1", "unwatched": 3.0},
        head | {"run": "r2", "outcome": "said"},
        head | {"run": "r3"},
    ]
    assert charts.charts(joined(frames(runs=of_runs, exposures=exposures)), {}) == ()
