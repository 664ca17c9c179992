"""`sinkside calc`: its answers against the printed figures, its refusals, and the formulas of procedures."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from trainer.bench import development, geometry, vacuum, wedge
from trainer.bench.settings import BenchSettings
from trainer.cli import main
from trainer.procedure import atmosphere
from trainer.run.functions import call

Answer = dict[str, object]
TWO_TIMES = ("--time", "60 s", "--at", "22 degC", "--second-time", "45 s", "--second-at", "26 degC")


def said(*arguments: str) -> Result:
    """Call `sinkside calc`; stdout and stderr apart."""
    return CliRunner().invoke(main, ["calc", *arguments])


def worked(*arguments: str) -> Answer:
    """The answer as a program gets it; every answer has working, source and validity."""
    result = said(*arguments, "--json")
    assert result.exit_code == 0, result.output
    answer = json.loads(result.stdout)
    assert isinstance(answer, dict)
    assert all(answer[key] for key in ("working", "source", "validity"))
    return answer


@pytest.mark.parametrize(
    ("command", "name", "value", "within"),
    [
        # trade-facts E11: two steps are a factor of 1.9953
        ("exposure --units 24 --read 4 --target 6", "units", 47.886, 0.001),
        # L05: 40 to 48 is a factor of 1.44; a sensor at the frame sees it by itself (the note on light)
        (
            "exposure --units|24 units|--distance|40 in|--new-distance|48 in|--sensor|lamp",
            "units",
            34.56,
            1e-3,
        ),
        ("exposure --units|24|--distance|40 in|--new-distance|48 in", "distance_factor", 1.44, 1e-4),
        ("exposure --units|24|--distance|40 in|--new-distance|48 in|--sensor|frame", "units", 24, 1e-9),
        # L06: root 2 times as far moves the wedge by 2.007 steps, where the exposure stays
        (
            "exposure --units|24|--distance|1 m|--new-distance|1.41421 m|--sensor|lamp",
            "steps_if_unchanged",
            -2.007,
            0.01,
        ),
        # L13, L14: at 70 % the integrator takes 1.4286 times as long, a timer loses 1.03 steps
        ("exposure --units|24|--lamp-age|1000 h", "integrator_seconds", 24 * 1.4286, 0.01),
        ("exposure --units|24|--lamp-age|1000 h", "timer_steps", -1.03, 0.02),
        # V08, V07: 1500 m
        ("vacuum --altitude|1500 m", "highest_inHg", 24.97, 0.01),
        ("vacuum --altitude|1500 m", "highest_kPa", 84.555, 0.01),
        # V09: 5000 ft have 12.228 psi, 24.90 inHg (C5)
        ("vacuum --altitude|5000 ft", "highest_inHg", 24.90, 0.01),
        # V04: 24 inHg are 81.27 kPa; V05: 25 inHg are 846.6 mbar, 12.279 psi, and leave 16.665 kPa
        ("vacuum --gauge|24 inHg", "gauge_kPa", 81.27, 0.01),
        ("vacuum --gauge|25 inHg", "gauge_mbar", 846.6, 0.1),
        ("vacuum --gauge|25 inHg", "gauge_psi", 12.279, 0.001),
        ("vacuum --gauge|25 inHg", "left_kPa", 16.665, 0.01),
        ("vacuum --gauge|81.27 kPa", "gauge_inHg", 24, 0.001),
        # V18: 30 L at 100 L/min to 25 inHg in 32.5 s
        ("vacuum --gauge|25 inHg|--volume|30 L|--pump|100 L", "pump_down_seconds", 32.5, 0.1),
        # H06, H09: 0.54 under 1.47
        ("tone --tint 0.54 --solid 1.47", "tone_percent", 73.66, 0.01),
        ("tone --tint|0.54 D|--solid|1.47 D|--n|1.7", "tone_percent", 60.08, 0.01),
        # H14: 5 um at 150 lines an inch gain 7.68 points; V23: 0.10 mm and tan 0.5 are 50 um
        ("tone --dot|50|--ruling|150 lpi|--edge|5 um", "gain_points", 7.68, 0.01),
        ("tone --gap|0.1 mm|--tangent|0.5", "edge_um", 50, 0.1),
        ("tone --dot|50 %|--ruling|150 lpi|--gap|10 um|--tangent|0.5", "gain_points", 7.68, 0.01),
        # notes on register: 44.2 um between film and plate over 700 mm; R23: 0.0333 mm
        (
            (
                "register --length|700 mm|--film-temperature|21 degC|--temperature|24 degC"
                "|--film-humidity|50 %RH|--humidity|55 %RH"
            ),
            "between_mm",
            0.0442,
            1e-4,
        ),
        ("register --length|1 m|--pin-spacing|600 mm|--clearance|0.02 mm", "slot_mm", 0.0333, 1e-4),
        # R03: one per cent of humidity is 8 um on 500 mm of coated film; R12: it takes its time
        ("register --length|500 mm|--film-humidity|50 %RH|--humidity|51 %RH", "film_mm", 0.008, 1e-9),
        (
            "register --length|500 mm|--film-humidity|50 %RH|--humidity|51 %RH|--hours|0 h",
            "film_mm",
            0,
            1e-12,
        ),
        # R25: a plate of 0.30 mm round a radius of 150 mm: 0.0999 %, 0.599 mm on 600
        ("register --length|600 mm|--thickness|0.3 mm|--cylinder|300 mm", "bent_mm", 0.599, 0.001),
        ("register --length|600 mm|--thickness|0.3 mm|--cylinder|30 cm", "bent_percent", 0.0999, 1e-4),
        # D16: 60 s at 22 degC are 73.9 s at 19; arithmetic: 75 mL on 10 dm2
        ("developer --time|60 s|--at|22 degC|--temperature|19 degC", "seconds", 73.9, 0.1),
        ("developer --volume|75 mL|--width|250 mm|--height|400 mm", "mL_per_dm2", 7.5, 1e-9),
        # D16 the other way round: 60 s at 22 and 48.7 s at 25 are a Q10 of 2, and give 73.9 s at 19
        ("developer --time|60 s|--at|22 degC|--second-time|48.7 s|--second-at|25 degC", "q10", 2, 0.01),
        (
            (
                "developer --time|60 s|--at|22 degC|--second-time|48.7 s|--second-at|25 degC"
                "|--temperature|19 degC"
            ),
            "seconds",
            73.9,
            0.1,
        ),
        # D13: 14 and 10 degrees Baume; water by arithmetic, 1000 x (1.1069 - 1.0741) / 0.0741
        ("gum --baume 14", "specific_gravity", 1.1069, 1e-4),
        ("gum --gravity 1.0741", "baume", 10, 0.01),
        ("gum --baume|14|--volume|1 L|--wanted|10", "water_mL", 442.7, 0.1),
    ],
)
def test_answers_are_the_printed_ones(command: str, name: str, value: float, within: float) -> None:
    """Each sum gives the figure of the trade facts, in the units that its name says."""
    # Sources: the rows named beside each.
    group, _, options = command.partition(" ")
    answer = worked(group, *(options.split("|") if "|" in options else options.split()))
    assert answer[name] == pytest.approx(value, abs=within)


def test_text_has_answer_working_source_and_validity() -> None:
    """Without --json a person reads the answer first, then its working, its source and how far it holds."""
    lines = said("exposure", "--units", "24", "--read", "4", "--target", "6").stdout.splitlines()
    assert lines[0] == "Expose 47.89 units to bring the wedge from step 4 to step 6."
    assert lines[1].strip() == "24 units x 10^(0.15 x (6 - 4)) = 47.89 units"
    assert lines[2].startswith("  Source: 21-step tablet")
    assert lines[3].startswith("  Holds for the same plate")


def test_wedge_and_distance_follow_each_other() -> None:
    """Given both, the distance is worked out from the units that the wedge asked for."""
    answer = worked(
        "exposure",
        "--units",
        "24",
        "--read",
        "4",
        "--target",
        "6",
        "--distance",
        "1 m",
        "--new-distance",
        "2 m",
        "--sensor",
        "lamp",
    )
    assert answer["units"] == pytest.approx(4 * 47.886, abs=0.01)
    assert len(answer["source"]) == 2  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("vacuum", "--altitude", "24 inHg"), "one is pressure, the other length"),
        (("vacuum", "--altitude", "1500"), "a number without a unit"),
        (("vacuum", "--altitude", "1500m"), "Write `1500 m`"),
        (("exposure", "--units", "24 s"), "one is time, the other integrator count"),
        (("exposure", "--units", "nan"), "is not a quantity"),
        (("exposure", "--units", "24"), "Nothing to work out"),
        (("exposure", "--units", "24", "--read", "4"), "--read and --target belong together"),
        (("vacuum", "--volume", "30 L", "--pump", "100 L"), "no --gauge to come to"),
        (("vacuum", "--leak", "3 L"), "belong to --volume and --pump"),
        (("tone", "--dot", "50", "--ruling", "60 lpcm"), "By how much do the dots grow?"),
        (
            ("tone", "--edge", "5 um", "--gap", "5 um", "--tangent", "1"),
            "Give --edge, or --gap and --tangent",
        ),
        (("developer",), "Nothing to work out"),
        (("exposure", "--units", "24", "--sensor", "lamp"), "--sensor belongs to --distance"),
        (("register", "--length", "1 m", "--hours", "2 h"), "--hours belongs to --film-humidity"),
        (
            ("register", "--length", "1 m", "--cylinder", "30 cm"),
            "--thickness and --cylinder belong together",
        ),
        (("developer", "--second-time", "45 s", "--second-at", "26 degC"), "against --time and --at"),
        (("developer", *TWO_TIMES, "--q10", "2"), "Give --q10, or the two times"),
        (("gum",), "--baume or --gravity"),
        (("gum", "--baume", "14", "--gravity", "1.1"), "--baume or --gravity"),
        (("gum", "--baume", "14", "--wanted", "10"), "--volume and --wanted belong together"),
    ],
)
def test_wrong_kind_or_half_a_question_is_a_wrong_command_line(
    arguments: tuple[str, ...], words: str
) -> None:
    """A quantity of the wrong kind, or half of a pair, ends with 2 and a sentence of what to write."""
    result = said(*arguments)
    assert result.exit_code == 2
    assert words in " ".join(result.stderr.split())
    assert result.stdout == ""


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("vacuum", "--altitude", "9000 m"), "The altitude is 9000 m; it must be from -400 to 6000 m."),
        (
            ("vacuum", "--gauge", "25 inHg", "--altitude", "1500 m"),
            "25 inHg is more than a gauge can show at 1500 m",
        ),
        (("exposure", "--units", "0", "--read", "4", "--target", "6"), "The exposure is 0 units"),
        (("exposure", "--units", "24", "--read", "4", "--target", "22"), "The step wanted is 22"),
        (("tone", "--tint", "1.6", "--solid", "1.4"), "The tint over the paper is 1.6"),
        (("tone", "--tint", "1", "--solid", "1", "--n", "nan"), "n is no number"),
        (("tone", "--gap", "5 um", "--tangent", "inf"), "The tangent of the angle is endless"),
        (("developer", "--time", "60 s", "--at", "22 degC", "--temperature", "90 degC"), "is 90 degC"),
        (("developer", *TWO_TIMES[:-1], "18 degC"), "a developer has 1 to 5"),
        (("developer", *TWO_TIMES[:-1], "22 degC"), "The difference of the temperatures is 0 degC"),
        (("gum", "--baume", "nan"), "The strength is no number"),
        (("gum", "--gravity", "0.9"), "The specific gravity is 0.9"),
        (("gum", "--baume", "10", "--volume", "1 L", "--wanted", "14"), "water only makes it weaker"),
        (("register", "--length", "1 m", "--thickness", "0.3 mm", "--cylinder", "0 mm"), "The radius of the"),
        (
            ("vacuum", "--gauge", "29 inHg", "--volume", "30 L", "--pump", "100 L", "--leak", "60 L"),
            "is never reached",
        ),
    ],
)
def test_out_of_range_ends_with_one_and_a_sentence(arguments: tuple[str, ...], words: str) -> None:
    """A number that no bench has ends with 1, with a sentence on stderr and nothing on stdout."""
    result = said(*arguments)
    assert result.exit_code == 1
    assert result.stderr.startswith("sinkside: ")
    assert words in result.stderr
    assert result.stdout == ""


def test_pump_down_with_a_leak_and_a_limit(bench: BenchSettings) -> None:
    """The leak and the pump's limit on the command line are the model's: rate (S + L) / V."""
    answer = worked(
        *("vacuum", "--gauge", "15 inHg", "--volume", "30 L", "--pump", "100 L"),
        *("--leak", "20 L", "--floor", "9.9 kPa"),
    )
    frame = vacuum.Frame(30, 100, 9.9, 0, 0, 0, 300, bench.frame.settle)
    expected = vacuum.pump_down_time(101.325 - 15 * 3.386388, 101.325, frame, 20)
    assert answer["pump_down_seconds"] == pytest.approx(expected, rel=1e-5)


def test_a_shop_s_own_numbers_are_used(tmp_path: Path) -> None:
    """--bench takes a shop's file, and a wrong one is said with its place and ends with 1."""
    own = tmp_path / "own.yaml"
    own.write_text("bench: 1\ndeveloper: {q10: 3}\n", encoding="utf-8")
    asked = (
        "developer",
        "--time",
        "60 s",
        "--at",
        "22 degC",
        "--temperature",
        "32 degC",
        "--bench",
        str(own),
    )
    assert worked(*asked)["seconds"] == pytest.approx(20)
    own.write_text("bench: 1\ndeveloper: {q10: 30}\n", encoding="utf-8")
    result = said(*asked)
    assert result.exit_code == 1
    assert ":2:18: `30` is out of range. Write a number from 1 to 5, in times." in result.stderr


def test_the_sensor_sits_where_the_shop_says(tmp_path: Path) -> None:
    """Without --sensor a lamp moved away is worked out for where the bench's file has the sensor."""
    own = tmp_path / "own.yaml"
    moved = ("exposure", "--units", "24", "--distance", "1 m", "--new-distance", "2 m", "--bench", str(own))
    for sits, units in (("lamp", 96), ("frame", 24)):
        own.write_text(f"bench: 1\nlamp: {{sensor: {sits}}}\n", encoding="utf-8")
        assert worked(*moved)["units"] == pytest.approx(units)


def test_altitude_of_the_shop_file_is_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without --altitude the shop's own is taken."""
    shop = tmp_path / "shop.yaml"
    shop.write_text("format: 1\naltitude: 1500 m\n", encoding="utf-8")
    monkeypatch.setenv("SINKSIDE_SHOP", str(shop))
    assert worked("vacuum")["highest_inHg"] == pytest.approx(24.97, abs=0.01)


def test_formulas_of_procedures_are_the_bench_s_own_sums(bench: BenchSettings) -> None:
    """What an author calls in a formula gives what the bench and `calc` work out for the same numbers."""
    assert call("exposure_for_step", (24, 4, 6)) == pytest.approx(wedge.corrected(24, 4, 6), rel=1e-12)
    assert call("steps_between", (24, 40)) == pytest.approx(wedge.steps_between(24, 40), rel=1e-12)
    moved = 24 / geometry.inverse_square(1200, 1000)
    assert call("units_at_distance", (24, 1000, 1200)) == pytest.approx(moved, rel=1e-12)
    perfect = vacuum.Frame(30, 100, 0, 0, 0, 0, 300, 10)
    air = atmosphere.air_pressure(1500) / 1000
    gauge = call("highest_gauge", (1500,)) * 3.386388640341
    assert gauge == pytest.approx(vacuum.highest_gauge(air, perfect), rel=1e-9)
    poured = call("developer_for", (250, 400, 7.5))
    assert development.per_area(poured, 25 * 40) == pytest.approx(7.5, rel=1e-12)
    developer = bench.developer
    known = developer.reference_temperature
    time = call("time_at", (developer.reference_time, known, 19, developer.q10))
    assert time == pytest.approx(development.time_for(19, 0, developer), rel=1e-12)


@pytest.mark.parametrize(
    ("name", "arguments"),
    [
        ("units_at_distance", (24.0, 0.0, 1200.0)),
        ("units_at_distance", (24.0, 1e-300, 1e300)),
        ("highest_gauge", (9000.0,)),
        ("highest_gauge", (float("nan"),)),
        ("developer_for", (250.0, 0.0, 7.5)),
        ("developer_for", (250.0, 400.0, -1.0)),
        ("time_at", (60.0, 22.0, 19.0, 0.0)),
        ("time_at", (60.0, 1e9, 19.0, 2.0)),
    ],
)
def test_formulas_refuse_what_has_no_answer(name: str, arguments: tuple[float, ...]) -> None:
    """A formula function with numbers that it has no answer for says so in a sentence."""
    with pytest.raises(ValueError, match=r"\.$"):
        call(name, arguments)
